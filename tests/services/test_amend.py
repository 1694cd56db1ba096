"""Corrections and withdrawals through a real database: the original stays."""

from datetime import UTC, date, datetime, timedelta

import pytest

from monitor.domain.vocabulary import Answer, InspectionKind, WorkKind
from monitor.errors import Conflict, InvalidInput, NotFound
from monitor.services.recording.amend import (
    amend_inspection,
    correct_reading,
    withdraw_inspection,
)
from monitor.services.recording.amend_work import amend_work, withdraw_work
from monitor.services.recording.commands import (
    InspectionAmendment,
    InspectionCommand,
    ReadingCommand,
    ReadingCorrection,
    WorkAmendment,
    WorkCommand,
)
from monitor.services.recording.record import record_inspection
from monitor.services.recording.works import record_work
from monitor.store import records
from monitor.store.frames import readings_frame, segments_frame
from monitor.store.ledger import entries, first_broken
from tests.build import a_support

NOW = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
LATER = NOW + timedelta(days=1)
DAY = date(2026, 5, 14)


@pytest.fixture
def visited(store):
    """A post whose settlement and gap were read once."""
    command = InspectionCommand(
        "S-0142",
        DAY,
        "Ines",
        (ReadingCommand("settlement", "1.7 mm"), ReadingCommand("gap", "0.4 mm")),
    )
    with store.write_session() as session:
        a_support(session)
        record_inspection(session, command, actor="test", now=NOW)
    return store


def correct(store, **said):
    values = {"support": "S-0142", "on": DAY, "quantity": "settlement"} | said
    with store.write_session() as session:
        return correct_reading(
            session, ReadingCorrection(**values), actor="office", now=LATER
        )


def standing(store, known_at=None):
    with store.read_session() as session:
        frame = readings_frame(session, known_at=known_at)
    return dict(zip(frame["quantity"], frame["value"], strict=True))


def test_a_corrected_reading_stands_and_the_original_stays_readable(visited):
    new = correct(visited, text="1.7 in", reason="read in inches")

    assert new.value == pytest.approx(43.18)  # 25.4 mm to the inch
    assert standing(visited)["settlement"] == pytest.approx(43.18)
    assert standing(visited, known_at=NOW)["settlement"] == 1.7
    with visited.read_session() as session:
        last = list(entries(session))[-1].change
        assert (last.action, last.actor) == ("reading corrected", "office")
        assert first_broken(session) is None


def test_a_withdrawn_reading_no_longer_counts_and_can_be_given_again(visited):
    gone = correct(visited, text="withdrawn", reason="staff on the wrong nail")

    assert gone.answer is Answer.WITHDRAWN
    assert "settlement" not in standing(visited)

    correct(visited, text="2.1 mm", reason="found the card")

    assert standing(visited)["settlement"] == 2.1


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"text": "2 mm", "reason": " "}, "why the reading is corrected"),
        ({"text": "2 kN", "reason": "slip"}, "“kN” measures force"),
        ({"text": "1.7 mm", "reason": "slip"}, "stands already"),
        ({"text": "2 mm", "reason": "slip", "on": date(2026, 5, 15)}, "14 May 2026"),
        ({"text": "2 mm", "reason": "slip", "mark": "corner"}, "a mark of P1"),
        ({"text": "2 mm", "reason": "slip", "repeat": 2}, "a day on which"),
    ],
)
def test_a_correction_that_fits_nothing_is_refused_in_words(visited, said, sentence):
    with pytest.raises(InvalidInput, match=sentence):
        correct(visited, **said)

    assert standing(visited) == {"settlement": 1.7, "gap": 0.4}


def test_an_amended_inspection_takes_its_readings_to_the_new_day(visited):
    new_on = date(2026, 5, 13)
    command = InspectionAmendment(
        "S-0142", DAY, "card read again", new_on=new_on, new_kind="detailed"
    )

    with visited.write_session() as session:
        amended = amend_inspection(session, command, actor="office", now=LATER)
        frame = readings_frame(session)

    assert amended.kind is InspectionKind.DETAILED
    assert set(frame["inspected_on"]) == {new_on}


