"""The documents of the program: all there, all shown, nothing let through."""

import re
from pathlib import Path

import pytest

from dashboard.components.markdown import headings, page_parts
from dashboard.guides import dictionary, shelf
from monitor.domain.findings import FINDINGS
from monitor.domain.limits import DEFAULT_LIMITS
from monitor.domain.quantities import QUANTITIES
from monitor.services.exporting.chosen import Choice
from monitor.services.exporting.lists import lists_of
from monitor.store.described import described_tables
from tests.dashboard.pressing import page_words, plain, show, tags_of

FOLDER = Path(shelf.__file__).parent
NAMES = [one.name for one in shelf.GUIDES]


def test_every_file_of_the_folder_is_on_the_shelf():
    assert sorted(path.stem for path in FOLDER.glob("*.md")) == sorted(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_every_guide_is_a_page(reader, name):
    words = page_words(reader, f"/guides/{name}")

    first = shelf.text_of(name).split("\n")[0].removeprefix("# ")
    assert first in words
    assert not re.search(r"\*\*|\]\(|\|---|```|<!--", words)


def test_the_page_of_guides_names_each(reader):
    words = page_words(reader, "/guides")

    assert all(one.title in words and one.about in words for one in shelf.GUIDES)


def test_a_guide_that_is_not_there_says_so(reader):
    assert "No such guide" in page_words(reader, "/guides/nothing")


@pytest.mark.parametrize("name", NAMES)
def test_every_link_and_picture_of_a_guide_leads_somewhere(name):
    text = (FOLDER / f"{name}.md").read_text("utf-8")

    targets = re.findall(r"\]\(([^)]+)\)", text)

    missing = [to for to in targets if not (FOLDER / to.split("#")[0]).exists()]
    assert missing == []


def test_pictures_of_guides_are_small():
    sizes = {
        p.name: p.stat().st_size for p in (FOLDER.parent / "assets").rglob("*.png")
    }

    assert {name for name, size in sizes.items() if size > 150_000} == set()


@pytest.mark.parametrize(
    "hostile",
    [
        "<script>alert(1)</script>",
        "[press](javascript:alert(1))",
        "![x](https://elsewhere.example/x.png)",
        "[out](//elsewhere.example/)",
        "# <img src=x onerror=alert(1)>",
    ],
)
def test_html_and_foreign_addresses_stay_letters(hostile):
    shown = str([part.to_plotly_json() for part in page_parts(hostile)])

    assert "'href'" not in shown
    assert "'src'" not in shown


def test_a_list_holds_what_is_indented_under_its_items():
    parts = page_parts("1. one\n   still one\n\n```sh\nls\n```\n\n2. two\n   - inner\n")

    assert tags_of(plain(parts)) == [
        "Ol",
        "Li",
        "Pre",
        "Code",
        "Ol",
        "Li",
        "P",
        "Ul",
        "Li",
    ]


def test_headings_are_told_with_their_keys():
    assert headings("# a\n## Backup, *and* `restore`\n") == [
        ("Backup, and restore", "part-backup-and-restore")
    ]


def test_the_dictionary_has_every_quantity_finding_limit_and_table():
    text, notes = shelf.text_of("dictionary"), shelf.text_of("methods")

    assert all(f"| `{name}` |" in text for name in (*QUANTITIES, *FINDINGS))
    assert all(f"### Table: {table.name}\n" in text for table in described_tables())
    assert all(limit.source in notes for limit in DEFAULT_LIMITS.values())


def test_every_table_of_the_store_says_what_a_row_is():
    assert [table.name for table in described_tables() if not table.meaning] == []


def test_the_dictionary_tells_the_lists_that_an_export_writes(context):
    with context.store.read_session() as session:
        written = lists_of(session, Choice())

    columns = {table.name: table.columns for table in written}
    columns.pop("dictionary")
    assert columns == dictionary.LISTS


def test_every_relation_of_mechanics_stands_with_a_source():
    notes = shelf.text_of("methods").partition("## Mechanics")[2]

    parts = re.split(r"^### ", notes, flags=re.MULTILINE)[1:]
    assert len(parts) > 15
    assert all("Sources:\n\n- " in part for part in parts)


def test_a_guide_has_one_first_heading(reader):
    tags = tags_of(show(reader, "/guides/administrator"))

    assert tags.count("H1") == 1
