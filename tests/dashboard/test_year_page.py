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