@pytest.mark.parametrize(
    ("said", "error", "sentence"),
    [
        ({"new_on": date(2026, 6, 3)}, InvalidInput, "today at the site"),
        ({"new_on": date(2001, 1, 1)}, InvalidInput, "installed"),
        ({"new_air": "90 °C"}, InvalidInput, "air temperature"),
        ({}, InvalidInput, "Nothing would change"),
        ({"reason": ""}, InvalidInput, "Say why"),
        ({"on": date(2026, 5, 1)}, NotFound, "Nearest: 14 May 2026"),
    ],
)
def test_an_amendment_that_can_not_be_is_refused(visited, said, error, sentence):
    values = {"support": "S-0142", "on": DAY, "reason": "card read again"} | said

    with pytest.raises(error, match=sentence), visited.write_session() as session:
        amend_inspection(
            session, InspectionAmendment(**values), actor="office", now=LATER
        )


def test_an_inspection_can_not_be_amended_into_another(visited):
    other = InspectionCommand("S-0142", date(2026, 5, 20), "Ines", kind="baseline")
    move = InspectionAmendment("S-0142", DAY, "card", new_on=date(2026, 5, 20))
    with visited.write_session() as session:
        record_inspection(session, other, actor="test", now=NOW)

    with pytest.raises(Conflict, match="already has"), visited.write_session() as s:
        amend_inspection(s, move, actor="office", now=LATER)


def test_a_withdrawn_inspection_no_longer_counts_and_its_day_is_free(visited):
    never = InspectionAmendment("S-0142", DAY, "another tree")
    again = InspectionCommand("S-0142", DAY, "Ines", (ReadingCommand("gap", "0.5 mm"),))

    with visited.write_session() as session:
        withdraw_inspection(session, never, actor="office", now=LATER)
    assert standing(visited) == {}
    with visited.write_session() as session:
        record_inspection(session, again, actor="office", now=LATER)

    assert standing(visited) == {"gap": 0.5}
    assert standing(visited, known_at=NOW) == {"settlement": 1.7, "gap": 0.4}


def test_a_withdrawn_removal_lets_the_member_stand_again(visited):
    removal = WorkCommand("S-0142", DAY, "removal", "Corbel & Fern Supports")
    never = WorkAmendment("S-0142", DAY, "it was the neighbour's")
    with visited.write_session() as session:
        record_work(session, removal, actor="test", now=NOW)
        withdraw_work(session, never, actor="office", now=LATER)

        (member,) = records.MEMBERS.all(session)
        (support,) = records.SUPPORTS.all(session)

    assert member.removed_on is None
    assert support.removed_on is None


def test_the_segments_of_a_withdrawn_work_no_longer_count(visited):
    repair = WorkCommand("S-0142", date(2026, 5, 20), "repair", "Corbel & Fern")
    never = WorkAmendment("S-0142", date(2026, 5, 20), "planned only", kind="repair")
    with visited.write_session() as session:
        record_work(session, repair, actor="test", now=NOW)
        before = segments_frame(session)
        withdraw_work(session, never, actor="office", now=LATER)
        after = segments_frame(session)

    assert set(before["series"]) == {"settlement", "gap"}
    assert after.empty


def test_the_note_of_a_work_is_amended(visited):
    work = WorkCommand("S-0142", DAY, "repaint", "Corbel & Fern Supports")
    said = WorkAmendment("S-0142", DAY, "from the invoice", new_note="two coats")
    with visited.write_session() as session:
        record_work(session, work, actor="test", now=NOW)
        better = amend_work(session, said, actor="office", now=LATER)

        assert better.note == "two coats"
        assert better.kind is WorkKind.REPAINT
        assert records.WORKS.count(session) == 2
        assert len(records.WORKS.current(session)) == 1


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"new_done_by": " "}, "who did it"),
        ({"new_note": "x" * 4001}, "at most 4000"),
        ({"new_note": "y", "reason": "x" * 4001}, "at most 4000"),
    ],
)
def test_an_amendment_of_a_work_is_held_to_the_same_texts(visited, said, sentence):
    work = WorkCommand("S-0142", DAY, "repaint", "Corbel & Fern Supports")
    values = {"support": "S-0142", "on": DAY, "reason": "from the invoice"} | said
    with visited.write_session() as session:
        record_work(session, work, actor="test", now=NOW)

        with pytest.raises(InvalidInput, match=sentence):
            amend_work(session, WorkAmendment(**values), actor="office", now=LATER)
