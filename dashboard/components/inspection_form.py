"""From the filled form of an inspection to the command it stands for."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.form import choice, choice_field, field, text_input
from dashboard.components.text import sentence
from monitor.domain.findings import FINDINGS
from monitor.domain.vocabulary import Grade
from monitor.errors import InvalidInput
from monitor.services.recording.commands import (
    FindingCommand,
    InspectionCommand,
    ReadingCommand,
)


@dataclass(frozen=True, slots=True)
class Filled:
    """Everything in the form, as the browser sends it.

    Attributes
    ----------
    head : day, inspector, kind and the like
    readings : value, answer, why and method, each in the order of `keys`
    keys : ids of the value fields, "member|mark|quantity" under "key"
    findings : code, grade, member and note, row by row
    """

    head: dict[str, Any]
    readings: dict[str, list[str | None]]
    keys: list[dict[str, str]]
    findings: dict[str, list[str | None]]


def command_from(filled: Filled) -> InspectionCommand:
    """What the form asks to have recorded; empty fields say nothing.

    Raises
    ------
    InvalidInput : the day is missing or unreadable
    """
    head = filled.head
    return InspectionCommand(
        support=head["support"]["code"],
        inspected_on=_day(head["on"]),
        inspector=_text(head["inspector"]),
        readings=_readings(filled),
        findings=_findings(filled),
        kind=_text(head["kind"]),
        air=_text(head["air"]),
        leaf=_text(head["leaf"]),
        note=_text(head["note"]),
        id=UUID(head["key"]),
        source="page",
        sure=frozenset(head["sure"] or ()),
    )


def finding_row(row: int, members: Sequence[str]) -> Component:
    """Fields of one finding."""
    grades: list[str | dict[str, str]] = [
        {"label": "as usual for it", "value": ""},
        *({"label": grade.value, "value": grade.value} for grade in Grade),
    ]
    keys = {part: _id(part, row) for part in ("code", "grade", "member", "note")}
    return html.Div(
        [
            field(
                "What was seen",
                dcc.Dropdown(
                    id=keys["code"],
                    options={code: sentence(f.label) for code, f in FINDINGS.items()},
                    placeholder="nothing",
                ),
                key=keys["code"],
            ),
            choice_field("Grade", choice(keys["grade"], grades)),
            choice_field(
                "On",
                choice(keys["member"], [{"label": "the whole", "value": ""}, *members]),
            ),
            field("Words", text_input(keys["note"]), key=keys["note"]),
        ],
        className="finding",
    )


def _id(part: str, row: int) -> dict[str, str]:
    return {"type": f"record-finding-{part}", "row": str(row)}


def _day(text: object) -> date:
    try:
        return date.fromisoformat(str(text)[:10])
    except ValueError:
        raise InvalidInput(
            "The day is missing; choose the day of the look.", field="on"
        ) from None


def _readings(filled: Filled) -> tuple[ReadingCommand, ...]:
    columns = filled.readings
    rows = zip(
        filled.keys,
        columns["value"],
        columns["answer"],
        columns["why"],
        columns["method"],
        strict=True,
    )
    return tuple(
        _reading(key["key"], _text(value), _text(answer), (_text(why), _text(method)))
        for key, value, answer, why, method in rows
        if _text(value) or _text(answer)
    )


def _reading(key: str, text: str, answer: str, rest: tuple[str, str]) -> ReadingCommand:
    member, mark, quantity = key.split("|")
    why, method = rest
    return ReadingCommand(
        quantity=quantity,
        text=text,
        member=member,
        mark=mark,
        method=method if not answer else "",
        answer=answer,
        why=why,
    )


def _findings(filled: Filled) -> tuple[FindingCommand, ...]:
    columns = filled.findings
    rows = zip(
        columns["code"],
        columns["grade"],
        columns["member"],
        columns["note"],
        strict=True,
    )
    return tuple(
        FindingCommand(_text(code), _text(grade), _text(member), _text(note))
        for code, grade, member, note in rows
        if _text(code)
    )


def _text(value: object) -> str:
    return str(value).strip() if value is not None else ""
