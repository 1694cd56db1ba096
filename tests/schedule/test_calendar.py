"""Anchored recurrence against worked dates, dateutil and a count of every day."""

import calendar as stdlib_calendar
from datetime import date, datetime, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from dateutil.rrule import DAILY, MONTHLY, YEARLY, rrule
from hypothesis import given
from hypothesis import strategies as st

from monitor.errors import InvalidInput
from monitor.schedule.calendar import (
    Interval,
    in_words,
    next_occurrence,
    occurrence,
)

YEARLY_STEP = Interval(years=1)
DAYS = st.dates(date(1900, 1, 1), date(2150, 12, 31))
INTERVALS = st.builds(
    Interval,
    years=st.integers(0, 5),
    months=st.integers(0, 40),
    days=st.integers(1, 100),
) | st.builds(Interval, months=st.integers(1, 120))


@pytest.mark.parametrize(
    ("n", "due_on"),
    [
        (1, date(2025, 2, 28)),
        (4, date(2028, 2, 29)),
        (72, date(2096, 2, 29)),
        (76, date(2100, 2, 28)),  # by the Gregorian rule 2100 is no leap year
        (80, date(2104, 2, 29)),
    ],
)
def test_a_leap_day_is_the_28th_and_comes_back_on_the_29th(n, due_on):  # by hand
    assert occurrence(date(2024, 2, 29), YEARLY_STEP, n) == due_on


def test_the_31st_is_the_end_of_every_month_and_does_not_drift():  # by hand
    ends = [occurrence(date(2024, 1, 31), Interval(months=1), n) for n in range(1, 13)]

    assert [(d.month, d.day) for d in ends] == [
        (2, 29), (3, 31), (4, 30), (5, 31), (6, 30), (7, 31),
        (8, 31), (9, 30), (10, 31), (11, 30), (12, 31), (1, 31),
    ]  # fmt: skip


def test_half_years_from_31_august_keep_to_month_ends():  # by hand
    halves = [occurrence(date(2026, 8, 31), Interval(months=6), n) for n in (1, 2, 3)]

    assert halves == [date(2027, 2, 28), date(2027, 8, 31), date(2028, 2, 29)]


def test_every_day_of_leap_common_and_century_years_clamps_to_the_month_end():
    for year in (1999, 2000, 2023, 2024, 2099, 2100):
        day = date(year, 1, 1)
        while day.year == year:
            for months in (1, 2, 6, 12, 18, 48, 76 * 12):
                _check_clamped(day, months)
            day += timedelta(days=1)


def _check_clamped(anchor, months):
    on = occurrence(anchor, Interval(months=1), months)
    elapsed = (on.year - anchor.year) * 12 + on.month - anchor.month
    month_days = stdlib_calendar.monthrange(on.year, on.month)[1]
    assert elapsed == months
    assert on.day == min(anchor.day, month_days)


@given(DAYS, st.integers(1, 12), st.integers(1, 100))
def test_days_that_every_month_has_agree_with_dateutil_rrule(anchor, months, n):
    anchor = anchor.replace(day=min(anchor.day, 28))

    rule = rrule(MONTHLY, dtstart=_noon(anchor), interval=months, count=n + 1)

    assert occurrence(anchor, Interval(months=months), n) == rule[n].date()


@given(DAYS, st.integers(1, 12), st.integers(1, 40))
def test_days_that_some_months_lack_agree_with_rrule_told_to_take_the_last(
    anchor, months, n
):
    """RFC 5545 skips missing days; BYSETPOS=-1 over the allowed days clamps them."""
    allowed = list(range(28, anchor.day + 1)) or [anchor.day]
    rule = rrule(
        MONTHLY, dtstart=_noon(anchor.replace(day=1)), interval=months, count=n + 1,
        bymonthday=allowed, bysetpos=-1,
    )  # fmt: skip

    assert occurrence(anchor, Interval(months=months), n) == rule[n].date()


@given(DAYS, st.integers(1, 200), st.integers(0, 60))
def test_steps_of_days_agree_with_dateutil_rrule(anchor, days, n):
    rule = rrule(DAILY, dtstart=_noon(anchor), interval=days, count=n + 1)

    assert occurrence(anchor, Interval(days=days), n) == rule[n].date()


def test_rrule_by_the_year_skips_what_we_clamp():
    """The trap the clamp avoids: RFC 5545 leaves out years without a 29 February."""
    rule = rrule(YEARLY, dtstart=_noon(date(2096, 2, 29)), count=2)

    assert rule[1].date() == date(2104, 2, 29)
    assert occurrence(date(2096, 2, 29), YEARLY_STEP, 4) == date(2100, 2, 28)


@given(DAYS, INTERVALS, st.integers(-20, 60))
def test_an_occurrence_is_one_relativedelta_from_the_anchor(anchor, interval, n):
    delta = relativedelta(
        years=interval.years * n, months=interval.months * n, days=interval.days * n
    )

    assert occurrence(anchor, interval, n) == anchor + delta


@given(DAYS, INTERVALS, st.integers(-100, 3000))
def test_the_next_occurrence_is_the_first_of_all_that_is_later(anchor, interval, days):
    after = anchor + timedelta(days=days)
    n = 1
    while occurrence(anchor, interval, n) <= after:
        n += 1

    assert next_occurrence(anchor, interval, after) == occurrence(anchor, interval, n)


@pytest.mark.parametrize("parts", [{}, {"months": 0}, {"months": -6}, {"days": -1}])
def test_an_interval_of_nothing_or_less_is_refused(parts):
    with pytest.raises(InvalidInput, match="can not recur"):
        Interval(**parts)


def test_a_date_beyond_the_calendar_is_refused_in_words():
    with pytest.raises(InvalidInput, match="leaves the calendar"):
        occurrence(date(9990, 1, 1), YEARLY_STEP, 10)


def test_dates_and_intervals_read_as_people_say_them():
    assert in_words(date(2029, 3, 14)) == "14 March 2029"
    assert Interval(years=1, months=6).in_words() == "1 year 6 months"
    assert Interval(days=1).in_words() == "1 day"


def _noon(on):
    return datetime(on.year, on.month, on.day, 12)  # noqa: DTZ001 - rrule counts civil days
