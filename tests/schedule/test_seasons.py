"""Seasons are read as typed; a date leaves them without ever becoming late unsaid."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.errors import InvalidInput
from monitor.schedule.placing import Window, free_after, free_before, place
from monitor.schedule.seasons import parse_seasons

NESTING = parse_seasons("03-01/08-31 nesting; 12-15/01-05 market")
DAYS = st.dates(date(1996, 1, 1), date(2104, 12, 31))


def test_seasons_are_read_as_typed():
    nesting, market = NESTING

    assert (nesting.first, nesting.last, nesting.name) == ((3, 1), (8, 31), "nesting")
    assert market.holds(date(2026, 12, 31))
    assert market.holds(date(2027, 1, 5))
    assert not market.holds(date(2027, 1, 6))


def test_no_season_at_all_is_no_obstacle():
    assert parse_seasons("") == ()
    assert parse_seasons(" ; ") == ()


@pytest.mark.parametrize(
    "text", ["March to August", "03-01", "13-01/14-01 x", "02-29/03-10 x", "3-1/8-31 x"]
)
def test_a_season_that_can_not_be_read_is_refused(text):
    with pytest.raises(InvalidInput, match="expected"):
        parse_seasons(text)


def test_a_date_in_a_season_is_brought_forward_while_that_is_possible():
    placed = place(
        Window(date(2029, 4, 14), date(2029, 4, 14), date(2029, 5, 14)),
        NESTING,
        date(2029, 1, 10),
    )

    assert placed.on == date(2029, 2, 28)
    assert placed.remark == (
        "moved from 14 April 2029, which falls in the nesting season "
        "(1 March to 31 August)"
    )


def test_today_itself_is_still_possible():
    placed = place(
        Window(date(2029, 4, 14), date(2029, 4, 14), date(2029, 5, 14)),
        NESTING,
        date(2029, 2, 28),
    )

    assert placed.on == date(2029, 2, 28)


def test_else_it_goes_to_the_first_free_day_that_is_not_too_late():
    placed = place(
        Window(date(2029, 8, 20), date(2029, 8, 20), date(2029, 9, 19)),
        NESTING,
        date(2029, 4, 1),
    )

    assert placed.on == date(2029, 9, 1)
    assert "moved from 20 August 2029" in placed.remark


def test_a_date_that_can_not_leave_the_season_in_time_stays_and_says_so():
    placed = place(
        Window(date(2029, 4, 14), date(2029, 4, 14), date(2029, 5, 14)),
        NESTING,
        date(2029, 3, 2),
    )

    assert placed.on == date(2029, 4, 14)
    assert "the next free day, 1 September 2029" in placed.remark
    assert "latest day allowed, 14 May 2029" in placed.remark


def test_a_year_with_no_free_day_keeps_the_date_and_says_so():
    always = parse_seasons("01-01/12-31 works")

    placed = place(
        Window(date(2029, 4, 14), date(2029, 4, 14), date(2029, 5, 14)),
        always,
        date(2029, 1, 1),
    )

    assert placed.on == date(2029, 4, 14)
    assert "there is no free day" in placed.remark


def test_seasons_that_follow_on_each_other_are_left_together():
    chained = parse_seasons("03-01/05-31 nesting; 06-01/08-31 festival")

    assert free_before(date(2029, 7, 1), chained) == date(2029, 2, 28)
    assert free_after(date(2029, 4, 1), chained) == date(2029, 9, 1)


@given(DAYS)
def test_the_nearest_free_days_are_those_found_by_looking_at_every_day(on):
    def is_free(day):
        return not any(season.holds(day) for season in NESTING)

    before = on
    while not is_free(before):
        before -= timedelta(days=1)
    after = on
    while not is_free(after):
        after += timedelta(days=1)

    assert free_before(on, NESTING) == before
    assert free_after(on, NESTING) == after


@given(DAYS, st.integers(0, 60), st.integers(-400, 400))
def test_a_placed_date_is_never_later_than_the_latest_day_allowed(due_on, grace, ago):
    late_on = due_on + timedelta(days=grace)

    placed = place(
        Window(due_on, due_on, late_on), NESTING, due_on - timedelta(days=ago)
    )

    assert placed.on <= late_on
    assert bool(placed.remark) == any(season.holds(due_on) for season in NESTING)


def test_the_first_and_the_last_day_of_a_season_belong_to_it():
    for day in (date(2029, 3, 1), date(2029, 8, 31)):
        assert free_before(day, NESTING) == date(2029, 2, 28)
        assert free_after(day, NESTING) == date(2029, 9, 1)
    for day in (date(2028, 12, 15), date(2029, 1, 5)):
        assert free_before(day, NESTING) == date(2028, 12, 14)
        assert free_after(day, NESTING) == date(2029, 1, 6)
