"""A trace on a photograph becomes millimetres beside it, and readings of its look."""

import hashlib
import io
import json
from datetime import date

import numpy as np
import pytest
from PIL import Image

from monitor.clock import new_id
from monitor.domain.field_tasks import Settled, TaskKind
from monitor.domain.vocabulary import MemberKind
from monitor.errors import Conflict, InvalidInput
from monitor.photogrammetry.bench.scenes import Scene, photographed, seen_at
from monitor.photogrammetry.marker_sheet import SHEETS
from monitor.services.field.answers import Question, Receipt
from monitor.services.field.body import submission_from
from monitor.services.field.office import record_set_aside, what_stands_in_the_way
from monitor.services.field.older_photos import older_photos
from monitor.services.field.outlines import with_measures
from monitor.services.field.submission import set_aside, submit
from monitor.services.field.tasks import open_task, open_tasks, settle
from monitor.services.recording.checks import Stamp
from monitor.services.recording.commands import WorkCommand
from monitor.services.recording.desk_measures import ask_measure, keep_on_desk
from monitor.services.recording.desk_photos import NewPhoto, add_photo
from monitor.services.recording.photo_measures import OutlineCommand, checked_strokes
from monitor.services.recording.photos import Piece, take_piece
from monitor.services.recording.works import record_work
from monitor.services.showing.photos import (
    copy_of,
    flat_picture,
    measured_before,
    photos_of,
)
from monitor.store import ledger, records
from monitor.store.photos import PhotoFiles
from tests.build import a_support, some_readings
from tests.conftest import NOON
from tests.field.phone import a_body

STAMP = Stamp("Ines", NOON)
A4 = SHEETS[0]
SCENE = Scene(tilt_deg=20, toward_deg=40, width=900, height=1200, offset_mm=5.0)
SQUARE = np.array([105, 148]) + 25 * np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)])


def as_file(pixels, kind="JPEG", **more) -> bytes:
    out = io.BytesIO()
    Image.fromarray(pixels).convert("RGB").save(out, kind, **more)
    return out.getvalue()


@pytest.fixture(scope="module")
def body():
    drawn = photographed(SCENE, A4, SQUARE, np.random.default_rng(1))
    return as_file(drawn, quality=92)


TRACE = tuple(
    map(tuple, ((seen_at(SCENE, A4, SQUARE, 5.0) + 0.5) / (900, 1200)).tolist())
)


@pytest.fixture
def files(tmp_path):
    return PhotoFiles(tmp_path / "photos")


@pytest.fixture
def spot(store):
    with store.write_session() as session:
        spot = a_support(session, "S-0200", kind=MemberKind.PIN, mark="wound")
        some_readings(session, spot, "wound_width", {date(2025, 6, 1): 52.0})
    return spot


def sha(body: bytes) -> str:
    return hashlib.sha256(body).hexdigest()


def kept(files, body):
    take_piece(files, Piece(sha(body), 0, len(body), body), most_bytes=10_000_000)


def a_form(body, **changes):
    outline = {
        "sha256": sha(body), "points": TRACE, "hand": 0.0005, "member": "P1",
        "mark": "wound",
    }  # fmt: skip
    photos = [{"sha256": sha(body), "member": "P1"}]
    drawn = {"photos": photos, "outlines": [outline]}
    content = a_body("S-0200", readings=[], **changes) | drawn
    return submission_from(json.dumps(content).encode(), NOON.isoformat())


def test_a_trace_from_the_field_becomes_readings_with_their_doubt(
    store, files, spot, body
):
    kept(files, body)
    form = with_measures(a_form(body), files)

    with store.write_session() as session:
        receipt = submit(session, form, files, STAMP)
        (measure,) = records.PHOTO_MEASURES.all(session)
        read = records.READINGS.all(
            session, records.READINGS.table.c.inspection_id == form.id
        )
        assert ledger.first_broken(session) is None

    assert isinstance(receipt, Receipt)
    assert "On the photograph:" in receipt.sentence
    # By hand: a square of 50 mm has 25 cm².
    assert measure.area_mm2 == pytest.approx(2500, rel=0.02)
    assert measure.width_mm == pytest.approx(50, abs=1)
    assert measure.mark_id == spot.mark.id
    assert measure.inspection_id == form.id
    values = {one.quantity: one for one in read}
    assert values["wound_width"].value == pytest.approx(50, abs=1)
    assert values["wound_height"].method == "photo"
    assert "one standard deviation" in values["wound_height"].reason
    assert values["wound_width"].sd_instrument == measure.width_sd_mm
    assert values["wound_height"].sd_instrument == measure.height_sd_mm
    assert values["wound_width"].sd_placement == 0.0


