"""Entering a storm raises looks in order of risk, once; a look after it answers."""

import json
from dataclasses import replace
from datetime import date, timedelta

import pytest

from monitor.clock import new_id
from monitor.domain.vocabulary import InspectionKind, Occupancy, Standing
from monitor.errors import Conflict, InvalidInput, NotFound
from monitor.schedule.circle import circle
from monitor.services.assessing.assess import assess, assess_all
from monitor.services.planning.event_calls import calls_of, still_waiting
from monitor.services.planning.events import (
    EventCommand,
    draft_event,
    end_event,
    enter_event,
    withdraw_event,
)
from monitor.services.planning.plan import plan_all
from monitor.services.recording.commands import InspectionCommand
from monitor.services.recording.record import record_inspection
from monitor.store import ledger, records
from tests.build import a_support, some_readings
from tests.conftest import NOON
from tests.dashboard.conclusions import stands

TODAY = NOON.date()
STORM_ON = date(2026, 5, 30)
FULL = {date(2011 + n, 5, 1): 0.1 * (n % 3) for n in range(16)}
AROUND = circle((-20.0, 47.5), 2.0)
WHO = {"actor": "test", "now": NOON}


@pytest.fixture
def four(store):
    """Three together, the second on watch, the third over a quiet path; one far."""
    with store.write_session() as session:
        built = [a_support(session, f"S-{n}") for n in range(1, 5)]
        for one in built:
            some_readings(session, one, "settlement", FULL)
        quiet = replace(built[2].support, occupancy=Occupancy.RARE)
        records.SUPPORTS.change(session, quiet)
        far = replace(built[3].site, latitude=48.0)
        records.SITES.change(session, far)
        assess_all(session, now=NOON)
        stands(session, built[1].support.id, Standing.WATCH, "It leans.")
    return built


def a_storm(**changes):
    plain = EventCommand("storm", STORM_ON, area=AROUND, size="95 km/h", note="")
    return replace(plain, **changes)


def due_of(session, built):
    return records.DUES.find(session, support_id=built.support.id)


def test_looks_are_raised_in_order_of_risk_with_a_day_to_be_done_by(store, four):
    with store.write_session() as session:
        entered = enter_event(session, a_storm(), **WHO)

        calls = calls_of(session, entered.event)
        dues = [due_of(session, one) for one in four]

    # event_rules: from 89 km/h on, doubtful supports in 2 days, over people in 3,
    # others in 14 (common practice, no source)
    assert [call.support_id for call in calls] == [
        four[n].support.id for n in (1, 0, 2)
    ]
    assert [(call.done_by_on - STORM_ON).days for call in calls] == [2, 3, 14]
    assert [due.rule == "after-event" for due in dues] == [True, True, True, False]
    assert dues[1].due_on == STORM_ON + timedelta(days=2)
    assert "storm with gusts of 95 km/h (26 m/s)" in dues[1].sentence


def test_the_same_event_entered_twice_does_not_raise_twice(store, four):
    with store.write_session() as session:
        first = enter_event(session, a_storm(), **WHO)
        again = enter_event(session, a_storm(name="The same storm"), **WHO)
        wider = enter_event(session, a_storm(area=circle((-20.0, 47.5), 90)), **WHO)

        assert again.known == first.event
        assert records.EVENTS.count(session) == 2
        assert [call.candidate.code for call in wider.new] == ["S-4"]
        assert records.EVENT_CALLS.count(session) == 4


def test_a_weak_storm_calls_nobody_and_says_what_was_needed(store, four):
    with store.read_session() as session:
        draft = draft_event(session, a_storm(size="30 kn"), now=NOON)

    assert draft.new == ()
    assert "stays below a gust of 75 km/h (21 m/s)" in draft.response.remark


def test_an_inspection_after_the_event_answers_it(store, four):
    with store.write_session() as session:
        entered = enter_event(session, a_storm(), **WHO)
        command = InspectionCommand("S-2", TODAY, "Ines", kind="after event", note="ok")
        record_inspection(session, command, **WHO)
        assess(session, [four[1].support.id], now=NOON)

        waiting = still_waiting(session, entered.event)
        due = due_of(session, four[1])

    assert [call.support_id for call in waiting] == [four[n].support.id for n in (0, 2)]
    assert due.rule != "after-event"


def test_who_was_looked_at_since_is_not_called(store, four):
    with store.write_session() as session:
        command = InspectionCommand("S-1", TODAY, "Ines", note="ok")
        record_inspection(session, command, **WHO)

        draft = enter_event(session, a_storm(), **WHO)

    assert draft.seen == 1
    assert [call.candidate.code for call in draft.new] == ["S-2", "S-3"]


def test_ending_shows_what_is_still_open_and_keeps_it_owed(store, four):
    with store.write_session() as session:
        entered = enter_event(session, a_storm(), **WHO)

        ended = end_event(session, entered.event.name, ended_on=TODAY, **WHO)

        assert len(ended.still_open) == 3
        assert due_of(session, four[0]).rule == "after-event"
        with pytest.raises(Conflict, match="already"):
            end_event(session, entered.event.name, ended_on=TODAY, **WHO)


