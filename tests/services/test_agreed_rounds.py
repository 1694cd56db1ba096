"""Agreed rounds: kept as shown, changed by a new version, taken back."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from threading import Barrier, Thread

import pytest

from monitor.errors import Conflict, InvalidInput, MonitorError, NotFound
from monitor.schedule.round_task import Arranged, Pin
from monitor.services.planning.agreed import (
    agreed_round,
    latest_rounds,
    standing_rounds,
    take_back,
)
from monitor.services.planning.agreeing import agree, mark_of
from monitor.services.planning.round_words import parse_people
from monitor.services.planning.rounds import RoundWish, plan_of
from monitor.services.planning.site_hours import keep_hours
from monitor.store import records
from tests.build import a_support
from tests.services.test_rounds import TODAY, a_due

NOW = datetime(2026, 6, 1, 9, tzinfo=UTC)
TUESDAY = TODAY + timedelta(days=1)


@pytest.fixture
def owed(store):
    """Three posts that are owed today."""
    with store.write_session() as session:
        made = [a_support(session, f"S-{n}") for n in (1, 2, 3)]
        records.DUES.add(session, [a_due(one.support.id, TODAY) for one in made])
    return made


def wish(who="Edda", days=1, **changes):
    return replace(RoundWish(parse_people(who), days), **changes)


def planned(store, asked):
    with store.read_session() as session:
        return plan_of(session, asked, today=TODAY)


def agreed(store, asked, now=NOW):
    made = planned(store, asked)
    with store.write_session() as session:
        return agree(session, made, today=TODAY, actor="Ines", now=now)


def standing(store):
    with store.read_session() as session:
        return standing_rounds(session, TODAY)


def test_an_agreed_round_keeps_order_times_and_pins(store, owed):
    asked = wish(pins=(Pin("S-2", "Edda", TUESDAY),))
    shown = planned(store, asked).rounds.days[0]

    agreed(store, asked)

    (one,) = standing(store)
    assert (one.round.person, one.round.planned_on) == ("Edda", TUESDAY)
    assert one.round.version == 1
    assert one.codes == tuple(visit.stop.code for visit in shown.visits)
    assert [s.begins_min for s in one.stops] == [round(v.begins) for v in shown.visits]
    assert [s.is_pinned for s in one.stops] == [code == "S-2" for code in one.codes]


def test_agreeing_the_same_again_writes_nothing(store, owed):
    agreed(store, wish())

    again = agreed(store, wish())

    assert (again.written, again.same) == ((), 1)
    assert standing(store)[0].round.version == 1


def test_an_agreed_day_stays_as_it_is_when_more_is_planned(store, owed):
    backwards = Arranged("Edda", TUESDAY, ("S-3", "S-1", "S-2"))
    agreed(store, wish(arranged=(backwards,)))

    made = planned(store, wish(days=3))

    assert [v.stop.code for v in made.rounds.days[0].visits] == ["S-3", "S-1", "S-2"]
    assert len(made.rounds.days) == 1


def test_a_visit_in_the_round_of_another_is_not_planned_twice(store, owed):
    agreed(store, wish("Edda"))

    made = planned(store, wish("Perran", days=3))

    assert made.rounds.days == ()
    assert made.agreed.taken.keys() == {"S-1", "S-2", "S-3"}
    assert {one.round.person for one in made.agreed.taken.values()} == {"Edda"}


def test_planned_anew_the_pinned_stops_stay(store, owed):
    agreed(store, wish(days=2, pins=(Pin("S-2", "Edda", TUESDAY),)))
    (one,) = standing(store)

    made = planned(
        store,
        wish("Edda, Perran", days=2, pins=one.pins, again=(("Edda", TUESDAY),)),
    )

    day = next(d for d in made.rounds.days if "S-2" in {v.stop.code for v in d.visits})
    assert (day.person.name, day.on) == ("Edda", TUESDAY)
    assert {v.stop.code for v in made.rounds.visits} == {"S-1", "S-2", "S-3"}


def test_a_changed_round_is_a_new_version_of_the_same(store, owed):
    agreed(store, wish())
    root = standing(store)[0].round.root_id

    backwards = Arranged("edda", TUESDAY, ("S-3", "S-2", "S-1"))
    agreed(store, wish("edda", arranged=(backwards,)))

    (one,) = standing(store)
    assert (one.round.root_id, one.round.version) == (root, 2)
    assert one.codes == ("S-3", "S-2", "S-1")


def test_a_day_that_lost_all_its_visits_is_taken_back(store, owed):
    agreed(store, wish(days=2))
    wednesday = TUESDAY + timedelta(days=1)

    moved = Arranged("Edda", wednesday, ("S-1", "S-2", "S-3"))
    agreed(store, wish(days=2, arranged=(moved,)))

    with store.read_session() as session:
        latest = latest_rounds(session, TODAY)
    assert [(a.round.planned_on, a.round.withdrawn) for a in latest] == [
        (TUESDAY, True),
        (wednesday, False),
    ]


def test_a_round_that_is_taken_back_frees_its_visits(store, owed):
    agreed(store, wish())
    root = standing(store)[0].round.root_id

    with store.write_session() as session:
        take_back(session, root, reason="Edda is ill.", actor="Ines", now=NOW)

    assert standing(store) == ()
    with store.read_session() as session:
        back = agreed_round(session, root)
    assert (back.round.version, back.round.withdrawn) == (2, True)
    assert set(back.codes) == {"S-1", "S-2", "S-3"}
    assert planned(store, wish("Perran")).agreed.taken == {}


def test_taking_back_wants_a_reason_and_a_round_that_stands(store, owed):
    agreed(store, wish())
    root = standing(store)[0].round.root_id

    def back(why):
        with store.write_session() as session:
            take_back(session, root, reason=why, actor="Ines", now=NOW)

    with pytest.raises(InvalidInput, match="Say why"):
        back("  ")
    back("Rain.")
    with pytest.raises(NotFound):
        back("Rain.")


def test_a_round_without_a_name_or_a_visit_is_refused(store, owed):
    with pytest.raises(InvalidInput, match="by name"):
        agreed(store, wish("1"))
    agreed(store, wish("Edda"))
    with pytest.raises(InvalidInput, match="no visit"):
        agreed(store, wish("Perran"))


def test_a_day_longer_than_its_hours_is_not_agreed(store, owed):
    hours = wish("Edda (8:00-9:00)")
    crowded = Arranged("Edda", TUESDAY, ("S-1", "S-2", "S-3"))

    with pytest.raises(InvalidInput, match="longer than the hours"):
        agreed(store, replace(hours, arranged=(crowded,)))


def test_a_plan_is_refused_if_rounds_were_agreed_since(store, owed):
    old = planned(store, wish("Perran"))
    agreed(store, wish("Edda"))

    with (
        pytest.raises(Conflict, match="since this was planned"),
        store.write_session() as session,
    ):
        agree(session, old, today=TODAY, actor="Ines", now=NOW)

    assert [one.round.person for one in standing(store)] == ["Edda"]


def test_two_who_agree_at_once_do_not_send_two_people_to_one_tree(store, owed):
    plans = [planned(store, wish("Edda")), planned(store, wish("Perran"))]
    gate, refused = Barrier(2), []

    def run(made):
        gate.wait(10)
        try:
            with store.write_session() as session:
                agree(session, made, today=TODAY, actor="Ines", now=NOW)
        except MonitorError as error:
            refused.append(error)

    threads = [Thread(target=run, args=(made,)) for made in plans]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)

    assert len(refused) == 1
    assert len(standing(store)) == 1


def test_a_visit_done_meanwhile_is_named_and_leaves_the_plan(store, owed):
    agreed(store, wish())
    with store.write_session() as session:
        later = a_due(owed[0].support.id, TODAY + timedelta(days=365))
        records.DUES.put(session, [later])

    made = planned(store, wish(days=2))

    assert {visit.stop.code for visit in made.rounds.visits} == {"S-2", "S-3"}
    assert made.rounds.unknown == ("S-1",)


def test_hours_of_access_are_kept_with_the_site_and_used(store, owed):
    site = owed[0].site.code
    with store.write_session() as session:
        keep_hours(session, site, "13:00 - 15:30", actor="Ines", now=NOW)

    with store.read_session() as session:
        kept = records.SITES.find(session, code=site)
    assert kept.access_hours == "13:00-15:30"
    first = [v for v in planned(store, wish()).rounds.visits if v.stop.code == "S-1"]
    assert first[0].begins >= 13 * 60
    assert first[0].ends <= 15 * 60 + 30


def test_hours_that_are_none_are_refused(store, owed):
    with (
        pytest.raises(InvalidInput, match="are no hours"),
        store.write_session() as session,
    ):
        keep_hours(session, owed[0].site.code, "noon", actor="Ines", now=NOW)


def test_another_plan_has_another_mark(store, owed):
    one, same = planned(store, wish()), planned(store, wish())
    other = planned(store, wish("Edda (9:00-14:00)"))

    assert mark_of(one) == mark_of(same) != mark_of(other)
