"""Rounds planned from the record."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from monitor.domain.conclusions import Due
from monitor.domain.vocabulary import InspectionKind, MemberKind
from monitor.errors import InvalidInput
from monitor.services.planning.round_words import (
    again_in_words,
    arranged_in_words,
    parse_access,
    parse_again,
    parse_arranged,
    parse_day,
    parse_hours,
    parse_people,
    parse_pins,
    person_in_words,
    pins_in_words,
)
from monitor.services.planning.rounds import RoundWish, owing, plan_of
from monitor.services.planning.site_days import (
    ClosureCommand,
    close_site,
    wish_crown,
)
from monitor.store import records
from tests.build import LONG_AGO, a_support, an_inspection

TODAY = date(2026, 6, 1)


def a_due(support_id, due_on, *, kind=InspectionKind.ROUTINE):
    opens_on, late_on = due_on - timedelta(days=30), due_on + timedelta(days=30)
    return Due(
        support_id=support_id,
        kind=kind,
        opens_on=opens_on,
        due_on=due_on,
        late_on=late_on,
        serious_on=late_on + timedelta(days=90),
        rule="duty-interval",
        sentence="Due.",
        reasons=(),
        computed_at=LONG_AGO,
    )


@pytest.fixture
def owed(store):
    """A post, a cable to climb to, one that is due in a year."""
    with store.write_session() as session:
        post = a_support(session, "S-1")
        cable = a_support(session, "S-2", kind=MemberKind.CABLE)
        later = a_support(session, "S-3")
        dues = [
            a_due(post.support.id, TODAY),
            a_due(cable.support.id, TODAY, kind=InspectionKind.DETAILED),
            a_due(later.support.id, TODAY + timedelta(days=365)),
        ]
        records.DUES.add(session, dues)
    return post


def wish(who="Edda (climbing)", **changes):
    return replace(RoundWish(parse_people(who), 2), **changes)


def test_what_is_owed_within_the_days_is_planned(store, owed):
    with store.read_session() as session:
        made = plan_of(session, wish(), today=TODAY)

    assert {visit.stop.code for visit in made.rounds.visits} == {"S-1", "S-2"}
    assert made.rounds.left == ()
    assert made.rounds.task.days[0] == TODAY + timedelta(days=1)


def test_a_cable_in_detail_wants_someone_who_climbs(store, owed):
    with store.read_session() as session:
        made = plan_of(session, wish("Perran"), today=TODAY)

    assert [left.stop.code for left in made.rounds.left] == ["S-2"]


def test_a_quiet_season_keeps_everyone_away(store, owed):
    with store.write_session() as session:
        site = replace(owed.site, quiet_seasons="03-01/08-31 nesting")
        records.SITES.change(session, site)
    with store.read_session() as session:
        made = plan_of(session, wish(), today=TODAY)

    assert "nesting season" in made.rounds.left[0].why


def test_minutes_say_that_they_are_common_practice(store, owed):
    with store.read_session() as session:
        made = plan_of(session, wish(), today=TODAY)

    assert made.minutes["S-1"].source == "common practice, no source"


def test_minutes_are_learnt_where_devices_noted_the_time(store, owed):
    # By hand: ten visits at one site, 18 min apart.
    noon = datetime(2026, 3, 2, 12, tzinfo=UTC)
    with store.write_session() as session:
        visits = [
            replace(
                an_inspection(owed.support.id, date(2026, 3, 2)),
                device_at=noon + timedelta(minutes=18 * n),
            )
            for n in range(10)
        ]
        records.INSPECTIONS.add(session, visits)
    with store.read_session() as session:
        made = plan_of(session, wish(), today=TODAY)

    assert made.minutes["S-1"].minutes == 18.0
    assert made.minutes["S-1"].source == "learnt from 9 visits"


def test_how_much_is_owed_is_told_before_anybody_plans(store, owed):
    # By hand: 20 min for the post, 60 min for a cable that is climbed to.
    with store.read_session() as session:
        told = owing(session, 5, today=TODAY)

    assert (told.visits, told.minutes) == (2, 80.0)


@pytest.mark.parametrize(
    "changes", [{"days": 0}, {"days": 99}, {"people": ()}, {"start": "nowhere"}]
)
def test_a_wish_that_can_not_be_is_refused(store, owed, changes):
    with store.read_session() as session, pytest.raises(InvalidInput):
        plan_of(session, wish(**changes), today=TODAY)


def test_people_are_read_with_skills_and_hours():
    edda, perran = parse_people("Edda (climbing, 9:00-14:00), Perran")

    assert (edda.skills, edda.begins, edda.ends) == (frozenset({"climbing"}), 540, 840)
    assert perran.skills == frozenset()


def test_of_a_bare_number_of_people_no_skill_is_known():
    assert [person.skills for person in parse_people("2")] == [None, None]


@pytest.mark.parametrize(
    ("read", "text"),
    [
        (parse_people, "Edda (climbing"),
        (parse_people, ",,"),
        (parse_people, "Edda (9:00-8:00)"),
        (parse_hours, "nine to five"),
        (parse_hours, "9:75-10:00"),
        (parse_access, "OT1"),
        (parse_pins, "S-1@Edda"),
        (parse_arranged, "S-1@Edda@tomorrow"),
        (parse_day, "31.12.2026"),
    ],
)
def test_what_can_not_be_read_is_refused_with_an_example(read, text):
    with pytest.raises(InvalidInput):
        read(text)


def test_a_person_and_days_to_plan_anew_survive_the_address():
    (edda,) = parse_people("Edda (climbing, 9:00-14:00)")
    days = parse_again("Edda@2026-06-02;Perran@2026-06-03")

    assert parse_people(person_in_words(edda)) == (edda,)
    assert parse_again(again_in_words(days)) == days


def test_pins_and_orders_survive_the_address():
    pins = parse_pins("S@1@Edda@2026-06-02;S-2@Perran@2026-06-03")
    days = parse_arranged("S-1,S-2@Edda@2026-06-02")

    assert parse_pins(pins_in_words(pins)) == pins
    assert parse_arranged(arranged_in_words(days)) == days


def test_a_closed_week_and_a_holiday_are_kept_out_of_the_rounds_with_their_reason(
    store, owed
):
    with store.write_session() as session:
        for site in list(records.SITES.all(session)):
            shut = ClosureCommand(site.code, date(2026, 6, 2), date(2026, 6, 3), "fair")
            close_site(session, shut, actor="test", now=LONG_AGO)
        records.DUES.put(session, [a_due(owed.support.id, TODAY)])
        made = plan_of(session, wish(), today=TODAY)

    assert made.rounds.days == ()
    why = {left.stop.code: left.why for left in made.rounds.left}
    assert why["S-1"] == (
        "No day is left for it; 2 June 2026, for one, falls in a closure from 2 June "
        "2026 to 3 June 2026 (fair)."
    )


def test_a_season_of_frozen_ground_is_kept_out_of_the_rounds(store, owed):
    winter = date(2027, 1, 11)
    with store.write_session() as session:
        for site in records.SITES.all(session):
            frozen = replace(site, quiet_seasons="12-15/02-28 frozen ground")
            records.SITES.change(session, frozen)
        made = plan_of(session, wish(first_on=winter), today=TODAY)

    assert made.rounds.visits == ()
    assert all("falls in the frozen ground" in left.why for left in made.rounds.left)


def test_a_leafless_wish_waits_while_it_can_be_met_and_is_dropped_when_it_can_not(
    store, owed
):
    with store.write_session() as session:
        wish_crown(session, "S-1", "leafless", actor="test", now=LONG_AGO)
        late = a_due(owed.support.id, TODAY)
        records.DUES.put(session, [late])
        dropped = plan_of(session, wish(), today=TODAY)
        records.DUES.put(session, [replace(late, late_on=date(2026, 12, 1))])
        waits = plan_of(session, wish(), today=TODAY)

    assert "S-1" in {visit.stop.code for visit in dropped.rounds.visits}
    left = next(each for each in waits.rounds.left if each.stop.code == "S-1")
    assert "falls in the leaf season" in left.why
