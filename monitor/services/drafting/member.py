"""One member of a support with its as-built facts, checked."""

import math
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from monitor.clock import new_id
from monitor.domain.facts import FACTS, FactSpec
from monitor.domain.supports import Fact, Mark, Member, Support
from monitor.domain.vocabulary import MemberKind
from monitor.services.recording.addition import Addition
from monitor.services.recording.checks import (
    Stamp,
    Wanted,
    near,
    number,
    one_of,
    plain,
    spoken,
    with_unit,
    word,
)
from monitor.services.recording.commands import MemberDraft
from monitor.services.showing.register_view import RegisterView

_BEARING = Wanted("compass bearing", "deg", 0.0, 360.0)
_POINTS = [
    "n",
    "nne",
    "ne",
    "ene",
    "e",
    "ese",
    "se",
    "sse",
    "s",
    "ssw",
    "sw",
    "wsw",
    "w",
    "wnw",
    "nw",
    "nnw",
]


@dataclass(frozen=True, slots=True)
class Desk:
    """What is at hand while one support is checked.

    Attributes
    ----------
    today : civil date at the site
    """

    addition: Addition
    view: RegisterView
    stamp: Stamp
    today: date


def add_member(desk: Desk, support: Support, draft: MemberDraft, part: int) -> None:
    """Put a member into the addition: new, filled in, known or wrong."""
    addition, view = desk.addition, desk.view
    member = _member(desk, support, draft, part)
    if member is None:
        return
    key = support.id, plain(draft.code)
    stored = view.members.get(key)
    before = len(addition.facts) + len(addition.marks) + len(addition.filled)
    if stored is None:
        addition.members.append(member)
    else:
        said = {
            "kind": member.kind,
            "installed_on": member.installed_on,
            "removed_on": member.removed_on,
            "removal_note": member.removal_note,
            "bearing_deg": member.bearing_deg,
        }
        member = addition.filled_in(stored, said, _SAID, part)
    _add_facts(desk, member, draft, part)
    _add_marks(desk, member, draft)
    after = len(addition.facts) + len(addition.marks) + len(addition.filled)
    if stored is not None and after == before:
        addition.known.add(part)


def fact_spec_named(kind: MemberKind, text: str) -> FactSpec | None:
    """The as-built fact of a name or label on a member of that kind.

    One list often has one column for the width of posts and the diameter of lines.
    """
    wanted = plain(text.replace("_", " "))
    found = next((spec for spec in FACTS[kind] if wanted in _names(spec)), None)
    size = "width_mm" if kind is MemberKind.POST else "diameter_mm"
    if found is None and text in _SIZES:
        return next(spec for spec in FACTS[kind] if spec.name == size)
    return found


_SIZES = {"width_mm", "diameter_mm"}


def fact_value(spec: FactSpec, text: str, unit: str) -> tuple[float | None, str] | str:
    """Number and text of a fact as they are stored, or what was expected.

    Words and choices have no number.
    """
    if spec.is_number:
        wanted = Wanted(spec.label, spec.unit, spec.low, spec.high)
        measure = number(text, unit, wanted)
        if isinstance(measure, str):
            return measure
        return measure.value, with_unit(measure, unit)
    if spec.choices == ("date",):
        return _date_fact(text)
    if spec.choices:
        choice = next((c for c in spec.choices if plain(c) == plain(text)), None)
        return (None, choice) if choice else f"one of {', '.join(spec.choices)}"
    return None, text.strip()


def _date_fact(text: str) -> tuple[None, str] | str:
    try:
        return None, date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        return "a date such as 2031-05-14"


def _member(
    desk: Desk, support: Support, draft: MemberDraft, part: int
) -> Member | None:
    addition = desk.addition
    before = len(addition.problems)
    kind = word(MemberKind, draft.kind)
    if kind is None:
        hint = near(draft.kind, [k.value for k in MemberKind])
        addition.wrong("kind", draft.kind, one_of(MemberKind) + hint, part)
    if not draft.code.strip():
        addition.wrong("member", "", "a code, such as P1", part)
    _check_days(desk, draft, part)
    bearing_deg = bearing_of(addition, draft.bearing, part)
    if any(plain(m.code) == plain(draft.code) for m in addition.members):
        addition.wrong("member", draft.code, "each member once in a support", part)
    if kind is None or len(addition.problems) > before:
        return None
    return Member(
        id=new_id(),
        support_id=support.id,
        code=" ".join(draft.code.split()),
        kind=kind,
        installed_on=draft.installed_on,
        removed_on=draft.removed_on,
        removal_note=draft.removal_note.strip(),
        bearing_deg=bearing_deg,
        recorded_at=desk.stamp.now,
    )