def test_a_dig_is_looked_at_every_week_and_once_more_at_its_end(store, four):
    dig = EventCommand("excavation", date(2026, 5, 11), support="s-1")
    with store.write_session() as session:
        entered = enter_event(session, dig, **WHO)
        first = due_of(session, four[0])
        command = InspectionCommand("S-1", date(2026, 5, 28), "Ines", note="dry")
        record_inspection(session, command, **WHO)
        assess(session, [four[0].support.id], now=NOON)
        weekly = due_of(session, four[0])
        end_event(session, entered.event.name, ended_on=TODAY, **WHO)
        last = due_of(session, four[0])

    assert first.due_on == date(2026, 5, 11)
    assert weekly.due_on == date(2026, 6, 4)  # every 7 days: common practice
    assert weekly.sentence.endswith("again every 7 days while it lasts.")
    assert last.due_on == TODAY
    assert "after the end of the excavation" in last.sentence


def test_a_withdrawn_event_asks_for_nothing_and_frees_the_way_for_the_right_one(
    store, four
):
    with store.write_session() as session:
        entered = enter_event(session, a_storm(), **WHO)
        withdraw_event(session, str(entered.event.id), reason="wrong day", **WHO)

        assert due_of(session, four[0]).rule != "after-event"
        assert len(enter_event(session, a_storm(), **WHO).new) == 3
        with pytest.raises(NotFound):
            withdraw_event(session, "Storm of 1 April 2026", reason="x", **WHO)


def test_every_change_is_in_the_ledger_with_the_supports_it_calls(store, four):
    with store.write_session() as session:
        entered = enter_event(session, a_storm(), **WHO)
        lines = list(ledger.entries(session))

    said = [(line.change.action, line.change.subject) for line in lines]
    assert ("event entered", f"event {entered.event.id}") in said
    assert ("called to a look", "support S-2") in said


def test_rebuilding_gives_what_was_raised_when_it_was_entered(store, four):
    with store.write_session() as session:
        enter_event(session, a_storm(), **WHO)
        raised = records.DUES.all(session)

        plan_all(session, now=NOON)

        assert records.DUES.all(session) == raised


def test_an_unplaced_support_is_named_for_a_person_to_decide(store, four):
    with store.write_session() as session:
        records.SITES.change(session, replace(four[0].site, latitude=None))
        draft = draft_event(session, a_storm(), now=NOON)

    assert [one.code for one in draft.response.unplaced] == ["S-1"]


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"kind": "hail"}, "expected one of storm"),
        ({"happened_on": TODAY + timedelta(days=3)}, "has not come yet"),
        ({"size": "95"}, "with its unit"),
        ({"size": "950 km/h"}, "strongest on record"),
        ({"size": "95 bananas"}, "km/h, m/s, mph or kn"),
        ({"area": ""}, "in one way"),
        ({"support": "S-1"}, "in one way"),
        ({"area": "[1, 2]"}, "a Polygon is expected"),
        ({"area": "", "around": "V-S-1", "radius": "far"}, "radius in kilometres"),
        ({"area": "", "around": "V-S-1", "radius": "-3"}, "more than 0"),
        ({"kind": "excavation"}, "says nothing of this kind"),
        ({"kind": "earthquake", "size": "13"}, "Modified Mercalli"),
        ({"kind": "ice", "size": "half a lot"}, "Ice in mm"),
    ],
)
def test_what_can_not_be_is_refused_in_words(store, four, changes, words):
    with store.read_session() as session, pytest.raises(InvalidInput, match=words):
        draft_event(session, a_storm(**changes), now=NOON)


def test_a_feature_is_kept_as_its_bare_polygon(store, four):
    feature = json.dumps({"type": "Feature", "geometry": json.loads(AROUND)})

    with store.read_session() as session:
        event = draft_event(session, a_storm(area=feature), now=NOON).event

    assert json.loads(event.area)["type"] == "Polygon"


def test_a_circle_about_a_site_reaches_as_far_as_it_says(store, four):
    # 0.5 degrees of latitude are 55.6 km on the mean sphere (by hand: 6371 * pi / 360)
    for radius, codes in (("55.5", 3), ("55.7 km", 4)):
        with store.read_session() as session:
            command = a_storm(area="", around="v-s-1", radius=radius)
            draft = draft_event(session, command, now=NOON)

        assert len(draft.new) == codes


def test_an_event_of_unknown_kind_of_id_is_not_found(store):
    with store.write_session() as session, pytest.raises(NotFound, match="event list"):
        end_event(session, str(new_id()), ended_on=TODAY, **WHO)


def test_a_look_before_the_event_on_the_same_day_answers_only_if_it_says_so(
    store, four
):
    with store.write_session() as session:
        entered = enter_event(session, a_storm(happened_on=TODAY), **WHO)
        for code, kind in (
            ("S-1", InspectionKind.ROUTINE),
            ("S-2", InspectionKind.AFTER_EVENT),
        ):
            command = InspectionCommand(code, TODAY, "Ines", kind=kind, note="ok")
            record_inspection(session, command, **WHO)

        waiting = {call.support_id for call in still_waiting(session, entered.event)}

    assert four[0].support.id in waiting
    assert four[1].support.id not in waiting