def test_a_photograph_without_markers_leaves_the_look_and_tells_the_office(
    store, files, spot
):
    bark = np.random.default_rng(2).integers(60, 160, (600, 800), dtype=np.uint8)
    body = as_file(bark)
    kept(files, body)
    form = with_measures(a_form(body), files)

    with store.write_session() as session:
        receipt = submit(session, form, files, STAMP)
        (task,) = open_tasks(session)
        measures = records.PHOTO_MEASURES.all(session)

    assert receipt.is_inspection
    assert "not measured: No marker" in receipt.sentence
    assert task.kind is TaskKind.PHOTO
    assert "No marker of the sheet" in task.sentence
    assert measures == []


@pytest.mark.parametrize(
    ("broken", "words"),
    [
        (b"\xff\xd8\xff\xe0" + b"bark" * 99, "can not be opened"),
        (b"\x89PNG\r\n\x1a\n" + bytes(40), "can not be opened"),
    ],
)
def test_what_only_begins_like_a_photograph_is_said_in_words(
    files, spot, broken, words
):
    kept(files, broken)

    form = with_measures(a_form(broken), files)

    assert words in form.refusals[sha(broken)]


def test_typed_numbers_are_not_overruled_by_the_photograph(store, files, spot, body):
    typed = {"quantity": "wound_width", "text": "51", "unit": "mm", "member": "P1",
             "mark": "wound"}  # fmt: skip
    kept(files, body)
    content = dict(a_form(body).content, readings=[typed])
    form = submission_from(json.dumps(content).encode(), NOON.isoformat())

    found = with_measures(form, files).command.readings

    assert [(one.quantity, one.method) for one in found] == [
        ("wound_width", ""),
        ("wound_height", "photo"),
    ]


def test_strokes_beyond_the_photograph_or_without_end_are_refused():
    with pytest.raises(InvalidInput, match="beyond the photograph"):
        checked_strokes([[(0.5, 1.2)]])
    with pytest.raises(InvalidInput, match="sketch can not be read"):
        checked_strokes([[(0.5, 0.5)] * 4001])
    with pytest.raises(InvalidInput, match="sketch can not be read"):
        checked_strokes("scribble")


def test_a_sketch_comes_with_its_photograph_and_goes_out_with_the_next_round(
    store, files, spot, body
):
    stroke = [[0.1, 0.1], [0.2, 0.3]]
    kept(files, body)
    form = a_form(body)
    photo = {"sha256": sha(body), "member": "P1", "sketch": [stroke]}
    content = dict(form.content, photos=[photo], outlines=[])
    form = submission_from(json.dumps(content).encode(), NOON.isoformat())

    with store.write_session() as session:
        submit(session, form, files, STAMP)
        (older,) = older_photos(session, [spot.support.id])[spot.support.id]

    assert older.sketch == [stroke]
    assert older.member == "P1"


def added(store, files, body, look=""):
    kept(files, body)
    with store.write_session() as session:
        new = NewPhoto(sha(body), "wound", look, None)
        return add_photo(session, files, "S-0200", new, by=("Ines", NOON))


def command(body, **changes):
    given = {"sha256": sha(body), "points": TRACE, "member": "P1", "mark": "wound"}
    return OutlineCommand(**{**given, **changes})


def test_at_the_desk_a_measure_is_shown_first_and_then_kept_with_its_look(
    store, files, spot, body
):
    with store.read_session() as session:
        (look,) = records.INSPECTIONS.all(session)
    photo = added(store, files, body, str(look.root_id))

    asked = ask_measure(files, command(body))
    said = keep_on_desk(store, files, (photo.id, command(body)), STAMP)

    assert "95 % ranges" in asked
    assert "readings of the look of 1 June 2025" in said
    with store.read_session() as session:
        read = records.READINGS.all(session)
        (before,) = measured_before(session, spot.mark.id)
    # The width typed that day stays; that of the photograph is its repeat.
    assert sorted((r.quantity, r.repeat) for r in read) == [
        ("wound_height", 1), ("wound_width", 1), ("wound_width", 2),
    ]  # fmt: skip
    assert before[1] == date(2025, 6, 1)


def test_a_second_trace_wants_a_reason_and_both_stay_readable(store, files, spot, body):
    photo = added(store, files, body)
    keep_on_desk(store, files, (photo.id, command(body)), STAMP)

    with pytest.raises(InvalidInput, match="Say why"):
        keep_on_desk(store, files, (photo.id, command(body)), STAMP)
    again = command(body, reason="the bark edge was taken too wide")
    keep_on_desk(store, files, (photo.id, again), STAMP)

    with store.read_session() as session:
        every = records.PHOTO_MEASURES.all(session)
        standing = records.PHOTO_MEASURES.current(session)
    assert len(every) == 2
    assert [one.reason for one in standing] == [again.reason]


def test_the_same_photograph_is_not_added_twice(store, files, spot, body):
    added(store, files, body)

    with pytest.raises(Conflict, match="already"):
        added(store, files, body)


