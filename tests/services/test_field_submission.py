"""A form from the field is recorded once, or asks; it is never lost."""

import hashlib
from dataclasses import replace
from datetime import date, timedelta

import pytest

from monitor.clock import new_id
from monitor.domain.vocabulary import Answer as Said
from monitor.services.field.answers import MissingPhotos, Question, Receipt
from monitor.services.field.form import Submission
from monitor.services.field.submission import assess_received, set_aside, submit
from monitor.services.recording.checks import Stamp
from monitor.services.recording.commands import (
    FindingCommand,
    InspectionCommand,
    ReadingCommand,
)
from monitor.services.recording.photos import PhotoCommand, Piece, take_piece
from monitor.services.recording.record import record_inspection
from monitor.store import ledger, records
from monitor.store.photos import PhotoFiles
from monitor.store.stale import stale_supports
from tests.build import a_support, some_readings
from tests.conftest import NOON

TODAY = date(2026, 6, 1)
STAMP = Stamp("Ines", NOON)
JPEG = b"\xff\xd8\xff\xe0" + b"bark" * 99
SHA = hashlib.sha256(JPEG).hexdigest()


@pytest.fixture
def session(store):
    with store.write_session() as session:
        spot = a_support(session)
        some_readings(session, spot, "settlement", {date(2025, 6, 1): 2.0})
        yield session


@pytest.fixture
def files(tmp_path):
    return PhotoFiles(tmp_path / "photos")


def a_form(text="2.4", *, key=None, body=None, sent_at=NOON, photos=(), **changes):
    key = key or new_id()
    reading = ReadingCommand("settlement", text, "mm", "P1", "plate")
    given = {
        "support": "S-0142",
        "inspected_on": TODAY,
        "inspector": "Ines",
        "readings": (reading,),
        "id": key,
        "device_at": NOON,
        "source": "field form",
        **changes,
    }
    sha = hashlib.sha256((body or f"{given}").encode()).hexdigest()
    command = InspectionCommand(**given)
    return Submission(key, command, photos, sha, sent_at, {"text": text})


def inspections(session):
    return records.INSPECTIONS.all(
        session, records.INSPECTIONS.table.c.source != "test"
    )


def test_a_form_is_recorded_with_a_receipt_for_its_bytes(session, files):
    form = a_form()

    receipt = submit(session, form, files, STAMP)

    assert isinstance(receipt, Receipt)
    assert (receipt.id, receipt.body_sha256) == (str(form.id), form.body_sha256)
    assert [made.id for made in inspections(session)] == [form.id]
    assert inspections(session)[0].device_at == NOON


def test_the_same_form_sent_again_gets_the_same_receipt_even_years_later(
    session, files
):
    form = a_form()
    first = submit(session, form, files, STAMP)
    later = Stamp("Mira", NOON + timedelta(days=400))

    again = submit(session, form, files, later)

    assert again == first
    assert len(inspections(session)) == 1


def test_the_same_id_with_one_number_changed_is_not_taken_and_written_down(
    session, files
):
    key = new_id()
    submit(session, a_form("5.0", key=key, sure=frozenset()), files, STAMP)

    answer = submit(session, a_form("50.0", key=key), files, STAMP)

    assert isinstance(answer, Question)
    assert answer.about == "content"
    kept = records.READINGS.all(session, records.READINGS.table.c.inspection_id == key)
    assert [reading.given for reading in kept] == ["5.0 mm"]
    actions = [e.change.action for e in ledger.entries(session)]
    assert "field form refused" in actions


def test_a_photograph_has_to_be_here_before_the_form_that_names_it(session, files):
    form = a_form(photos=(PhotoCommand(SHA, "the saddle", "P1", TODAY),))

    before = submit(session, form, files, STAMP)
    take_piece(files, Piece(SHA, 0, len(JPEG), JPEG), most_bytes=1000)
    after = submit(session, form, files, STAMP)

    assert before == MissingPhotos((SHA,))
    assert isinstance(after, Receipt)
    photos = records.PHOTOS.all(session)
    assert [(p.sha256, p.inspection_id, p.caption) for p in photos] == [
        (SHA, form.id, "the saddle")
    ]
    assert photos[0].member_id is not None
    assert photos[0].media_type == "image/jpeg"


