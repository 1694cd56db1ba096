"""Parts bound to one paper: pages, tags, chapters and numbers go through.

What PDF/UA (ISO 14289-1) and PDF/A-2a (ISO 19005-2) ask is looked at fact by fact with
`pikepdf`. That is no validator: colour, glyphs, reading order and whether a description
describes are not looked at. No validator of either standard comes from a registry.
"""

import io
from itertools import pairwise

import pikepdf
import pytest

from monitor.reports.binding import bound, part_of
from monitor.reports.blocks import Heading, Size, Words
from tests.reports.paper import read
from tests.reports.test_typeset import CHAPTER, EVERY_BLOCK, a_paper, at_hand

__all__ = ["at_hand"]

LONG = Words("word " * 900)


@pytest.fixture(scope="module")
def parts(at_hand):
    """Three parts: of two chapters over several pages, of every block, of one page."""
    papers = (
        a_paper(LONG, Heading("Far"), CHAPTER, Words("second"), is_part=True),
        a_paper(*EVERY_BLOCK, is_part=True),
        a_paper(Words("The last."), is_part=True),
    )
    return [part_of(at_hand.set(paper)) for paper in papers]


@pytest.fixture(scope="module")
def pdf(at_hand, parts):
    many = sum(part.pages for part in parts)
    return bound(parts, at_hand.numbers(Size.A4, many))


@pytest.fixture
def opened(pdf):
    with pikepdf.open(io.BytesIO(pdf)) as one:
        yield one


@pytest.fixture(params=["bound", "in one"])
def either(request, pdf, at_hand):
    single = part_of(at_hand.set(a_paper(*EVERY_BLOCK))).pdf
    with pikepdf.open(io.BytesIO(pdf if request.param == "bound" else single)) as one:
        yield one


def tags_of(opened):
    """Every structure element with its depth, in reading order."""
    found = []

    def walk(one):
        if isinstance(one, pikepdf.Array):
            for each in one:
                walk(each)
        elif isinstance(one, pikepdf.Dictionary) and "/S" in one:
            found.append(one)
            walk(one.get("/K"))

    walk(opened.Root.StructTreeRoot.K)
    return found


def pages_of(tag):
    """The pages on which content of an element stands; one may go over several."""
    below = tag.K if isinstance(tag.K, pikepdf.Array) else [tag.K]
    marked = [one for one in below if isinstance(one, pikepdf.Dictionary)]
    return {one.Pg.objgen for one in (tag, *marked) if "/Pg" in one}


def test_pages_are_numbered_through_and_nothing_is_lost(pdf, parts, tmp_path):
    found = read(pdf, tmp_path)

    many = sum(part.pages for part in parts)
    assert found.pages == many
    for n, page in enumerate(found.text.split("\f")[:-1], 1):
        assert f"page {n} of {many}" in page
        assert page.count("page ") == 1
    for words in ("Far", "second", "It leans 2.1°.", "The last."):
        assert words in found.words


def test_a_part_knows_where_its_chapters_begin(parts):
    first = parts[0]

    assert first.pages > 2
    assert first.chapters == (0, first.pages - 1)


def test_every_chapter_is_in_one_list_and_leads_to_its_page(opened, parts):
    chain, item = [], opened.Root.Outlines.First
    while item is not None:
        chain.append(item)
        item = item.get("/Next")

    at = {page.obj.objgen: n for n, page in enumerate(opened.pages)}
    first, second, third = (part.pages for part in parts)
    wanted = [0, first - 1, first, first + second]
    assert [at[one.Dest[0].objgen] for one in chain] == wanted
    assert all(one.Parent.objgen == opened.Root.Outlines.objgen for one in chain)
    assert opened.Root.Outlines.Last.objgen == chain[-1].objgen
    assert third == 1


def test_every_page_leads_to_the_tags_of_what_stands_on_it(either):
    """ISO 32000-1, 14.7.4.4: parent tree and tags name each other."""
    parents = pikepdf.NumberTree(either.Root.StructTreeRoot.ParentTree)

    assert len({int(page.obj.StructParents) for page in either.pages}) == len(
        either.pages
    )
    for page in either.pages:
        held = [
            one
            for one in parents[int(page.obj.StructParents)]
            if isinstance(one, pikepdf.Dictionary)
        ]
        assert held
        assert all(page.obj.objgen in pages_of(one) for one in held)


def test_tags_hang_together_from_the_document_down(either):
    tags = tags_of(either)

    assert [str(one.S) for one in tags].count("/Document") == 1
    for one in tags[1:]:
        below = one.P.K
        below = list(below) if isinstance(below, pikepdf.Array) else [below]
        assert one.objgen in [
            each.objgen for each in below if isinstance(each, pikepdf.Dictionary)
        ]


def test_the_file_says_that_it_is_tagged_and_in_which_language(either):
    """ISO 14289-1: 5, 7.1, 7.2, 7.18.3; ISO 19005-2: 6.6.4, 6.7.2."""
    root, said = either.Root, either.Root.Metadata.read_bytes().decode()

    assert bool(root.MarkInfo.Marked) is True
    assert str(root.Lang) == "en-GB"
    assert bool(root.ViewerPreferences.DisplayDocTitle) is True
    assert all(page.obj.Tabs == pikepdf.Name.S for page in either.pages)
    for words in ("pdfuaid:part>1<", "pdfaid:part>2<", "pdfaid:conformance>A<",
                  f"NPages>{len(either.pages)}<"):  # fmt: skip
        assert words in said
    assert root.OutputIntents[0].S == pikepdf.Name.GTS_PDFA1
    assert "/ID" in either.trailer
    assert "/AF" not in root
    assert "/JavaScript" not in root.get("/Names", {})


def test_figures_have_words_heads_say_so_and_headings_skip_no_level(either):
    """ISO 14289-1: 7.3 figures, 7.4.2 headings, 7.5 tables."""
    tags = tags_of(either)

    figures = [one for one in tags if str(one.S) == "/Figure"]
    heads = [one for one in tags if str(one.S) == "/TH"]
    levels = [int(str(one.S)[2:]) for one in tags if str(one.S)[:2] == "/H" if
              str(one.S)[2:].isdigit()]  # fmt: skip
    assert figures
    assert heads
    assert all(str(one.Alt) for one in figures)
    assert all(one.A[0].Scope == pikepdf.Name.Column for one in heads)
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_every_face_of_a_bound_paper_is_embedded(pdf, tmp_path):
    found = read(pdf, tmp_path)

    assert all(row[-5:-2] == ["yes", "yes", "yes"] for row in found.fonts)


def test_the_same_parts_are_the_same_bytes(pdf, parts, at_hand):
    many = sum(part.pages for part in parts)

    assert bound(parts, at_hand.numbers(Size.A4, many)) == pdf
