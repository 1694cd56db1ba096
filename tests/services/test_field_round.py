"""What goes along on a round."""

from dataclasses import replace
from datetime import date

import pytest

from monitor.clock import new_id
from monitor.domain.vocabulary import Grade
from monitor.errors import InvalidInput, NotFound
from monitor.services.field.rounds import RoundChoice, round_of, sites_with_supports
from monitor.store import records
from tests.build import a_support, some_readings
from tests.conftest import NOON
from tests.dashboard.conclusions import is_owed
from tests.dashboard.world import build_world, found


@pytest.fixture
def session(store):
    with store.write_session() as session:
        build_world(session)
        yield session


def taken(session, **choice):
    return round_of(session, RoundChoice(**choice), now=NOON)


def codes(made):
    return [support.code for support in made.supports]


def test_a_round_by_codes_keeps_their_order_and_forgives_case(session):
    assert codes(taken(session, codes=("s-0102", "S-0101"))) == ["S-0102", "S-0101"]


def test_a_removed_support_is_not_taken_along(session):
    assert "S-0105" not in codes(taken(session, within_days=36_000))
    with pytest.raises(NotFound, match="S-0105"):
        taken(session, codes=("S-0105",))


def test_an_unknown_code_names_the_nearest(session):
    with pytest.raises(NotFound, match="S-0101"):
        taken(session, codes=("S-0l01",))


def test_a_span_takes_what_is_owed_in_it_soonest_first(session):
    within_a_month = codes(taken(session, within_days=30))
    late = [s.due_on for s in taken(session, within_days=30).supports]

    assert "S-0103" in within_a_month
    assert "S-0102" not in within_a_month
    assert late == sorted(late)


def test_nothing_chosen_is_refused_rather_than_everything_sent(session):
    with pytest.raises(InvalidInput):
        taken(session)


def test_a_site_narrows_the_round(session):
    assert codes(taken(session, site="V-S-0104")) == ["S-0104"]
    assert ("V-S-0104", "Chapel Row", 1) in sites_with_supports(session)


def test_last_readings_and_expected_ranges_come_along(session):
    post = taken(session, codes=("S-0101",)).supports[0]
    readings = {r.quantity: r for m in post.members[0].marks for r in m.readings}

    tilt = readings["tilt_x"]
    assert (tilt.value, tilt.on) == (8.1, date(2026, 4, 20))
    # By hand: level 8.0, sd 0.6; one reading 1.0 and 0.5; 8.0 ± 1.645·√(0.36 + 1.25).
    assert tilt.low == pytest.approx(8.0 - 2.0873, abs=1e-3)
    assert tilt.high == pytest.approx(8.0 + 2.0873, abs=1e-3)
    assert tilt.basis == "outlook"


def test_without_an_outlook_the_last_reading_is_expected_again(session):
    spot = a_support(session, "S-0900", mark="plate")
    some_readings(session, spot, "settlement", {date(2025, 5, 1): 4.0})

    post = taken(session, codes=("S-0900",)).supports[0]
    reading = post.members[0].marks[0].readings[0]

    # By hand: noise 0.7 and 0.5 mm; 2.77·√(0.49 + 0.25) = 2.383.
    assert reading.low == pytest.approx(4.0 - 2.383, abs=1e-3)
    assert reading.high == pytest.approx(4.0 + 2.383, abs=1e-3)
    assert reading.basis == "still"


def test_a_range_never_leaves_what_is_possible(session):
    spot = a_support(session, "S-0901", mark="saddle")
    some_readings(session, spot, "gap", {date(2025, 5, 1): 0.1})

    post = taken(session, codes=("S-0901",)).supports[0]
    gap = next(r for r in post.members[0].marks[0].readings if r.quantity == "gap")

    assert gap.low == 0.0


def test_open_findings_come_along_and_closed_ones_do_not(session):
    post = taken(session, codes=("S-0101",)).supports[0]

    assert [(f.label, f.grade) for f in post.findings] == [
        ("daylight at the saddle", Grade.WATCH.value)
    ]


def test_the_gravest_open_finding_comes_first(session):
    spot = a_support(session, "S-0902")
    on = date(2025, 5, 1)
    some_readings(session, spot, "settlement", {on: 4.0})
    found(session, spot, on, "rust at grade", Grade.WATCH)
    found(session, spot, on, "cracked weld", Grade.MAKE_SAFE)

    post = taken(session, codes=("S-0902",)).supports[0]

    assert [f.grade for f in post.findings] == ["make safe", "watch"]


def test_the_cautions_fit_the_kind_of_support(session):
    post, cable = taken(session, codes=("S-0101", "S-0103")).supports

    assert any("jacked" in line for line in post.cautions)
    assert any("line of pull" in line for line in cable.cautions)
    assert post.cautions[0].startswith("Screening only.")


def test_a_member_without_marks_offers_the_usual_ones(session):
    bare = a_support(session, "S-0903", mark="plate")
    records.MEMBERS.add(session, [replace(bare.member, id=new_id(), code="P2")])

    post = taken(session, codes=("S-0903",)).supports[0]

    assert {"face", "plate", "saddle"} <= {mark.code for mark in post.members[1].marks}


def test_five_hundred_supports_are_the_most_and_the_rest_is_counted(
    session, monkeypatch
):
    monkeypatch.setattr("monitor.services.field.rounds.MOST_SUPPORTS", 2)
    everything = codes(taken(session, codes=("S-0101", "S-0102", "S-0103")))
    is_owed(session, a_support(session, "S-0904").support.id, date(2026, 6, 2), "soon")

    made = taken(session, within_days=3650)

    assert everything == ["S-0101", "S-0102"]
    assert len(made.supports) == 2
    assert made.left_out >= 1
