"""Papers as they come out: tags, faces, pages, the same bytes again, bad input."""

import io
from dataclasses import replace
from datetime import date

import pytest
from PIL import Image

from monitor.errors import MonitorError
from monitor.reports.blocks import (
    Chapter,
    Column,
    Drawing,
    Grid,
    Heading,
    Pairs,
    Paper,
    Picture,
    Pictures,
    Points,
    Seal,
    Signatures,
    Size,
    Stands,
    Voice,
    Words,
)
from monitor.reports.qr import square
from monitor.reports.typeset import press, typeset
from tests.reports.paper import ink_box, read

ON = date(2031, 5, 14)
CHAPTER = Chapter(
    ("S-0142, Chapel Row", "14 May 2031"), "Chapel Row", "S-0142 wants watching."
)
ROGUE = (
    'Ines "Inky" O\'Brien; #import "x": y',
    "$x^2$ *bold* _it_ `code` = heading <label> @ref \\ // comment",
    '=HYPERLINK("http://x","y")',
    "מגדל העץ ברחוב 12 – مَرْحَبًا",
    "oak \N{DECIDUOUS TREE}\N{EMOJI MODIFIER FITZPATRICK TYPE-4} 中文",
    "x" * 400,
    "word " * 80,
    "",
)


def a_jpeg(size=(48, 36)) -> bytes:
    body = io.BytesIO()
    Image.new("RGB", size, (120, 140, 90)).save(body, "JPEG")
    return body.getvalue()


def a_paper(*blocks, **more) -> Paper:
    return Paper("Condition of S-0142", "Underprop", ON, (CHAPTER, *blocks), **more)


EVERY_BLOCK = (
    Words("First the answer.", Voice.LEAD),
    Stands("watch", ("It leans 2.1°.",)),
    Words("Screening only.", Voice.CAUTION),
    Heading("Readings"),
    Heading("Tilt", 3, "P1, face"),
    Pairs((("Why", "long limb"),)),
    Pairs((("width", "100 mm"), ("wall", "6 mm"), ("length", "4 m")), is_dense=True),
    Points(("one", "two")),
    Grid("Looks", (Column("Day"), Column("Value", is_number=True)),
         (("14 May 2031", "−3.0\u2009mm"),)),
    Drawing(square("a drawing"), "A drawing."),
    Pictures((Picture(a_jpeg(), "A picture.", "the plate"),)),
    Seal(square("Underprop"), "A square to scan.", ("Ledger: 12 entries",)),
    Signatures(("Handed over by", "Taken over by")),
)  # fmt: skip


@pytest.fixture(scope="module")
def at_hand():
    with press() as one:
        yield one


@pytest.fixture(scope="module")
def whole(at_hand, tmp_path_factory):
    return read(at_hand.set(a_paper(*EVERY_BLOCK)), tmp_path_factory.mktemp("whole"))


def test_it_is_tagged_and_says_title_author_and_page(whole):
    assert whole.info["Tagged"] == "yes"
    assert whole.info["Title"] == "Condition of S-0142"
    assert whole.info["Author"] == "Underprop"
    assert whole.info["Page size"].endswith("(A4)")
    assert "page 1 of" in whole.words


def test_every_face_is_embedded_and_readable(whole):
    assert whole.fonts
    assert all(row[-5:-2] == ["yes", "yes", "yes"] for row in whole.fonts)


def test_every_block_leaves_its_words(whole):
    for words in ("S-0142 wants watching.", "First the answer.", "It leans 2.1°.",
                  "Readings", "P1, face", "long limb", "−3.0\u2009mm", "the plate",
                  "Ledger: 12 entries", "Taken over by"):  # fmt: skip
        assert " ".join(words.split()) in whole.words


def test_the_same_paper_is_the_same_bytes_on_another_press(at_hand):
    paper = a_paper(*EVERY_BLOCK)

    assert at_hand.set(paper) == typeset(paper)


def test_letter_is_another_sheet(at_hand, tmp_path):
    found = read(at_hand.set(a_paper(Words("x"), size=Size.LETTER)), tmp_path)

    assert found.info["Page size"].endswith("(letter)")


def test_what_people_wrote_is_never_markup(at_hand, tmp_path):
    blocks = [Pairs(tuple((f"n{n}", text) for n, text in enumerate(ROGUE[:3])))]

    found = read(at_hand.set(a_paper(*blocks)), tmp_path)

    for text in ROGUE[:3]:
        assert "".join(text.split()) in "".join(found.words.split())


def test_letters_without_a_face_are_named_and_the_paper_says_so(at_hand, tmp_path):
    found = read(at_hand.set(a_paper(Words(ROGUE[4]))), tmp_path)

    assert "[deciduous tree] [U+4E2D][U+6587]" in found.words
    assert "The faces of this paper have no letter for" in found.words
    assert not any("LastResort" in " ".join(row) for row in found.fonts)


@pytest.mark.parametrize("size", list(Size))
@pytest.mark.parametrize("text", ROGUE)
def test_nothing_runs_into_the_margin(at_hand, tmp_path, text, size):
    cells = (text,) * 6
    blocks = (
        Chapter((text[:60], text[:20]), text[:60], text[:90] or "x"),
        Stands("make safe", (text,)),
        Heading("Readings"),
        Heading("Tilt", 3, text[:40]),
        Pairs(((text[:30], text),)),
        Points((text,)),
        Grid(
            text[:60], tuple(Column("Head", 1 + n % 2) for n in range(6)), (cells,) * 3
        ),
        Signatures((text[:60], text[:60])),
    )
    paper = replace(a_paper(), blocks=blocks, size=size)

    pdf = at_hand.set(paper)

    for page in range(1, read(pdf, tmp_path).pages + 1):
        left, top, right, bottom = ink_box(pdf, tmp_path, page)
        assert left > 0.10
        assert right < 0.90
        assert top > 0.03
        assert bottom < 0.97


def test_two_hundred_photographs_and_a_thousand_rows_break_over_pages(
    at_hand, tmp_path
):
    photos = tuple(Picture(a_jpeg(), f"photo {n}", f"photo {n}.") for n in range(200))
    rows = tuple((f"row {n}.", str(n)) for n in range(1000))
    grid = Grid("Rows", (Column("Name"), Column("Number", is_number=True)), rows)

    found = read(at_hand.set(a_paper(Pictures(photos), grid)), tmp_path)

    assert found.pages > 20
    assert "photo 199." in found.words
    assert "row 999." in found.words
    assert found.text.count("Name\n") >= 10  # the head of the table comes again


def test_a_heading_stays_with_what_it_heads(at_hand, tmp_path):
    for lines in range(36, 52):
        filled = [Words("A line.")] * lines
        pdf = at_hand.set(a_paper(*filled, Heading("Orphan"), Words("Its own words.")))
        sheets = read(pdf, tmp_path).text.split("\f")
        (sheet,) = [one for one in sheets if "Orphan" in one]
        assert "Its own words." in sheet


def test_a_paper_that_can_not_be_set_says_so(at_hand):
    broken = Pictures((Picture(b"no jpeg", "x", "x"),))

    with pytest.raises(MonitorError, match="can not be set") as caught:
        at_hand.set(a_paper(broken))

    assert caught.value.code == "pap-001"
    assert at_hand.set(a_paper(Words("after that")))
