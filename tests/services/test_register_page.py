"""The register a page at a time."""

from dataclasses import replace
from datetime import date

import pytest

from monitor.domain.vocabulary import MemberKind, Standing
from monitor.errors import InvalidInput
from monitor.services.showing.register_page import (
    ON_A_PAGE,
    SupportSearch,
    all_lines,
    census,
    found_lines,
)
from monitor.store import records
from tests.build import a_support
from tests.dashboard.conclusions import stands
from tests.dashboard.world import build_world


@pytest.fixture
def session(store):
    with store.write_session() as session:
        yield session


def codes(session, words, **more):
    found = found_lines(session, SupportSearch(words, **more), 1)
    return [line.code for line in found.lines]


def test_every_word_has_to_occur_somewhere(session):
    build_world(session)

    assert codes(session, "make safe") == ["S-0101"]
    assert codes(session, "CABLE") == ["S-0103"]
    assert codes(session, "cable safe") == []
    assert codes(session, "removed") == ["S-0105"]
    assert codes(session, "not assessed") == ["S-0106"]


def test_signs_of_the_search_language_are_only_signs(session):
    a_support(session, "S-1")

    assert codes(session, "%") == []
    assert codes(session, "_") == []


def test_the_gravest_comes_first_in_the_order_of_standing(session):
    for code, standing in (("A", Standing.HOLDING), ("B", Standing.MAKE_SAFE)):
        stands(session, a_support(session, code).support.id, standing, "So.")
    a_support(session, "C")

    assert codes(session, "", order="standing") == ["B", "A", "C"]
    assert codes(session, "", order="standing", is_descending=True) == ["C", "A", "B"]


def test_a_page_too_far_is_the_last_page(session):
    for number in range(ON_A_PAGE + 3):
        a_support(session, f"S-{number:03}")

    found = found_lines(session, SupportSearch(), 9)

    assert (found.page, found.pages, found.total) == (2, 2, ON_A_PAGE + 3)
    assert [line.code for line in found.lines] == ["S-050", "S-051", "S-052"]
    assert len(all_lines(session, SupportSearch())) == ON_A_PAGE + 3


def test_an_order_that_is_none_is_refused_in_words(session):
    with pytest.raises(InvalidInput, match="no order “colour”"):
        found_lines(session, SupportSearch(order="colour"), 1)


def test_the_census_keeps_the_gone_apart(session):
    gone = a_support(session, "S-1", kind=MemberKind.CABLE)
    a_support(session, "S-2")
    records.SUPPORTS.change(session, replace(gone.support, removed_on=date(2020, 1, 1)))

    found = census(session)

    assert (found.in_service, found.trees, found.removed) == (1, 1, 1)