def test_copies_are_small_and_say_nothing_of_place_or_camera(store, files, spot):
    exif = Image.Exif()
    exif[0x010F] = "Camera of Velmarsh"
    exif.get_ifd(0x8825)[1] = "N"
    pixels = np.zeros((900, 1200, 3), np.uint8)
    body = as_file(pixels, exif=exif)
    photo = added(store, files, body)

    with store.read_session() as session:
        copy = copy_of(session, files, photo.id, "small")
        again = copy_of(session, files, photo.id, "small")

    opened = Image.open(io.BytesIO(copy))
    assert max(opened.size) == 480
    assert dict(opened.getexif()) == {}
    assert b"Velmarsh" in body
    assert b"Velmarsh" not in copy
    assert again == copy
    assert files.read(sha(body)) == body


def test_a_measured_opening_can_be_laid_flat(store, files, spot, body):
    photo = added(store, files, body)
    keep_on_desk(store, files, (photo.id, command(body)), STAMP)

    with store.read_session() as session:
        (measure,) = records.PHOTO_MEASURES.all(session)
        flat = flat_picture(session, files, measure.id)
        (view,) = photos_of(session, spot.support)

    # By hand: 50 mm and 25 mm on either side, at 4 pixels a millimetre.
    assert Image.open(io.BytesIO(flat)).size == pytest.approx((400, 400), abs=8)
    assert view.measures == (measure,)


def aside(store, files, **changes):
    reading = {"quantity": "wound_width", "text": "50", "unit": "mm", "member": "P1",
               "mark": "wound"}  # fmt: skip
    content = a_body("S-0200", readings=[reading], **changes)
    form = submission_from(json.dumps(content).encode(), NOON.isoformat())
    with store.write_session() as session:
        set_aside(session, form, files, STAMP)
        (task,) = open_tasks(session)
    return task


def test_a_form_left_with_the_office_is_recorded_there_and_its_task_ends(
    store, files, spot
):
    task = aside(store, files)

    with store.write_session() as session:
        question = what_stands_in_the_way(session, task, STAMP)
        answer = record_set_aside(session, files, (task.id, {}), STAMP)
        left = open_tasks(session)

    assert question is None
    assert isinstance(answer, Receipt)
    assert answer.is_inspection
    assert left == ()


def test_what_stands_in_the_way_is_asked_and_its_choice_records(store, files, spot):
    lost = {"quantity": "wound_width", "text": "7", "unit": "mm", "member": "P9",
            "mark": "wound"}  # fmt: skip
    fits = {**lost, "member": "P1", "text": "50"}
    content = a_body("S-0200", readings=[fits, lost])
    form = submission_from(json.dumps(content).encode(), NOON.isoformat())
    with store.write_session() as session:
        set_aside(session, form, files, STAMP)
        (task,) = open_tasks(session)
        question = what_stands_in_the_way(session, task, STAMP)
        changes = question.choices[0].changes
        refused = record_set_aside(session, files, (task.id, {}), STAMP)
        answer = record_set_aside(session, files, (task.id, changes), STAMP)

    assert isinstance(refused, Question)
    assert "P9" in question.sentence
    assert isinstance(answer, Receipt)


def test_leaving_a_form_out_wants_a_reason_and_can_be_decided_once(store, files, spot):
    task = aside(store, files)

    with store.write_session() as session:
        with pytest.raises(InvalidInput, match="Say why"):
            settle(session, task.id, Settled.NOT_TAKEN, STAMP)
        settle(session, task.id, Settled.NOT_TAKEN, STAMP, reason="wrong tree")
        with pytest.raises(Conflict, match="wrong tree"):
            open_task(session, task.id)


def test_work_that_the_phone_did_not_know_of_is_asked_about(store, files, spot):
    reading = {"quantity": "wound_width", "text": "50", "unit": "mm", "member": "P1",
               "mark": "wound"}  # fmt: skip
    with store.write_session() as session:
        work = WorkCommand("S-0200", date(2026, 5, 20), "repair", "Corbel & Fern")
        record_work(session, work, actor="desk", now=NOON)

    def sent(sure=(), note="", key=None):
        content = a_body(
            "S-0200", readings=[reading], round_at="2026-05-01T06:00:00+00:00",
            sure=list(sure), note=note, id=str(key or new_id()),
        )  # fmt: skip
        form = submission_from(json.dumps(content).encode(), NOON.isoformat())
        with store.write_session() as session:
            return submit(session, form, files, STAMP)

    asked = sent()
    assert isinstance(asked, Question)
    assert asked.about == "work"
    assert "repair of 20 May 2026" in asked.sentence
    after, before = asked.choices
    assert "note" in before.changes
    answer = sent(before.changes["sure"], before.changes["note"])
    assert isinstance(answer, Receipt)
    with store.read_session() as session:
        (task,) = open_tasks(session)
    assert task.kind is TaskKind.WORK
    assert after.changes["sure"] == ["after the work"]
