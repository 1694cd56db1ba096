"""After an event: who is looked at, by when, in order of risk, and only once."""

from dataclasses import replace
from datetime import UTC, date, datetime
from uuid import UUID

import pytest

from monitor.domain.events import Event
from monitor.domain.vocabulary import (
    Consequence,
    EventKind,
    InspectionKind,
    Occupancy,
    Standing,
)
from monitor.errors import InvalidInput
from monitor.schedule.default_policy import default_policy
from monitor.schedule.due import owed
from monitor.schedule.event_rules import EVENT_RULES
from monitor.schedule.gusts import gust_m_s
from monitor.schedule.responses import (
    Candidate,
    may_be_same,
    order_of_risk,
    respond,
    still_open,
)
from tests.schedule.build import NOW, TODAY, a_history

AREA = (
    '{"type": "Polygon", "coordinates": '
    "[[[-20.1, 47.4], [-19.9, 47.4], [-19.9, 47.6], [-20.1, 47.6], [-20.1, 47.4]]]}"
)
HAPPENED_ON = date(2026, 5, 1)


def an_event(**changes):
    event = Event(
        id=UUID(int=1),
        kind=EventKind.STORM,
        name="First of May",
        happened_on=HAPPENED_ON,
        area=AREA,
        support_id=None,
        magnitude=gust_m_s(95, "km/h"),
        ended_on=None,
        note="",
        recorded_at=datetime(2026, 5, 1, tzinfo=UTC),
    )
    return replace(event, **changes)


def a_candidate(code="VM-001", **changes):
    candidate = Candidate(
        support_id=UUID(int=hash(code) % 2**64),
        code=code,
        position=(-20.0, 47.5),
        standing=Standing.HOLDING,
        margin=3.0,
        occupancy=Occupancy.RARE,
        consequence=Consequence.MINOR,
        evidence=1.0,
    )
    return replace(candidate, **changes)


def days_given(candidate, event):
    called = respond(event, [candidate]).called
    return [(one.look.done_by_on - event.happened_on).days for one in called]


@pytest.mark.parametrize(
    ("km_h", "standing", "use", "days"),
    [
        (74, Standing.ACT, Occupancy.CONSTANT, []),
        (75, Standing.WATCH, Occupancy.RARE, [2]),
        (75, Standing.HOLDING, Occupancy.CONSTANT, []),
        (89, Standing.MAKE_SAFE, Occupancy.RARE, [2]),
        (89, Standing.HOLDING, Occupancy.FREQUENT, [3]),
        (89, Standing.HOLDING, Occupancy.OCCASIONAL, [14]),
    ],
)
def test_gusts_call_by_strength_standing_and_use_beneath(km_h, standing, use, days):
    """Lower edges of Beaufort 9 and 10, 75 and 89 km/h; days are common practice."""
    storm = an_event(magnitude=gust_m_s(km_h, "km/h"))

    assert days_given(a_candidate(standing=standing, occupancy=use), storm) == days


def test_the_same_storm_in_knots_or_miles_an_hour_calls_the_same():
    for value, unit in ((51.3, "kn"), (59.03, "mph"), (26.39, "m/s"), (95, "km/h")):
        storm = an_event(magnitude=gust_m_s(value, unit))
        assert days_given(a_candidate(), storm) == [14]


def test_a_storm_of_unknown_strength_counts_as_a_strong_one():
    assert days_given(a_candidate(), an_event(magnitude=None)) == [14]


def test_too_weak_an_event_says_so():
    response = respond(an_event(magnitude=10.0), [a_candidate()])

    assert response.called == ()
    assert "stays below a gust of 75 km/h (21 m/s)" in response.remark


@pytest.mark.parametrize(
    ("kind", "magnitude", "days"),
    [
        (EventKind.VEHICLE_STRIKE, None, [0]),
        (EventKind.EXCAVATION, None, [0]),
        (EventKind.ICE, 5.0, []),
        (EventKind.ICE, 6.0, [14]),
        (EventKind.SNOW, 100.0, [14]),
        (EventKind.EARTHQUAKE, 4.0, []),
        (EventKind.EARTHQUAKE, 5.0, [14]),
        (EventKind.FLOOD, 50.0, [14]),
    ],
)
def test_every_kind_of_event_has_its_threshold(kind, magnitude, days):
    """Common practice, no source, but Modified Mercalli V as dam owners use it."""
    assert days_given(a_candidate(), an_event(kind=kind, magnitude=magnitude)) == days


