"""A small record made through the services, with photographs."""

import hashlib
from datetime import UTC, date, datetime, timedelta

from monitor.services.assessing.assess import assess_all
from monitor.services.planning.events import EventCommand, enter_event
from monitor.services.recording.amend import correct_reading
from monitor.services.recording.commands import (
    FindingCommand,
    InspectionCommand,
    MemberDraft,
    ReadingCommand,
    ReadingCorrection,
    SiteDraft,
    SupportDraft,
    TreeDraft,
    WorkCommand,
)
from monitor.services.recording.photos import PhotoCommand, Subject, attach
from monitor.services.recording.record import record_inspection
from monitor.services.recording.register import register_supports
from monitor.services.recording.works import record_work
from monitor.store import records
from monitor.store.photos import PhotoFiles

START = datetime(2020, 5, 1, 9, tzinfo=UTC)
PICTURE = b"\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00"
TRAP = '=HYPERLINK("http://x","y")'


def build(store, folder, *, supports=3, photos=3):
    """Register, read over six years, correct, mend, photograph, assess."""
    with store.write_session() as session:
        drafts = [_draft(number) for number in range(supports)]
        register_supports(session, drafts, actor="Edda", now=START, timezone="Etc/UTC")
    for year in range(6):
        for number in range(supports):
            _visit(store, f"P-{number}", year, 1.0 + 0.1 * year + number)
    _afterwards(store, f"P-{supports - 1}")
    files = PhotoFiles(folder)
    _photograph(store, files, photos)
    with store.write_session() as session:
        assess_all(session, now=START + timedelta(days=2500))
    return files


def _draft(number):
    members = (
        MemberDraft("P1", "post", date(2010, 5, 14), facts={"length": "3.1 m"},
                    marks=("plate",)),
    )  # fmt: skip
    site = SiteDraft(
        "V-1", "Chapel Row", owner="City of Velmarsh", latitude="47.5",
        longitude="-20.1278", access_note="'gate' code,\nnote",
    )  # fmt: skip
    tree = TreeDraft(f"T{number}", "Quercus robur", heritage="yes")
    return SupportDraft(f"P-{number}", site, tree, members, reason=TRAP,
                        occupancy="frequent", consequence="significant")  # fmt: skip


def _visit(store, code, year, value):
    at = START + timedelta(days=366 * year)
    command = InspectionCommand(
        code, at.date(), "Ines Falk",
        (ReadingCommand("settlement", f"{value:.1f} mm"),
         ReadingCommand("gap", "0.4 mm")),
        (FindingCommand("loose nut", note="-1 turn"),) if year == 3 else (),
        note="Ines Falk went alone, ø = 12,5", device_at=at - timedelta(hours=1),
    )  # fmt: skip
    with store.write_session() as session:
        record_inspection(session, command, actor="Ines Falk", now=at)


def _afterwards(store, code):
    now = START + timedelta(days=2000)
    correction = ReadingCorrection(
        "P-0", START.date(), "settlement", "12.5 mm", "misread the gauge"
    )
    work = WorkCommand(code, now.date(), "adjustment", "Corbel & Fern Supports")
    storm = EventCommand("storm", now.date(), "Storm of May", support=code)
    with store.write_session() as session:
        correct_reading(session, correction, actor="Edda", now=now)
        record_work(session, work, actor="Edda", now=now)
        enter_event(session, storm, actor="Edda", now=now)


def _photograph(store, files, count):
    with store.write_session() as session:
        support = records.SUPPORTS.find(session, code="P-0")
        wanted = []
        for number in range(count):
            body = PICTURE + number.to_bytes(4, "big") * 20
            sha256 = hashlib.sha256(body).hexdigest()
            files.add_piece(sha256, 0, body)
            files.settle(sha256)
            wanted.append(PhotoCommand(sha256, caption=f"+{number} face"))
        subject = Subject("P-0", support.id, None, {})
        by = ("Ines Falk", START + timedelta(days=2001))
        attach(session, files, wanted, subject, by=by)
