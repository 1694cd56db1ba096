"""From the filled guided entry to the support it stands for."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.attributes import aria
from dashboard.components.form import (
    choice,
    choice_field,
    field,
    html_id,
    text_input,
)
from dashboard.components.text import sentence
from monitor.domain.facts import FACTS, FactSpec
from monitor.domain.quantities import QUANTITIES
from monitor.domain.vocabulary import MemberKind
from monitor.errors import InvalidInput
from monitor.exchange.dates import civil_date
from monitor.services.recording.commands import (
    MemberDraft,
    SiteDraft,
    SupportDraft,
    TreeDraft,
)

FIRST_ASKED = {
    MemberKind.POST: ("section", "width_mm", "wall_mm", "length_mm", "coating",
                      "limb_held_sideways"),
    MemberKind.PIN: ("diameter_mm", "hole_diameter_mm", "length_mm", "nuts"),
    MemberKind.ROD: ("diameter_mm", "hole_diameter_mm", "length_mm", "nuts"),
    MemberKind.CABLE: ("line", "diameter_mm", "length_mm", "set_tension_kn"),
    MemberKind.GUY: ("line", "diameter_mm", "length_mm", "anchor"),
}  # fmt: skip
"""What is asked in sight; the other facts stand behind “More”."""

_USUAL_MARKS = {
    MemberKind.POST: ("face", "plate", "at grade"),
    MemberKind.PIN: ("wound",),
    MemberKind.ROD: ("wound",),
    MemberKind.CABLE: ("line",),
    MemberKind.GUY: ("line",),
}


@dataclass(frozen=True, slots=True)
class FilledNew:
    """The guided entry as the browser sends it.

    Attributes
    ----------
    head : every field by its name
    facts : as typed, by name of the fact
    marks : where the member will be read
    """

    head: Mapping[str, Any]
    facts: Mapping[str, str]
    marks: tuple[str, ...]


def draft_from(filled: FilledNew) -> SupportDraft:
    """What is to be registered; empty fields say nothing.

    Raises
    ------
    InvalidInput : the day is missing or may mean two days
    """
    said = {name: str(value or "").strip() for name, value in filled.head.items()}
    installed_on = civil_date(said["installed"])
    if isinstance(installed_on, str):
        raise InvalidInput(
            f"Say on which day it was installed: {installed_on}. If only the year is "
            "known, take its first of July and say so in the note.",
            field="installed",
        )
    member = MemberDraft(
        code=said["member"],
        kind=said["kind"],
        installed_on=installed_on,
        bearing=said["bearing"],
        facts={name: text for name, text in filled.facts.items() if text.strip()},
        marks=filled.marks,
    )
    return SupportDraft(
        code=said["support"],
        site=SiteDraft(said["site"], name=said["name"], owner=said["owner"]),
        tree=TreeDraft(said["tree"], species=said["species"]),
        members=(member,),
        reason=said["reason"],
        target=said["target"],
        occupancy=said["occupancy"],
        consequence=said["consequence"],
        installer=said["installer"],
        note=said["note"],
    )


def kind_fields(kind: MemberKind) -> list[Component]:
    """As-built facts and marks of a member of that kind."""
    specs = {spec.name: spec for spec in FACTS[kind]}
    first = FIRST_ASKED[kind]
    rest = [spec for name, spec in specs.items() if name not in first]
    return [
        html.Div([_fact(specs[name]) for name in first], className="head-fields"),
        html.Details(
            [
                html.Summary("More of how it was built, as far as it is known"),
                html.Div([_fact(spec) for spec in rest], className="head-fields"),
            ]
        ),
        _marks(kind),
    ]


def _fact(spec: FactSpec) -> Component:
    key = {"type": "new-fact", "name": spec.name}
    label = sentence(spec.label)
    if spec.choices and spec.choices != ("date",):
        options: list[str | dict[str, str]] = [
            *spec.choices, {"label": "not known", "value": ""}
        ]  # fmt: skip
        return choice_field(label, choice(key, options))
    hint = f"In {spec.unit}, or as you type it." if spec.is_number else ""
    if spec.choices:
        hint = "As 2031-05-14."
    return field(label, text_input(key), key=html_id(key), hint=hint)


def _marks(kind: MemberKind) -> Component:
    marks = dict.fromkeys(q.mark for q in QUANTITIES.values() if kind in q.kinds)
    read = {
        mark: ", ".join(
            q.label for q in QUANTITIES.values() if q.mark == mark and kind in q.kinds
        )
        for mark in marks
    }
    return html.Fieldset(
        [
            html.Legend("Where it will be read"),
            dcc.Checklist(
                id={"type": "new-marks", "name": "marks"},
                options=[
                    {"label": f"{mark} ({what})", "value": mark}
                    for mark, what in read.items()
                ],
                value=list(_USUAL_MARKS[kind]),
                className="questions",
            ),
        ],
        className="field wide-field",
        **aria(label="Marks"),
    )