def test_every_rule_names_its_source_and_its_triggers_go_up():
    assert set(EVENT_RULES) == set(EventKind)
    for rule in EVENT_RULES.values():
        sizes = [trigger.at_least for trigger in rule.triggers]
        assert sizes == sorted(set(sizes))
        assert all(trigger.source for trigger in rule.triggers)


def test_only_supports_in_the_area_are_called_and_unplaced_ones_are_shown():
    near = a_candidate("NEAR")
    far = a_candidate("FAR", position=(-21.0, 47.5))
    lost = a_candidate("LOST", position=None)

    response = respond(an_event(), [near, far, lost])

    assert [one.candidate.code for one in response.called] == ["NEAR"]
    assert [one.code for one in response.unplaced] == ["LOST"]


def test_a_strike_on_one_support_calls_only_that_one():
    struck, other = a_candidate("S"), a_candidate("O")
    strike = an_event(
        kind=EventKind.VEHICLE_STRIKE, area="", support_id=struck.support_id
    )

    response = respond(strike, [other, struck])

    assert [one.candidate.code for one in response.called] == ["S"]
    assert response.called[0].look.label == "vehicle strike"


def test_an_event_without_a_place_is_refused():
    with pytest.raises(InvalidInput, match="draw an area or choose a support"):
        respond(an_event(area=""), [a_candidate()])


def test_the_gravest_are_first_by_standing_margin_target_and_evidence():
    in_order = [
        a_candidate("A", standing=Standing.MAKE_SAFE, margin=9.0),
        a_candidate("B", standing=Standing.WATCH, margin=None),
        a_candidate("C", standing=Standing.WATCH, margin=1.1),
        a_candidate("D", occupancy=Occupancy.CONSTANT),
        a_candidate("E", consequence=Consequence.SEVERE),
        a_candidate("F", evidence=None),
        a_candidate("G", evidence=50.0),
        a_candidate("H"),
    ]

    shuffled = in_order[3:] + in_order[:3]
    assert sorted(shuffled, key=order_of_risk) == in_order


def test_an_event_entered_twice_asks_a_support_once():
    first, again = an_event(), an_event(id=UUID(int=2), name="storm, entered again")
    looks = tuple(
        respond(event, [a_candidate()]).called[0].look for event in (first, again)
    )

    due = owed(a_history(events=looks), default_policy(), TODAY, NOW)

    assert may_be_same(first, again)
    assert due is not None
    assert (due.rule, due.kind) == ("after-event", InspectionKind.AFTER_EVENT)
    assert [rule for rule, _, _ in due.reasons].count("after-event") == 1
    assert due.sentence == (
        "Due on 15 May 2026: after the storm with gusts of 95 km/h (26 m/s) on "
        "1 May 2026."
    )


def test_a_look_after_the_event_answers_it_and_one_before_does_not():
    look = respond(an_event(), [a_candidate()]).called[0].look
    history = a_history(events=(look,))
    answers = {
        (HAPPENED_ON, InspectionKind.ROUTINE): "after-event",  # before or after?
        (HAPPENED_ON, InspectionKind.AFTER_EVENT): "duty-interval",
        (date(2026, 5, 2), InspectionKind.AFTER_EVENT): "duty-interval",
    }

    for visit, rule in answers.items():
        seen = replace(history, inspections=(*history.inspections, visit))
        due = owed(seen, default_policy(), TODAY, NOW)
        assert due is not None
        assert due.rule == rule


def test_digging_is_looked_at_every_week_and_once_more_at_its_end():
    digging = an_event(kind=EventKind.EXCAVATION, magnitude=None)
    look = respond(digging, [a_candidate()]).called[0].look
    seen = (*a_history().inspections, (date(2026, 5, 1), InspectionKind.AFTER_EVENT))
    history = a_history(events=(look,), inspections=seen)

    due = owed(history, default_policy(), TODAY, NOW)
    assert due is not None
    assert due.due_on == date(2026, 5, 8)

    ended = respond(replace(digging, ended_on=date(2026, 5, 4)), [a_candidate()])
    last = ended.called[0].look
    due = owed(replace(history, events=(last,)), default_policy(), TODAY, NOW)
    assert due is not None
    assert (due.rule, due.due_on) == ("after-event", date(2026, 5, 4))
    assert last.again_days is None


def test_what_is_still_open_is_what_nobody_has_seen_since():
    seen, unseen = a_candidate("S"), a_candidate("U")
    called = respond(an_event(), [seen, unseen]).called

    left = still_open(called, {seen.support_id: HAPPENED_ON})

    assert [one.candidate.code for one in left] == ["U"]