def test_nothing_is_written_while_a_photograph_is_missing(session, files):
    submit(session, a_form(photos=(PhotoCommand(SHA),)), files, STAMP)

    assert inspections(session) == []
    assert records.PHOTOS.all(session) == []


def test_a_doubt_comes_back_as_a_question_and_its_choice_settles_it(session, files):
    # 2.0 mm a year ago, 50.8 now: 25.4 times as much, an inch read as a millimetre.
    key = new_id()
    asked = submit(session, a_form("50.8", key=key), files, STAMP)

    assert isinstance(asked, Question)
    assert asked.about == "doubts"
    sure = frozenset(asked.choices[0].changes["sure"])
    taken = submit(session, a_form("50.8", key=key, sure=sure), files, STAMP)

    assert isinstance(taken, Receipt)
    assert len(inspections(session)) == 1


def test_another_look_that_day_by_someone_else_is_asked_and_both_are_kept(
    session, files
):
    submit(session, a_form(inspector="Tomas"), files, STAMP)
    asked = submit(session, a_form(), files, STAMP)

    assert isinstance(asked, Question)
    assert asked.about == "another"
    assert "Tomas" in asked.sentence
    sure = frozenset(asked.choices[0].changes["sure"])
    assert isinstance(submit(session, a_form(sure=sure), files, STAMP), Receipt)
    assert {made.inspector for made in inspections(session)} == {"Ines", "Tomas"}


def test_a_second_look_of_the_same_kind_and_person_can_be_a_detailed_one(
    session, files
):
    submit(session, a_form(), files, STAMP)
    asked = submit(session, a_form("2.6"), files, STAMP)

    assert isinstance(asked, Question)
    assert asked.about == "repeated"
    kind = asked.choices[0].changes["kind"]
    assert isinstance(submit(session, a_form("2.6", kind=kind), files, STAMP), Receipt)


def test_a_support_removed_meanwhile_is_said_and_the_form_can_be_left_with_the_office(
    session, files
):
    support = records.SUPPORTS.find(session, code="S-0142")
    gone = replace(support, removed_on=date(2026, 5, 1))
    records.SUPPORTS.change(session, gone)
    form = a_form()

    asked = submit(session, form, files, STAMP)
    aside = set_aside(session, form, files, STAMP)

    assert isinstance(asked, Question)
    assert "removed" in asked.sentence
    assert isinstance(aside, Receipt)
    assert not aside.is_inspection
    assert inspections(session) == []
    kept = [e.change for e in ledger.entries(session, subject="support S-0142")]
    assert '"text":"2.4"' in kept[-1].payload


def test_a_member_that_is_gone_keeps_its_words_in_the_note_if_the_rest_is_recorded(
    session, files
):
    fits = ReadingCommand("settlement", "2.4", "mm", "P1", "plate")
    lost = ReadingCommand("settlement", "7.7", "mm", "P9", "plate")
    asked = submit(session, a_form(readings=(fits, lost)), files, STAMP)

    assert isinstance(asked, Question)
    changes = asked.choices[0].changes
    assert [reading["text"] for reading in changes["readings"]] == ["2.4"]
    assert "P9 plate, settlement 7.7 mm" in changes["note"]
    rest = a_form(
        readings=tuple(ReadingCommand(**r) for r in changes["readings"]),
        note=changes["note"],
    )
    assert isinstance(submit(session, rest, files, STAMP), Receipt)
    assert "7.7 mm" in inspections(session)[0].note


def test_a_support_that_is_not_in_the_record_is_a_question_and_no_error(session, files):
    asked = submit(session, a_form(support="S-0l42"), files, STAMP)

    assert isinstance(asked, Question)
    assert "S-0142" in asked.sentence


def test_a_clock_five_minutes_wrong_is_taken_without_a_word(session, files):
    receipt = submit(session, a_form(sent_at=NOON + timedelta(minutes=5)), files, STAMP)

    assert receipt.clock_off_s == 0


