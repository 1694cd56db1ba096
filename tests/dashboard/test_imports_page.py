"""Imports: a file is brought, refused with its cells, mended, tried, taken in."""

import io
from dataclasses import replace
from datetime import timedelta

import pytest

from monitor.clock import new_id
from monitor.errors import Conflict, NotFound
from monitor.exchange.sheet import Row
from monitor.services.importing import desk as desks
from monitor.services.importing.desk import SILENT, Stage
from monitor.services.importing.work import Bench, look_at, run, sheet_with_cells
from monitor.store import records
from tests.conftest import NOON
from tests.dashboard.conftest import OWN
from tests.dashboard.pressing import page_words

GOOD = (
    b"support,member,mark,date,kind,inspector,quantity,value\n"
    b"S-0101,P1,plate,2026-05-02,routine,Ines,settlement,9.1 mm\n"
)
BAD = GOOD.replace(b"9.1 mm", b"about nine")


@pytest.fixture
def bench(context):
    folder = context.settings.data_folder
    return Bench(folder, context.store, context.clock, "Ines", 50, "UTC")


def brought(bench, content, name="looks.csv"):
    return desks.bring(bench.data_folder, name, content, owner_id=new_id(), now=NOON)


def begun(desk, stage):
    return replace(desk, stage=stage)


def imports_in(bench):
    with bench.store.read_session() as session:
        return records.IMPORTS.count(session), records.READINGS.count(session)


def test_a_bad_cell_is_named_with_its_row_and_heading_and_nothing_is_written(bench):
    before = imports_in(bench)

    ended = run(bench, begun(brought(bench, BAD), Stage.TAKING))

    assert ended.stage is Stage.REFUSED
    assert [problem[:3] for problem in ended.problems] == [(2, "value", "about nine")]
    assert imports_in(bench) == before


def test_a_mended_cell_is_tried_without_writing_and_then_taken_in(bench):
    desk = brought(bench, BAD)
    before = imports_in(bench)
    said = replace(desk.said, cells={"2": {"value": "9.1 mm"}})
    desk = desks.mend(bench.data_folder, desk, said, NOON)

    tried = run(bench, begun(desk, Stage.TRYING))
    between = imports_in(bench)
    taken = run(bench, begun(tried, Stage.TAKING))

    assert (tried.stage, taken.stage) == (Stage.TRIED, Stage.TAKEN)
    assert between == before
    assert imports_in(bench) == (before[0] + 1, before[1] + 1)
    assert taken.counts["new"] == 1


def test_a_mended_file_has_a_fingerprint_of_its_own(bench):
    desk = brought(bench, BAD)
    said = replace(desk.said, cells={"2": {"value": "9.1 mm"}})
    mended = replace(desk, said=said)

    assert (
        sheet_with_cells(bench, desk).sha256 != sheet_with_cells(bench, mended).sha256
    )
    assert look_at(bench, mended).rows[0].cells[-1] == "9.1 mm"
    assert isinstance(look_at(bench, mended).rows[0], Row)


def test_what_was_done_survives_a_reload_and_is_seen_by_who_brought_it_only(bench):
    desk = run(bench, begun(brought(bench, BAD), Stage.TRYING))

    again = desks.find(bench.data_folder, str(desk.id), desk.owner_id)

    assert again == desk
    assert desks.waiting(bench.data_folder, desk.owner_id) == (desk,)
    assert desks.waiting(bench.data_folder, new_id()) == ()
    with pytest.raises(NotFound):
        desks.find(bench.data_folder, str(desk.id), new_id())


@pytest.mark.parametrize("key", ["", "x", "../../etc", "0" * 32])
def test_what_is_no_file_at_the_desk_is_not_found(bench, key):
    with pytest.raises(NotFound):
        desks.find(bench.data_folder, key, new_id())


def test_silent_work_counts_as_broken_off(bench):
    desk = begun(brought(bench, GOOD), Stage.TAKING)

    assert desk.is_running(NOON + SILENT / 2)
    assert desk.is_broken_off(NOON + SILENT + timedelta(seconds=1))


def test_a_file_that_is_worked_on_is_not_changed_or_put_away(bench):
    desk = begun(brought(bench, GOOD), Stage.TAKING)

    with pytest.raises(Conflict):
        desks.mend(bench.data_folder, desk, desk.said, NOON)
    with pytest.raises(Conflict):
        desks.put_away(bench.data_folder, desk, NOON)


def test_putting_away_leaves_nothing(bench):
    desk = brought(bench, GOOD)

    desks.put_away(bench.data_folder, desk, NOON)

    assert list((bench.data_folder / desks.FOLDER).iterdir()) == []


def send(client, content, name):
    form = {"file": (io.BytesIO(content), name)}
    return client.post("/imports/file", data=form, headers=OWN)


def test_a_file_is_brought_by_a_form_and_shown_with_its_rows(client):
    answer = send(client, BAD, "../../looks.csv")

    assert answer.status_code == 302
    words = page_words(client, "/imports", "?" + answer.location.partition("?")[2])
    assert "looks.csv" in words
    assert ".." not in words.split("looks.csv")[0]
    assert "Waiting to be tried" in words
    assert "looks.csv" in page_words(client, "/imports")


@pytest.mark.parametrize(
    ("content", "word"),
    [(b"", "Choose a CSV"), (b"%PDF-1.7 x", "PDF"), (b"\n\n \n", "empty")],
)
def test_what_is_no_list_is_refused_at_the_door(client, content, word):
    answer = send(client, content, "x.csv")

    assert answer.status_code == 422
    assert word in answer.text


def test_who_may_not_record_takes_nothing_in(auditor):
    assert send(auditor, GOOD, "looks.csv").status_code == 422


def test_a_list_larger_than_a_common_form_is_taken(client):
    rows = b"S-0101,P1,plate,2026-05-02,routine,Ines,settlement,9.1 mm\n" * 6000

    assert send(client, GOOD + rows, "long.csv").status_code == 302
