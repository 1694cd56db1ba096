"""Closures, holidays and leaf wishes move a date; none of them drops a visit."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.domain.vocabulary import LeafState
from monitor.errors import InvalidInput
from monitor.schedule.closures import Blackout, Holidays
from monitor.schedule.default_policy import default_policy
from monitor.schedule.due import owed
from monitor.schedule.leaf import LeafWish, has_leaves
from monitor.schedule.placing import Window, place, place_with_wish
from tests.schedule.build import NOW, TODAY, a_history

LEAFLESS = LeafWish(LeafState.LEAFLESS)
IN_LEAF = LeafWish(LeafState.IN_LEAF)


def a_window(due_on, days=30):
    return Window(due_on - timedelta(days=days), due_on, due_on + timedelta(days=days))


def test_a_clients_closure_is_left_by_the_day_before():
    festival = Blackout(date(2029, 5, 1), date(2029, 5, 9), "festival")

    placed = place(a_window(date(2029, 5, 4)), (festival,), date(2029, 1, 1))

    assert placed.on == date(2029, 4, 30)
    assert placed.remark == (
        "moved from 4 May 2029, which falls in a closure from 1 May 2029 to "
        "9 May 2029 (festival)"
    )


def test_a_closure_that_ends_before_it_begins_is_refused():
    with pytest.raises(InvalidInput, match="ends before it begins"):
        Blackout(date(2029, 5, 9), date(2029, 5, 1), "")


def test_a_public_holiday_is_left_by_the_nearest_earlier_day():
    eve, day = date(2028, 12, 31), date(2029, 1, 1)

    placed = place(a_window(day), (Holidays(frozenset({eve, day})),), date(2028, 12, 1))

    assert placed.on == date(2028, 12, 30)
    assert placed.remark == (
        "moved from 1 January 2029, which falls on a public holiday"
    )


def test_a_holiday_on_every_day_keeps_the_date_and_says_so():
    days = frozenset(date(2026, 1, 1) + timedelta(days=i) for i in range(1200))

    due = owed(a_history(holidays=Holidays(days)), default_policy(), TODAY, NOW)

    assert due is not None
    assert due.due_on == date(2027, 3, 14)
    assert "there is no free day in sight" in due.sentence


@pytest.mark.parametrize(
    ("due_on", "on"),
    [
        (date(2029, 4, 28), date(2029, 4, 19)),  # brought forward to before leaf-out
        (date(2029, 10, 30), date(2029, 11, 10)),  # put back to after leaf-fall
        (date(2029, 1, 15), date(2029, 1, 15)),
    ],
)
def test_a_leafless_look_is_moved_within_its_window(due_on, on):
    placed = place_with_wish(a_window(due_on), (), LEAFLESS.unwished, date(2028, 1, 1))

    assert placed.on == on


def test_a_wish_that_the_window_can_not_meet_is_dropped_and_said():
    placed = place_with_wish(
        a_window(date(2029, 7, 15)), (), LEAFLESS.unwished, date(2028, 1, 1)
    )

    assert placed.on == date(2029, 7, 15)
    assert placed.remark == (
        "every free day of the window falls in the leaf season (20 April to 9 November)"
    )


def test_in_the_southern_half_of_the_world_the_crown_is_in_leaf_over_new_year():
    south = LeafWish(LeafState.IN_LEAF, leaf_out=(9, 20), leaf_fall=(5, 10))

    assert has_leaves(date(2029, 1, 15), south)
    assert south.unwished.holds(date(2029, 7, 15))


def test_turning_leaves_are_no_wish():
    with pytest.raises(InvalidInput, match="too short a time"):
        LeafWish(LeafState.TURNING)


@given(
    st.dates(date(2000, 1, 1), date(2100, 1, 1)),
    st.integers(0, 60),
    st.integers(-100, 400),
    st.sampled_from([LEAFLESS, IN_LEAF]),
)
def test_a_wish_never_leaves_the_window_and_is_met_or_spoken_of(
    due_on, days, ago, wish
):
    window = a_window(due_on, days)

    placed = place_with_wish(window, (), wish.unwished, due_on - timedelta(days=ago))

    assert window.opens_on <= placed.on <= window.late_on
    is_met = has_leaves(placed.on, wish) == (wish.state is LeafState.IN_LEAF)
    assert is_met or "every free day of the window" in placed.remark