def _check_days(desk: Desk, draft: MemberDraft, part: int) -> None:
    days = (("installed", draft.installed_on), ("removed", draft.removed_on))
    for name, on in days:
        if on is not None and on > desk.today:
            expected = f"no day after {spoken(desk.today)}, which is today at the site"
            desk.addition.wrong(name, on.isoformat(), expected, part)
    if draft.removed_on is not None and draft.removed_on < draft.installed_on:
        expected = f"a day from {spoken(draft.installed_on)}, when it was installed"
        desk.addition.wrong("removed", draft.removed_on.isoformat(), expected, part)


def bearing_of(addition: Addition, text: str, part: int) -> float | None:
    """A bearing as typed, in degrees or as a point of the compass. [deg]."""
    if not text.strip():
        return None
    if plain(text) in _POINTS:
        return 22.5 * _POINTS.index(plain(text))
    measure = number(text, "deg", _BEARING)
    if isinstance(measure, str):
        addition.wrong("bearing", text, f"{measure}; or a point such as NE", part)
        return None
    return measure.value % 360.0


def _add_facts(desk: Desk, member: Member, draft: MemberDraft, part: int) -> None:
    for name, text in draft.facts.items():
        if not text.strip():
            continue
        spec = fact_spec_named(member.kind, name)
        if spec is None:
            known = [s.label for s in FACTS[member.kind]]
            hint = near(name, known) or f": {', '.join(known)}"
            expected = f"nothing, as a {member.kind.value} has no such fact{hint}"
            desk.addition.wrong(name, text, expected, part)
            continue
        value = fact_value(spec, text, _unit(spec, draft.fact_units.get(name, "")))
        if isinstance(value, str):
            desk.addition.wrong(name, text, value, part)
        else:
            _add_fact(desk, member, spec, value, part)


def _unit(spec: FactSpec, given: str) -> str:
    return given if spec.is_number else ""


def _add_fact(
    desk: Desk,
    member: Member,
    spec: FactSpec,
    value: tuple[float | None, str],
    part: int,
) -> None:
    stored = desk.view.facts.get((member.id, spec.name))
    versions = desk.view.fact_versions.get((member.id, spec.name), [])
    figure, given = value
    if stored is None:
        fact = Fact(new_id(), member.id, spec.name, figure, given, desk.stamp.now, None)
        desk.addition.facts.append(fact)
    elif not any(_says(version, value) for version in versions):
        expected = f"“{stored.given}” as recorded; to change it, amend the record"
        desk.addition.wrong(spec.name, given, expected, part)


def _says(fact: Fact, value: tuple[float | None, str]) -> bool:
    """Whether a version of the fact says the same, whatever the unit typed."""
    figure, given = value
    if fact.number is None or figure is None:
        return plain(fact.given) == plain(given)
    return math.isclose(fact.number, figure, rel_tol=1e-9)


def _add_marks(desk: Desk, member: Member, draft: MemberDraft) -> None:
    for text in draft.marks:
        code = " ".join(text.split())
        key: tuple[UUID, str] = (member.id, plain(code))
        if code and key not in desk.view.marks:
            mark = Mark(new_id(), member.id, code, "", desk.stamp.now)
            desk.addition.marks.append(mark)


def _names(spec: FactSpec) -> set[str]:
    """Ways to write a fact: its name, that without the unit, and its label."""
    name = plain(spec.name.replace("_", " "))
    stem = name.rsplit(" ", 1)[0] if spec.is_number and spec.unit != "count" else name
    return {name, stem, plain(spec.label)}


_SAID = {
    "installed_on": "installed",
    "removed_on": "removed",
    "removal_note": "removal note",
    "bearing_deg": "bearing",
}
