"""The page of the years."""

import pytest

from tests.dashboard.pressing import page_words


def test_the_first_sentence_is_the_coming_year(reader):
    assert "The coming year asks for about " in page_words(reader, "/plan")


def test_too_few_hours_name_what_stays_undone(reader):
    words = page_words(reader, "/plan", "?years=2&hours=0")

    assert "would go without their standing visits" in words
    assert "S-0101" in words


@pytest.mark.parametrize("search", ["?years=11", "?years=x", "?hours=nan", "?hours=-1"])
def test_what_can_not_be_read_is_refused(reader, search):
    assert "expected" in page_words(reader, "/plan", search)


def test_what_a_smaller_budget_leaves_is_named_as_screening(reader):
    words = page_words(reader, "/plan", "?visits=1")

    assert "What a smaller budget leaves unseen" in words
    assert "as screening" in words
    assert "enter your costs in the policy" in words


def test_money_without_prices_is_refused_and_says_where_they_go(reader):
    assert "enter your costs in the policy first" in page_words(
        reader, "/plan", "?money=1000"
    )


def test_the_calendar_shows_twelve_months_and_counts_every_look_once(reader):
    words = page_words(reader, "/plan/calendar")

    assert "fall due in the coming year" in words
    assert "June 2026: " in words
    assert "May 2027: " in words
