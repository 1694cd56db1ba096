"""One reading as typed, checked against the support it is meant for."""

from dataclasses import dataclass, replace
from uuid import UUID

from monitor.clock import new_id
from monitor.domain.inspections import Inspection, Instrument, Reading
from monitor.domain.methods import METHODS, noise_of, noise_with
from monitor.domain.quantities import QUANTITIES, Quantity
from monitor.domain.supports import Mark, Member
from monitor.domain.vocabulary import Answer
from monitor.services.recording.checks import (
    Problem,
    Stamp,
    Wanted,
    near,
    number,
    plain,
    spoken,
    with_unit,
    word,
)
from monitor.services.recording.commands import ReadingCommand
from monitor.services.recording.dossier import Dossier
from monitor.units import Measure


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a reading was taken; the mark may be new to the record."""

    member: Member
    mark: Mark
    is_new: bool


def quantity_named(text: str) -> Quantity | Problem:
    """The quantity of a name or label, or what was expected."""
    found = _BY_NAME.get(plain(text.replace("_", " ")))
    if found:
        return found
    names = [q.label for q in QUANTITIES.values()]
    hint = near(text, [*QUANTITIES, *names]) or f": {', '.join(names)}"
    return Problem("quantity", text, f"a quantity of the catalogue{hint}")


def spot_for(
    dossier: Dossier, command: ReadingCommand, quantity: Quantity, visit: Inspection
) -> Spot | Problem:
    """Where the reading belongs: a member that was there, and a mark on it."""
    member = member_named(dossier, command.member, quantity)
    if isinstance(member, Problem):
        return member
    if misfit := _misfit(dossier, member, quantity, visit):
        return misfit
    code = " ".join(command.mark.split()) or quantity.mark
    known = dossier.marks.get((member.id, plain(code)))
    if known:
        return Spot(member, known, is_new=False)
    mark = Mark(new_id(), member.id, code, "", visit.recorded_at)
    return Spot(member, mark, is_new=True)


def member_named(
    dossier: Dossier, code: str, quantity: Quantity | None = None
) -> Member | Problem:
    """The member of that code, or the only one that can be meant."""
    if code:
        found = dossier.members.get(plain(code))
        return found or _no_such_member(dossier, code)
    fitting = [
        m
        for m in dossier.members.values()
        if quantity is None or m.kind in quantity.kinds
    ]
    candidates = fitting or list(dossier.members.values())
    if len(candidates) == 1:
        return candidates[0]
    codes = [m.code for m in candidates]
    expected = f"a member code, as {dossier.support.code} has {', '.join(codes)}"
    return Problem("member", "", expected)


def drafted(
    command: ReadingCommand,
    quantity: Quantity,
    spot: Spot,
    visit: Inspection,
    dossier: Dossier,
) -> Reading | Problem:
    """The reading as it would be stored, its repeat still as given."""
    answer = word(Answer, command.answer) if command.answer else Answer.MEASURED
    if answer is None or answer is Answer.WITHDRAWN:
        allowed = "“measured”, “not measured” or “could not reach”"
        return Problem("answer", command.answer, allowed)
    if answer is not Answer.MEASURED and command.text:
        return Problem("value", command.text, f"no value beside “{answer.value}”")
    how = _method(command, dossier)
    if isinstance(how, Problem):
        return how
    if command.sd is not None and not 0 < command.sd <= quantity.high - quantity.low:
        expected = f"a standard deviation above 0 {quantity.unit}, in its range"
        return Problem("sd", f"{command.sd:g}", expected)
    measure = None
    if answer is Answer.MEASURED:
        measure = number(command.text, command.unit, _WANTED[quantity.name])
    if isinstance(measure, str):
        return Problem("value", command.text, measure)
    method, instrument_id = how
    value = measure.value if measure else 0.0
    noise = noise_with(quantity.name, method, value, command.sd)
    return Reading(
        id=new_id(),
        inspection_id=visit.root_id,
        mark_id=spot.mark.id,
        quantity=quantity.name,
        repeat=command.repeat,
        answer=answer,
        value=measure.value if measure else None,
        relation=measure.relation if measure else "=",
        given=with_unit(measure, command.unit) if measure else "",
        method=method,
        instrument_id=instrument_id,
        sd_instrument=noise.repeatability,
        sd_placement=noise.placement,
        resolution=max(noise.resolution, measure.resolution if measure else 0.0),
        reason=command.why,
        recorded_at=visit.recorded_at,
        supersedes_id=None,
    )


def with_value(reading: Reading, measure: Measure, unit: str) -> Reading:
    """The reading with a number, its noise, and the text with its unit."""
    noise = noise_of(reading.quantity, reading.method).at(measure.value)
    return replace(
        reading,
        answer=Answer.MEASURED,
        value=measure.value,
        relation=measure.relation,
        given=with_unit(measure, unit),
        sd_instrument=noise.repeatability,
        sd_placement=noise.placement,
        resolution=max(noise.resolution, measure.resolution),
    )


def new_instrument(command: ReadingCommand, stamp: Stamp) -> Instrument:
    """An instrument that a reading names for the first time."""
    code = " ".join(command.instrument.split())
    method = _BY_METHOD.get(plain(command.method), "")
    return Instrument(new_id(), code, method, "", None, "", stamp.now)


def _misfit(
    dossier: Dossier, member: Member, quantity: Quantity, visit: Inspection
) -> Problem | None:
    name = f"{dossier.support.code} {member.code}"
    if member.kind not in quantity.kinds:
        read_on = ", ".join(kind.value for kind in quantity.kinds)
        expected = f"a quantity read on a {member.kind.value} ({name}); this is read on"
        return Problem("quantity", quantity.label, f"{expected}: {read_on}")
    on = visit.inspected_on
    if on < member.installed_on:
        since = f"a day from {spoken(member.installed_on)}, when {name} was installed"
        return Problem("date", on.isoformat(), since)
    if member.removed_on and on > member.removed_on:
        until = f"a day up to {spoken(member.removed_on)}, when {name} was removed"
        return Problem("date", on.isoformat(), until)
    return None


def _method(
    command: ReadingCommand, dossier: Dossier
) -> tuple[str, UUID | None] | Problem:
    instrument = dossier.instruments.get(plain(command.instrument))
    method = _BY_METHOD.get(plain(command.method), "")
    if command.method and not method:
        hint = near(command.method, _BY_METHOD) or f": {', '.join(METHODS)}"
        return Problem("method", command.method, f"a method of measuring{hint}")
    if instrument is None:
        return method, None
    return method or instrument.method, instrument.id


def _no_such_member(dossier: Dossier, code: str) -> Problem:
    codes = [m.code for m in dossier.members.values()]
    hint = near(code, codes) or f": {', '.join(codes)}"
    return Problem("member", code, f"a member of {dossier.support.code}{hint}")


_BY_NAME = {
    plain(name.replace("_", " ")): q
    for q in QUANTITIES.values()
    for name in (q.name, q.label)
}
_BY_METHOD = {
    plain(name): key for key, label in METHODS.items() for name in (key, label)
}
_WANTED = {q.name: Wanted(q.label, q.unit, q.low, q.high) for q in QUANTITIES.values()}
