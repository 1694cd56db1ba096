"""Asking what if: a thinner wall, more lean, a heavier limb, other soil, re-plumbed.

Nothing is saved. The question changes a copy of what is known, and the same mechanics
answers; what was measured or recorded stays as it is.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID

import numpy as np

from monitor.domain.vocabulary import MemberKind
from monitor.errors import InvalidInput, MonitorError, NotFound
from monitor.mechanics.footing import Soil, presumed_kpa
from monitor.mechanics.lean import STEEP_MM_M
from monitor.services.margins.case import Case, Lean
from monitor.services.margins.margins import margins_of
from monitor.services.margins.member_margin import MemberMargin
from monitor.services.margins.posts import HELD_TO_MM_M
from monitor.services.margins.view import HORIZON_YEARS, member_case, years_of
from monitor.store import Session
from monitor.units import parse, show

SET_PLUMB_SD_MM_M = 0.5
JUST_BEFORE_YEARS = 1e-3


@dataclass(frozen=True, slots=True)
class Question:
    """What if; None leaves a thing as it is.

    Attributes
    ----------
    wall_mm : this wall today
    lean_mm_m : this lean today, in its place
    load_kn : this load today
    soil : this soil under the plate
    is_replumbed : set plumb today; it then goes on as it went
    """

    wall_mm: float | None = None
    lean_mm_m: float | None = None
    load_kn: float | None = None
    soil: Soil | None = None
    is_replumbed: bool = False

    @property
    def is_empty(self) -> bool:
        """Whether nothing is asked."""
        return self == Question()

    @property
    def is_of_posts(self) -> bool:
        """Whether anything is asked that only a post has: lean or soil."""
        return self.lean_mm_m is not None or self.soil is not None or self.is_replumbed


@dataclass(frozen=True, slots=True)
class Compared:
    """A margin as it is, and as it would be, by the same method.

    Attributes
    ----------
    changes : what was changed, in words
    """

    as_is: MemberMargin
    what_if: MemberMargin
    changes: tuple[str, ...]


def question_of(typed: Mapping[str, str]) -> Question:
    """Read what was typed, each with its unit as people write it.

    Parameters
    ----------
    typed : wall, lean, load, soil, and replumbed ("yes"); missing or empty asks nothing

    Raises
    ------
    InvalidInput : a number or soil that can not be read
    """

    def number(name: str, unit: str, low: float, high: float) -> float | None:
        text = typed.get(name, "").strip()
        if not text:
            return None
        return parse(text, unit, low=low, high=high, field=name).value

    soil = typed.get("soil", "")
    if soil and soil not in list(Soil):
        raise InvalidInput(f"The soil “{soil}” is not in the table.", field="soil")
    return Question(
        wall_mm=number("wall", "mm", 0.2, 60.0),
        lean_mm_m=number("lean", "mm/m", 0.0, STEEP_MM_M),
        load_kn=number("load", "kN", 0.01, 2000.0),
        soil=Soil(soil) if soil else None,
        is_replumbed=typed.get("replumbed") == "yes",
    )


def compare(
    session: Session, place: tuple[UUID, str], question: Question, now: datetime
) -> Compared:
    """The margin of a member as it is and as it would be; nothing is saved.

    Parameters
    ----------
    place : id of the support and code of the member
    """
    support_id, code = place
    case = member_case(session, support_id, code, now)
    if case is None:
        raise NotFound("member", code, hint="It may have been removed.")
    years = years_of(case, HORIZON_YEARS)
    as_is = margins_of([case], years)[0]
    asked, changes = asked_of(case, question)
    what_if = margins_of([asked], years)[0]
    return Compared(as_is.by_method(what_if.method), what_if, tuple(changes))


def asked_of(case: Case, question: Question) -> tuple[Case, list[str]]:
    """The case with the question's changes, and these in words.

    Raises
    ------
    InvalidInput : a question that this kind of member has no answer to
    """
    if case.known.member.kind is not MemberKind.POST and question.is_of_posts:
        raise InvalidInput(
            f"The {case.known.label} neither leans nor stands on soil; ask for less "
            "metal or another load.",
            field="lean",
        )
    changes: list[str] = []
    if question.soil is not None:
        case = _on_soil(case, question.soil, changes)
    if question.load_kn is not None:
        case = _loaded(case, question.load_kn, changes)
    if question.lean_mm_m is not None or question.is_replumbed:
        case = _leaning(case, question, changes)
    if question.wall_mm is not None:
        case = _worn(case, question.wall_mm, changes)
    return case, changes


def _on_soil(case: Case, soil: Soil, changes: list[str]) -> Case:
    try:
        allowed = presumed_kpa(soil)
        changes.append(f"on {soil}, presumed to carry {show(allowed, 'kPa')}")
    except MonitorError as refused:
        allowed = float("nan")
        changes.append(f"on {soil}: {refused.message} The footing is left out")
    return replace(case, numbers=case.numbers | {"presumed_kpa": allowed})


def _loaded(case: Case, load_kn: float, changes: list[str]) -> Case:
    changes.append(f"carrying {show(load_kn, 'kN', digits=1)} today")
    refused = {name: why for name, why in case.refused.items() if name != "load"}
    spread = case.load.log_sd or 0.25
    load = replace(case.load, now_n=1000.0 * load_kn, log_sd=spread)
    return replace(case, load=load, refused=refused)


def _leaning(case: Case, question: Question, changes: list[str]) -> Case:
    lean = case.lean
    seen = (*lean.seen, (-JUST_BEFORE_YEARS, lean.now_mm_m))
    if question.is_replumbed:
        changes.append("set plumb today, and going on as it went")
        now = Lean(0.0, SET_PLUMB_SD_MM_M, lean.pace_mm_m, lean.pace_sd_mm_m, seen)
        held = {"is_free": float(case.known.word("limb_held_sideways") != "yes")}
        return replace(case, lean=now, numbers=case.numbers | held)
    tilt = question.lean_mm_m or 0.0
    changes.append(f"leaning {show(tilt, 'mm/m')} today")
    numbers = case.numbers
    if lean.moved_mm_m + tilt - lean.now_mm_m > HELD_TO_MM_M and not numbers["is_free"]:
        changes.append("its head no longer counted as held")
        numbers = numbers | {"is_free": 1.0}
    return replace(case, numbers=numbers, lean=replace(lean, now_mm_m=tilt, seen=seen))


def _worn(case: Case, wall_mm: float, changes: list[str]) -> Case:
    """The case with as much metal gone as makes this wall; never more than it has."""
    today = margins_of([case], np.array([0.0]))[0]
    if today.refused:
        raise InvalidInput(
            f"A thinner wall can not be asked for yet. {' '.join(today.refused)}",
            field="wall",
        )
    left = today.wall_mm[0]
    if wall_mm > left + 1e-9:
        raise InvalidInput(
            f"A wall of {show(wall_mm, 'mm')} is thicker than the {show(left, 'mm')} "
            "believed to be left; ask for a thinner one.",
            field="wall",
        )
    changes.append(f"with {show(wall_mm, 'mm')} of wall left today")
    return replace(case, metal=replace(case.metal, gone_mm=left - wall_mm))
