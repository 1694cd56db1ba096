"""From the bytes a device sends to the form they stand for."""

import hashlib
import json
from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any, TypeVar
from uuid import UUID

from monitor.domain.vocabulary import Grade
from monitor.errors import InvalidInput
from monitor.services.field.form import Submission
from monitor.services.recording.checks import plain, word
from monitor.services.recording.commands import (
    FindingCommand,
    InspectionCommand,
    ReadingCommand,
)
from monitor.services.recording.photo_measures import OutlineCommand, checked_strokes
from monitor.services.recording.photos import PhotoCommand

SHAPE = 1
"""Of the form's content; a device with another one has to load the form anew."""

LARGEST_BODY = 500_000
"""Of one form without its photographs. [byte]"""

MOST_PARTS = 500
LONGEST_TEXT = 10_000

T = TypeVar("T")


def submission_from(body: bytes, device_time: str) -> Submission:
    """The form in these bytes.

    Parameters
    ----------
    device_time : the device's clock while sending, ISO 8601; empty if it did not say

    Raises
    ------
    InvalidInput : this is no form, or one of another shape
    """
    content = _content(body)
    key = _uuid(content.get("id"))
    command = InspectionCommand(
        support=_text(content, "support"),
        inspected_on=_day(content.get("inspected_on")),
        inspector=_text(content, "inspector"),
        readings=tuple(_reading(part) for part in _parts(content, "readings")),
        findings=_merged([_finding(part) for part in _parts(content, "findings")]),
        kind=_text(content, "kind"),
        air=_text(content, "air"),
        leaf=_text(content, "leaf"),
        note=_text(content, "note"),
        id=key,
        device_at=_instant(_text(content, "device_at")),
        source="field form",
        sure=frozenset(_texts(content, "sure")),
    )
    return Submission(
        id=key,
        command=command,
        photos=tuple(_photo(part) for part in _parts(content, "photos")),
        body_sha256=hashlib.sha256(body).hexdigest(),
        sent_at=_instant(device_time),
        content=content,
        round_at=_instant(_text(content, "round_at")),
        outlines=tuple(_outline(part) for part in _parts(content, "outlines")),
        sketches={
            _text(part, "sha256"): checked_strokes(part["sketch"])
            for part in _parts(content, "photos")
            if part.get("sketch")
        },
    )


def _content(body: bytes) -> dict[str, Any]:
    if len(body) > LARGEST_BODY:
        raise _unclear(f"{len(body)} bytes", f"up to {LARGEST_BODY} bytes")
    try:
        content = json.loads(body, parse_constant=_no_constant)
    except (ValueError, RecursionError):
        raise _unclear("something else", "a form as JSON") from None
    if not isinstance(content, dict):
        raise _unclear("something else", "a form as JSON")
    if content.get("form") != SHAPE:
        raise InvalidInput(
            "This form is of another version than this installation. Load the form "
            "anew while there is a network; what is on the phone stays there.",
            field="form",
            code="fld-002",
        )
    return content


def _no_constant(name: str) -> float:
    raise ValueError(name)


def _reading(part: dict[str, Any]) -> ReadingCommand:
    return ReadingCommand(
        quantity=_text(part, "quantity"),
        text=_text(part, "text"),
        unit=_text(part, "unit"),
        member=_text(part, "member"),
        mark=_text(part, "mark"),
        method=_text(part, "method"),
        instrument=_text(part, "instrument"),
        answer=_text(part, "answer"),
        why=_text(part, "why"),
        sd=_maybe_number(part, "sd"),
    )


def _finding(part: dict[str, Any]) -> FindingCommand:
    return FindingCommand(
        code=_text(part, "code"),
        grade=_text(part, "grade"),
        member=_text(part, "member"),
        note=_text(part, "note"),
    )


def _merged(findings: list[FindingCommand]) -> tuple[FindingCommand, ...]:
    """The same thing found twice on one member is one finding: the graver, both notes.

    "Something else" and work that is needed share a code, so this does happen.
    """
    merged: dict[tuple[str, str], FindingCommand] = {}
    for finding in findings:
        key = plain(finding.member), plain(finding.code)
        first = merged.get(key)
        if first is None:
            merged[key] = finding
            continue
        notes = "; ".join(dict.fromkeys(n for n in (first.note, finding.note) if n))
        grade = max((first.grade, finding.grade), key=_rank)
        merged[key] = FindingCommand(first.code, grade, first.member, notes)
    return tuple(merged.values())


def _rank(grade: str) -> int:
    known = word(Grade, grade)
    return known.rank if known else -1


def _photo(part: dict[str, Any]) -> PhotoCommand:
    taken_on = _text(part, "taken_on")
    return PhotoCommand(
        sha256=_text(part, "sha256"),
        caption=_text(part, "caption"),
        member=_text(part, "member"),
        taken_on=_day(taken_on) if taken_on else None,
    )


def _outline(part: dict[str, Any]) -> OutlineCommand:
    (points,) = checked_strokes([part.get("points", ())]) or ((),)
    return OutlineCommand(
        sha256=_text(part, "sha256"),
        points=points,
        member=_text(part, "member"),
        mark=_text(part, "mark"),
        hand=_number(part.get("hand", 0.001), "hand"),
        offset_mm=_maybe_number(part, "offset_mm"),
        ruler_mm=_maybe_number(part, "ruler_mm"),
    )


def _maybe_number(part: dict[str, Any], name: str) -> float | None:
    return None if part.get(name) is None else _number(part[name], name)


def _number(found: object, name: str) -> float:
    if isinstance(found, bool) or not isinstance(found, int | float):
        raise _unclear(name, "a number")
    return _read(lambda: float(found), name, "a number")


def _parts(content: dict[str, Any], name: str) -> list[dict[str, Any]]:
    found = _list(content, name)
    if not all(isinstance(part, dict) for part in found):
        raise _unclear(name, "a list of objects")
    return found


def _texts(content: dict[str, Any], name: str) -> list[str]:
    found = _list(content, name)
    if not all(isinstance(part, str) for part in found):
        raise _unclear(name, "a list of words")
    return found


def _list(content: dict[str, Any], name: str) -> list[Any]:
    found = content.get(name, [])
    if not isinstance(found, list) or len(found) > MOST_PARTS:
        raise _unclear(name, f"a list of up to {MOST_PARTS}")
    return found


def _text(content: dict[str, Any], name: str) -> str:
    found = content.get(name, "")
    if not isinstance(found, str) or len(found) > LONGEST_TEXT or "\0" in found:
        raise _unclear(name, f"a text of up to {LONGEST_TEXT} characters")
    try:
        found.encode()
    except UnicodeEncodeError:
        raise _unclear(name, "a text in Unicode") from None
    return found.strip()


def _uuid(found: object) -> UUID:
    return _read(lambda: UUID(str(found)), "id", "an id such as a UUID")


def _day(found: object) -> date:
    return _read(
        lambda: date.fromisoformat(str(found)), "date", "a day such as 2031-05-14"
    )


def _instant(text: str) -> datetime | None:
    if not text:
        return None
    found = _read(
        lambda: datetime.fromisoformat(text).astimezone(UTC), "time", "an instant"
    )
    return found if "+" in text or text.endswith("Z") or "-" in text[10:] else None


def _read(reader: Callable[[], T], name: str, expected: str) -> T:
    try:
        return reader()
    except (ValueError, OverflowError):
        raise _unclear(name, expected) from None


def _unclear(found: str, expected: str) -> InvalidInput:
    return InvalidInput(
        f"The form can not be read: found {found}, expected {expected}. It stays on "
        "the phone.",
        field=found,
        code="fld-001",
    )
