"""What the pages say about the small world, asked for as a browser would."""

import shutil
from itertools import pairwise

import pytest

from dashboard.app import create_app
from dashboard.context import AppContext
from monitor.domain.vocabulary import Role
from monitor.services import access
from monitor.store import Store
from monitor.store.models import DueRow, OutlookRow, StandingRow
from tests.dashboard.conftest import OWN, signed_in_client
from tests.dashboard.pressing import page_words, show, tags_of, words_of


def test_today_opens_with_the_gravest_thing_in_words(reader):
    words = page_words(reader, "/")

    assert "One support must be made safe and one inspection is late." in words
    assert "Five supports in service, 1 of them holding, 2 to watch." in words


def test_today_keeps_the_order_in_which_things_matter(reader):
    words = page_words(reader, "/")

    order = ["Make safe", "213 days late", "Unconfirmed", "Due now and soon"]
    assert [words.index(part) for part in order] == sorted(
        words.index(part) for part in order
    )


def test_today_says_the_caution_once(reader):
    assert page_words(reader, "/").count("Screening only.") == 1


def test_a_day_on_which_nothing_is_owed_is_a_pleasant_sentence(context):
    with context.store.write_session() as session:
        for row in (OutlookRow, StandingRow, DueRow):
            session.execute(row.metadata.tables[row.__tablename__].delete())
    client = signed_in_client(create_app(context), context, "Ines")

    assert "Nothing needs you now." in page_words(client, "/")


def test_the_register_counts_what_stands_and_what_is_kept_in_memory(reader):
    words = page_words(reader, "/register")

    assert (
        "Five supports under five trees, and one removed one kept in memory." in words
    )


def test_a_page_is_named_only_to_those_for_whom_it_is_there(reader, auditor):
    for_inspector, for_auditor = (
        words_of(show(client, "/")["shell-places"]["children"])
        for client in (reader, auditor)
    )

    assert "Imports" in for_inspector
    assert "Imports" not in for_auditor
    assert "Register" in for_auditor


def test_the_register_takes_its_search_from_the_address(reader):
    page = show(reader, "/register", "?q=cable&other=1")["shell-page"]["children"]

    assert '"value": "cable"' in str(page).replace("'", '"')


def test_a_support_page_opens_with_its_standing_and_reasons(reader):
    words = page_words(reader, "/supports/S-0101")

    assert "S-0101 must be made safe." in words
    assert "The tilt is beyond its act limit and still growing." in words
    assert "Due on 20 July 2026: an open finding wants a look." in words
    assert words.count("Screening only.") == 1


def test_a_support_page_says_in_words_when_a_limit_is_reached(reader):
    words = page_words(reader, "/supports/S-0101")

    clause = "Act, 8.2\u2009mm: between now and May 2028, most likely September 2026."
    assert clause in words


def test_a_support_page_shows_as_built_facts_as_they_were_typed(reader):
    words = page_words(reader, "/supports/S-0101")

    assert "Length 14 ft 7 in" in words
    assert 'Wall as ordered 1/4"' in words


def test_a_limit_that_harms_both_ways_is_said_both_ways(reader):
    words = page_words(reader, "/supports/S-0103")

    assert "below 2.18\u2009kN or above 3.63\u2009kN" in words


def test_a_closed_finding_says_what_ended_it(reader):
    words = page_words(reader, "/supports/S-0104")

    assert "No finding is open." in words
    assert "Closed on 20 March 2007: base rebuilt." in words


def test_a_removed_support_says_when_it_went_and_owes_nothing(reader):
    words = page_words(reader, "/supports/S-0105")

    assert "S-0105 was removed on 3 October 2019." in words
    assert "next look" not in words


def test_a_support_without_readings_is_a_sentence_and_not_an_empty_chart(reader):
    answer = show(reader, "/supports/S-0106")

    assert "Nothing has been measured here yet." in page_words(
        reader, "/supports/S-0106"
    )
    assert "Graph" not in tags_of(answer)


def test_a_code_is_found_whatever_its_case(reader):
    assert "S-0101 must be made safe." in page_words(reader, "/supports/s-0101")


def test_an_unknown_code_says_so_and_shows_the_way_out(reader):
    words = page_words(reader, "/supports/S-9999")

    assert "Not in the record" in words
    assert "No support “S-9999” in the record." in words
    assert "Open the register" in words


def test_an_unknown_address_says_so(reader):
    assert "There is no page at this address" in page_words(reader, "/nowhere")


def test_what_is_due_is_grouped_by_when_it_wants_doing(reader):
    words = page_words(reader, "/due")

    assert "One inspection is late and one more may be done now." in words
    order = ["Late", "May be done now", "July 2026", "August 2026", "May 2027"]
    places = [words.index(part) for part in order]
    assert places == sorted(places)


def test_what_is_due_can_be_narrowed_by_the_address(reader):
    words = page_words(reader, "/due", "?kind=cable")

    assert "S-0103" in words
    assert "S-0101" not in words


def test_what_is_due_can_be_narrowed_by_the_two_choices(reader):
    body = {
        "output": "due-lists.children",
        "outputs": {"id": "due-lists", "property": "children"},
        "inputs": [
            {"id": "due-site", "property": "value", "value": None},
            {"id": "due-kind", "property": "value", "value": "pin"},
        ],
        "changedPropIds": ["due-kind.value"],
    }
    answer = reader.post("/_dash-update-component", json=body, headers=OWN)

    assert "S-0102" in answer.text
    assert "S-0103" not in answer.text


@pytest.mark.parametrize(
    ("path", "title"),
    [
        ("/", "Today"),
        ("/due", "Due"),
        ("/supports/S-0101", "S-0101"),
        ("/x", "Not found"),
    ],
)
def test_the_window_is_titled_after_the_page(reader, path, title):
    assert show(reader, path)["shell-title"]["data"] == title


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/register",
        "/due",
        "/supports/S-0101",
        "/supports/S-0102",
        "/record/S-0101",
    ],
)
def test_headings_go_down_one_level_at_a_time(reader, path):
    levels = [int(tag[1]) for tag in tags_of(show(reader, path)) if tag in HEADINGS]

    assert levels.count(1) == 1
    assert levels[0] == 1
    assert all(b - a <= 1 for a, b in pairwise(levels))


HEADINGS = {"H1", "H2", "H3", "H4"}


def test_two_applications_in_one_process_keep_their_records_apart(
    reader, migrated_file, tmp_path, clock, context
):
    path = tmp_path / "other.db"
    shutil.copy(migrated_file, path)
    other = AppContext(context.settings, Store(f"sqlite:///{path}"), clock)
    with other.store.write_session() as session:
        new = access.NewAccount("Ines", "", Role.MANAGER, "another password here")
        access.add_account(session, new, actor="test", now=clock.now())
    other_client = signed_in_client(create_app(other), other, "Ines")

    assert "No support is recorded yet." in page_words(other_client, "/")
    assert "must be made safe" in page_words(reader, "/")
    other.store.close()
