"""The anchored rhythm against a plain walk that takes no short cuts."""

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from monitor.schedule.calendar import Interval, occurrence
from monitor.schedule.rhythm import next_beat

ANCHORS = st.dates(date(2000, 1, 1), date(2004, 12, 31))
INTERVALS = st.builds(Interval, months=st.integers(1, 60)) | st.builds(
    Interval, months=st.integers(0, 3), days=st.integers(1, 30)
)
VISIT_DAYS = st.lists(st.integers(-30, 6000), max_size=12).map(sorted)


def plain_walk(anchor_on, visits, interval, opening_days):
    """As the rule reads: step through every occurrence, one by one."""
    n = 1
    for visit in visits:
        if visit <= anchor_on:
            continue
        if visit < occurrence(anchor_on, interval, n) - timedelta(days=opening_days):
            anchor_on, n = visit, 1
            continue
        while (
            occurrence(anchor_on, interval, n) - timedelta(days=opening_days) <= visit
        ):
            n += 1
    return occurrence(anchor_on, interval, n), anchor_on


@given(ANCHORS, VISIT_DAYS, INTERVALS, st.integers(0, 30))
def test_the_rhythm_is_that_of_the_plain_walk(anchor_on, days, interval, opening_days):
    visits = [anchor_on + timedelta(days=day) for day in days]
    opening_days = min(opening_days, interval.least_days // 3)

    beat = next_beat(anchor_on, visits, interval, opening_days)

    assert (beat.due_on, beat.anchor_on) == plain_walk(
        anchor_on, visits, interval, opening_days
    )


@given(ANCHORS, INTERVALS, st.integers(-40, 400))
def test_no_interval_is_shorter_than_it_says(anchor_on, interval, n):
    step = occurrence(anchor_on, interval, n + 1) - occurrence(anchor_on, interval, n)

    assert step.days >= interval.least_days


@given(ANCHORS, INTERVALS, st.lists(st.integers(0, 30), max_size=8))
def test_always_late_inside_the_window_keeps_the_rhythm(anchor_on, interval, delays):
    """However late within its window, the k-th visit is followed by date k + 1."""
    opening = interval.least_days // 3
    visits = [
        occurrence(anchor_on, interval, k) + timedelta(days=min(delay, opening - 1))
        for k, delay in enumerate(delays, start=1)
        if opening > 0
    ]

    beat = next_beat(anchor_on, visits, interval, opening)

    assert beat.anchor_on == anchor_on
    assert beat.due_on == occurrence(anchor_on, interval, len(visits) + 1)
