"""Thirty years of one support, lived at random: what holds on every day asked."""

import time
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from uuid import UUID

from hypothesis import given, settings
from hypothesis import strategies as st

from monitor.domain.vocabulary import (
    Consequence,
    EventKind,
    Grade,
    InspectionKind,
    MemberKind,
    Occupancy,
    WorkKind,
)
from monitor.schedule.default_policy import default_policy
from monitor.schedule.due import owed, reasons, state
from monitor.schedule.history import Deferral, EventLook
from tests.schedule.build import NOW, a_history, a_look

POLICY = default_policy()
INSTALLED_ON = date(1996, 2, 29)
YEARS = 30
SEASONS = ("", "03-01/08-31 nesting", "12-15/01-05 market; 02-01/04-30 frost")
HAPPENINGS = st.lists(
    st.tuples(
        st.integers(0, YEARS * 365),
        st.sampled_from(
            ["work", "storm", "finding closed", "finding", "look", "defer"]
        ),
    ),
    max_size=25,
)
SUPPORTS = st.builds(
    a_history,
    installed_on=st.just(INSTALLED_ON),
    inspections=st.just(((INSTALLED_ON, InspectionKind.BASELINE),)),
    kinds=st.lists(st.sampled_from(MemberKind), max_size=3).map(tuple),
    occupancy=st.sampled_from(Occupancy),
    consequence=st.sampled_from(Consequence),
    client_interval_months=st.none() | st.integers(1, 60),
    quiet_seasons=st.sampled_from(SEASONS),
)


def befall(history, what, on):
    """One thing that happens to a support on a day."""
    if what == "work":
        return replace(history, works=(*history.works, (on, WorkKind.REPLACEMENT)))
    if what == "storm":
        storm = EventLook(EventKind.STORM, "storm", on, on + timedelta(days=3))
        return replace(history, events=(*history.events, storm))
    if what == "finding":
        return replace(history, worst_finding=("loose nut", Grade.ACT, on))
    if what == "finding closed":
        return replace(history, worst_finding=None)
    if what == "look":
        wanted = a_look(look_again_on=on + timedelta(days=200), act_early_on=None)
        return replace(history, looks=(wanted,))
    reason = reasons(history, POLICY, on)[0]
    until_on = max(on, reason.due_on) + timedelta(days=40)
    deferral = Deferral(reason.due_on, until_on, "road works", "Maren", on)
    return replace(history, deferrals=(*history.deferrals, deferral))


def lived(history, happenings, lateness):
    """Yield the history, the due and the day, every month for thirty years."""
    waiting = sorted(happenings)
    for day in range(0, YEARS * 365, 30):
        today = INSTALLED_ON + timedelta(days=day)
        while waiting and waiting[0][0] <= day:
            history = befall(history, waiting.pop(0)[1], today)
        due = owed(history, POLICY, today, NOW)
        yield history, due, today
        if today >= due.due_on + timedelta(days=lateness):
            kind = due.kind
            seen = (*history.inspections, (today, kind))
            history = replace(history, inspections=seen, looks=())


@settings(max_examples=10)
@given(SUPPORTS, HAPPENINGS, st.integers(-20, 60))
def test_nothing_in_service_is_ever_without_a_due_date_and_a_reason(
    history, happenings, lateness
):
    for now, due, today in lived(history, happenings, lateness):
        assert due.opens_on <= due.due_on <= due.late_on
        assert due.sentence.startswith("Due on ")
        dates = [on for _, on, _ in due.reasons]
        assert dates == sorted(dates)
        assert due.rule in {rule for rule, _, _ in due.reasons}
        assert state(due, today)
        assert owed(replace(now), POLICY, today, NOW) == due


@settings(max_examples=10)
@given(SUPPORTS)
def test_a_punctual_inspector_never_leaves_a_support_longer_than_the_interval(history):
    """The window may add its 30 days on either side, never more."""
    final = history
    for now, _, _ in lived(history, [], -20):
        final = now
    said = {r.rule: r for r in reasons(final, POLICY, INSTALLED_ON)}
    longest = said["duty-interval"].span_days + 60

    full = final.visits(frozenset(InspectionKind), date.max)
    assert all((b - a).days <= longest for a, b in pairwise(full))


@given(
    st.dates(date(2026, 5, 5), date(2040, 1, 1)),
    st.sampled_from(["look", "finding", "storm", "client"]),
)
def test_one_more_reason_never_makes_an_inspection_later(on, what):
    plain = a_history()
    today = date(2026, 5, 4)
    more = {
        "look": replace(plain, looks=(a_look(look_again_on=on),)),
        "finding": replace(plain, worst_finding=("crack", Grade.ACT, today)),
        "storm": replace(
            plain, events=(EventLook(EventKind.STORM, "storm", today, on),)
        ),
        "client": replace(plain, client_interval_months=max(1, on.year - 2020)),
    }[what]

    before, after = (owed(h, POLICY, today, NOW) for h in (plain, more))

    assert before is not None
    assert after is not None
    assert after.due_on <= before.due_on
    assert after.late_on <= before.late_on


def test_ten_thousand_supports_are_done_in_well_under_two_seconds():
    """Processor time, so that a busy machine does not decide."""
    look = a_look()
    fleet = [
        a_history(support_id=UUID(int=i), looks=(look,), quiet_seasons=SEASONS[i % 3])
        for i in range(10_000)
    ]

    started = time.process_time()
    dues = [owed(history, POLICY, date(2026, 5, 4), NOW) for history in fleet]
    spent_s = time.process_time() - started

    assert len(dues) == 10_000
    assert spent_s < 2.0