def test_a_clock_six_minutes_wrong_is_flagged_in_receipt_and_history(session, files):
    ahead = timedelta(minutes=6)
    form = a_form(sent_at=NOON + ahead, device_at=NOON + ahead)

    receipt = submit(session, form, files, STAMP)

    assert receipt.clock_off_s == 360
    assert "6 minutes" in receipt.sentence
    kept = [e.change for e in ledger.entries(session, subject="support S-0142")]
    assert kept[-1].action == "device clock was wrong"
    assert '"ahead_s":360' in kept[-1].payload


def test_a_clock_a_day_behind_asks_which_day_it_was(session, files):
    behind = NOON - timedelta(days=1)
    yesterday = date(2026, 5, 31)
    form = a_form(sent_at=behind, device_at=behind, inspected_on=yesterday)

    asked = submit(session, form, files, STAMP)

    assert isinstance(asked, Question)
    assert asked.about == "clock"
    assert [choice.changes for choice in asked.choices] == [
        {"inspected_on": "2026-06-01"},
        {"sure": ["day"]},
    ]


def test_a_clock_two_days_ahead_can_not_date_a_look_in_the_future(session, files):
    ahead = NOON + timedelta(days=2)
    form = a_form(sent_at=ahead, device_at=ahead, inspected_on=date(2026, 6, 3))

    asked = submit(session, form, files, STAMP)
    insisting = a_form(
        sent_at=ahead, device_at=ahead, inspected_on=date(2026, 6, 3),
        sure=frozenset({"day"}),
    )  # fmt: skip

    assert [choice.changes for choice in asked.choices] == [
        {"inspected_on": "2026-06-01"}
    ]
    assert isinstance(submit(session, insisting, files, STAMP), Question)
    assert inspections(session) == []


def test_a_future_day_chosen_by_hand_is_offered_as_today(session, files):
    asked = submit(session, a_form(inspected_on=date(2026, 6, 9)), files, STAMP)

    assert asked.choices[0].changes == {"inspected_on": "2026-06-01"}


def test_repeats_and_answers_without_a_number_are_kept_apart(session, files):
    at = {"member": "P1", "mark": "plate", "quantity": "settlement"}
    form = a_form(
        readings=(
            ReadingCommand(text="2.4", unit="mm", **at),
            ReadingCommand(text="3/32 in", unit="mm", **at),
            ReadingCommand(
                quantity="gap", member="P1", mark="saddle",
                answer="could not reach", why="too high",
            ),
        ),
        findings=(FindingCommand("cracked weld", "", "P1", "toe of the weld"),),
    )  # fmt: skip

    assert isinstance(submit(session, form, files, STAMP), Receipt)

    read = records.READINGS.all(
        session, records.READINGS.table.c.inspection_id == form.id
    )
    by_repeat = {(r.quantity, r.repeat): r for r in read}
    assert by_repeat["settlement", 1].given == "2.4 mm"
    assert by_repeat["settlement", 2].given == "3/32 in"
    # By hand: 3/32 in · 25.4 mm = 2.38125 mm.
    assert by_repeat["settlement", 2].value == pytest.approx(2.38125)
    assert by_repeat["gap", 1].answer is Said.COULD_NOT_REACH
    assert by_repeat["gap", 1].reason == "too high"


def test_what_was_received_is_assessed_at_once_and_dates_move(session, files):
    form = a_form()
    receipt = submit(session, form, files, STAMP)
    support = records.SUPPORTS.find(session, code="S-0142")
    assert support.id in stale_supports(session)

    assess_received(session, receipt, now=NOON)

    assert support.id not in stale_supports(session)
    due = records.DUES.find(session, support_id=support.id)
    assert due.due_on > TODAY
    assert records.STANDINGS.find(session, support_id=support.id) is not None


def test_the_history_still_fits_together_after_all_this(session, files):
    key = new_id()
    submit(session, a_form(key=key), files, STAMP)
    submit(session, a_form("9", key=key), files, STAMP)
    set_aside(session, a_form(), files, STAMP)

    assert ledger.first_broken(session) is None


def test_an_inspection_recorded_elsewhere_under_the_id_is_not_recorded_twice(
    session, files
):
    form = a_form()
    record_inspection(session, form.command, actor="desk", now=NOON)

    answer = submit(session, form, files, STAMP)

    assert len(inspections(session)) == 1
    assert isinstance(answer, Question)
    assert answer.about == "repeated"
