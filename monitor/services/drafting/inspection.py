"""An inspection as asked for, checked whole against one support. Nothing is written."""

import math
from dataclasses import replace
from datetime import date

from monitor.clock import new_id
from monitor.domain.inspections import (
    Inspection,
    Reading,
    Segment,
    starts_new_segment,
)
from monitor.domain.quantities import QUANTITIES
from monitor.domain.supports import Mark
from monitor.services.drafting.draft import Draft
from monitor.services.drafting.finding import add_finding
from monitor.services.drafting.reading import (
    Spot,
    drafted,
    new_instrument,
    quantity_named,
    spot_for,
)
from monitor.services.drafting.visit import visit_of
from monitor.services.recording import doubts
from monitor.services.recording.checks import (
    Doubt,
    Problem,
    Stamp,
    plain,
)
from monitor.services.recording.commands import InspectionCommand, ReadingCommand
from monitor.services.recording.dossier import Dossier, reading_key


def draft_inspection(
    dossier: Dossier,
    command: InspectionCommand,
    stamp: Stamp,
    *,
    into: Inspection | None = None,
) -> Draft:
    """Check an inspection against the support.

    Parameters
    ----------
    into : the inspection in the record that it adds to, None if it is a new one
    """
    visit, problems = visit_of(dossier, command, stamp, into)
    draft = Draft(visit, is_new=into is None, problems=problems)
    if problems:
        return draft
    for part, reading in enumerate(command.readings):
        _add_reading(draft, dossier, reading, part, stamp)
    for part, finding in enumerate(command.findings, len(command.readings)):
        add_finding(draft, dossier, finding, part)
    tilts = [
        (part, spot, reading)
        for part, (spot, reading) in draft.readings.items()
        if reading.quantity in ("tilt_x", "tilt_y")
    ]
    draft.doubts += doubts.of_axes(dossier, tilts, visit.inspected_on)
    return draft


def enter(dossier: Dossier, draft: Draft) -> tuple[list[Mark], list[Segment]]:
    """Take a draft into the dossier; returns new marks and segments to write with it.

    A series read for the first time before a work that is in the record already gets
    the new segment which that work usually starts.
    """
    if draft.is_new:
        dossier.add_inspection(draft.inspection)
    marks, segments = [], []
    for spot, reading in draft.readings.values():
        key = spot.member.id, plain(spot.mark.code)
        if key not in dossier.marks:
            dossier.marks[key] = spot.mark
            marks.append(spot.mark)
        for segment in _segments_after(dossier, spot, reading, draft.inspection):
            dossier.add_segment(segment)
            segments.append(segment)
        dossier.add_reading(reading)
    for finding in draft.findings.values():
        dossier.add_finding(finding)
    return marks, segments


def _add_reading(
    draft: Draft, dossier: Dossier, command: ReadingCommand, part: int, stamp: Stamp
) -> None:
    visit = draft.inspection
    quantity = quantity_named(command.quantity)
    if isinstance(quantity, Problem):
        draft.problems.append(replace(quantity, part=part))
        return
    spot = spot_for(dossier, command, quantity, visit)
    if isinstance(spot, Problem):
        draft.problems.append(replace(spot, part=part))
        return
    spot = _same_new_mark(draft, spot)
    if command.instrument and plain(command.instrument) not in dossier.instruments:
        instrument = new_instrument(command, stamp)
        dossier.instruments[plain(command.instrument)] = instrument
        draft.instruments.append(instrument)
    reading = drafted(command, quantity, spot, visit, dossier)
    if isinstance(reading, Problem):
        draft.problems.append(replace(reading, part=part))
        return
    if not command.repeat:
        reading = replace(reading, repeat=_next_repeat(draft, reading))
    _settle(draft, dossier, spot, reading, part)
    if part in draft.readings:
        _doubt(draft, dossier, command, part)


def _same_new_mark(draft: Draft, spot: Spot) -> Spot:
    """Readings of one inspection share the new mark that the first of them made."""
    for other, _ in draft.readings.values():
        same_place = other.member.id == spot.member.id
        if same_place and plain(other.mark.code) == plain(spot.mark.code):
            return other
    return spot


def _next_repeat(draft: Draft, reading: Reading) -> int:
    return 1 + max(draft.seen.get((reading.mark_id, reading.quantity), ()), default=0)


def _settle(
    draft: Draft, dossier: Dossier, spot: Spot, reading: Reading, part: int
) -> None:
    """Put a sound reading where it belongs: new, known or contradicting."""
    seen = draft.seen.setdefault((reading.mark_id, reading.quantity), {})
    versions = dossier.readings.get(reading_key(reading), [])
    found = reading.given or reading.answer.value
    if reading.repeat in seen:
        expected = f"a repeat number that is not taken, such as {max(seen) + 1}"
        draft.problems.append(Problem("repeat", str(reading.repeat), expected, part))
    elif any(says_same(version, reading) for version in versions):
        draft.known.add(part)
    elif versions:
        expected = (
            f"“{versions[-1].given or versions[-1].answer.value}” as recorded; to "
            "change it, amend the reading with a reason"
        )
        draft.problems.append(Problem("value", found, expected, part))
    else:
        draft.readings[part] = (spot, reading)
    seen.setdefault(reading.repeat, found)


def says_same(one: Reading, other: Reading) -> bool:
    """Whether two readings of the same key say the same."""
    if one.answer is not other.answer or one.relation != other.relation:
        return False
    if one.value is None or other.value is None:
        return one.value is other.value
    return math.isclose(one.value, other.value, rel_tol=1e-9, abs_tol=1e-9)


def _doubt(draft: Draft, dossier: Dossier, command: ReadingCommand, part: int) -> None:
    """Ask about a new reading what is worth asking."""
    spot, reading = draft.readings[part]
    asked = [
        doubts.of_unit(dossier, spot, reading, draft.inspection.inspected_on),
        doubts.of_mark(dossier, spot),
    ]
    if not command.repeat:
        asked.append(doubts.of_repeat(dossier, spot, reading, draft.seen))
    key = doubts.doubt_key(spot, reading)
    draft.doubts += [
        Doubt(key, name, reading.given, question, part)
        for name, question in filter(None, asked)
    ]


def _segments_after(
    dossier: Dossier, spot: Spot, reading: Reading, visit: Inspection
) -> list[Segment]:
    """Segments that works of later days start in a series read here for the first time.

    A series that had readings before the work was weighed when the work was recorded.
    """
    series = QUANTITIES[reading.quantity].series_name
    later = [
        work
        for work in dossier.standing_works()
        if visit.inspected_on < work.done_on
        and work.member_id in (None, spot.member.id)
        and starts_new_segment(work.kind, series)
    ]
    if not later:
        return []
    first_on = dossier.read_days(spot.mark.id).get(series, (date.max,))[0]
    return [
        Segment(
            id=new_id(),
            mark_id=spot.mark.id,
            series=series,
            starts_on=work.done_on,
            work_id=work.root_id,
            recorded_at=visit.recorded_at,
        )
        for work in later
        if first_on >= work.done_on
    ]
