"""The certificate of one inspection: what was looked at, read, found and missed."""

from collections.abc import Mapping
from datetime import UTC, date, datetime
from uuid import UUID

from monitor.domain.inspections import Inspection, Instrument, Reading
from monitor.domain.methods import METHODS
from monitor.domain.quantities import QUANTITIES
from monitor.domain.supports import Mark
from monitor.domain.vocabulary import Answer
from monitor.errors import NotFound
from monitor.reports.blocks import (
    Block,
    Chapter,
    Column,
    Grid,
    Heading,
    Pairs,
    Signatures,
    Stands,
    Voice,
    Words,
)
from monitor.services.papers.fingerprint import seal
from monitor.services.papers.support_pages import Desk, place_words
from monitor.services.papers.then import HOW_KNOWN
from monitor.services.papers.wording import (
    CAUTION,
    counted,
    digits_of,
    listed,
    on,
    plus_minus,
    sentence,
)
from monitor.services.showing.support import SupportView
from monitor.store import records
from monitor.units import show


def certificate_pages(
    desk: Desk, view: SupportView, looked_on: date | None
) -> list[Block]:
    """The pages of one inspection.

    Parameters
    ----------
    looked_on : its day; the newest if None

    Raises
    ------
    NotFound : nobody looked on that day
    """
    visit = _visit(view, looked_on)
    readings = _readings(desk, visit)
    code, today = view.support.code, view.place.today
    blocks: list[Block] = [
        Chapter(
            (f"{code}, {view.place.site.name}", on(visit.inspected_on)),
            f"Inspection certificate, {place_words(view)}",
            f"{code} was inspected on {on(visit.inspected_on)}.",
        ),
        Words(_answer(visit, readings), Voice.LEAD),
        Pairs(_about(view, visit)),
    ]
    if desk.moment.is_past:
        blocks.append(Words(f"As known on {on(today)}. {HOW_KNOWN}", Voice.CAUTION))
    blocks += [*_read(desk, view, readings), *_found(view, visit)]
    if view.standing is not None:
        said = Words(f"How it stood on {on(today)}, with all looks until then:")
        reasons = view.standing.reasons or ("Nothing speaks against.",)
        blocks += [Heading("How it stands"), said]
        blocks.append(Stands(view.standing.standing.value, reasons))
    if view.due is not None:
        blocks.append(Pairs((("Next look", view.due.sentence),)))
    return [
        *blocks,
        Words(CAUTION, Voice.CAUTION),
        seal(desk.session, desk.mark, view, desk.moment),
        Signatures((f"Inspected by {visit.inspector}", "For the firm, place and day")),
    ]


def _visit(view: SupportView, looked_on: date | None) -> Inspection:
    for visit in view.visits:
        if looked_on is None or visit.inspected_on == looked_on:
            return visit
    days = [visit.inspected_on.isoformat() for visit in view.visits[:3]]
    hint = f"The newest are of {listed(days)}." if days else "There is none at all."
    when = looked_on.isoformat() if looked_on else "any day"
    raise NotFound(f"inspection of {view.support.code} on", when, hint=hint)


def _readings(desk: Desk, visit: Inspection) -> list[Reading]:
    table = records.READINGS.table.c
    found = records.READINGS.current(
        desk.session,
        table.inspection_id == visit.root_id,
        known_at=desk.moment.known_at,
    )
    return [one for one in found if one.answer is not Answer.WITHDRAWN]


def _answer(visit: Inspection, readings: list[Reading]) -> str:
    measured = sum(one.answer is Answer.MEASURED for one in readings)
    missed = len(readings) - measured
    said = f"{visit.inspector} took {counted(measured, 'reading')}"
    if missed:
        said += f"; {missed} wanted could not be taken, with the reason beside each"
    return f"{said}."


def _about(view: SupportView, visit: Inspection) -> tuple[tuple[str, str], ...]:
    air = "not noted" if visit.air_c is None else show(visit.air_c, "degC")
    device = _instant(visit.device_at) if visit.device_at else "none"
    received = _instant(visit.recorded_at)
    corrected = f"yes: {visit.reason}" if visit.supersedes_id else ""
    items = (
        ("Kind of look", visit.kind.value),
        ("Inspected by", visit.inspector),
        ("Owner", view.place.owner),
        ("Air, crown", f"{air}, {visit.leaf.value if visit.leaf else 'not noted'}"),
        ("By the device", f"{device}"),
        ("Received", f"{received} by {visit.recorded_by}, from {visit.source}"),
        ("Corrected since", corrected),
        ("Note", visit.note),
    )
    return tuple((name, sentence(value)) for name, value in items if value.strip())


def _instant(at: datetime) -> str:
    utc = at.astimezone(UTC)
    return f"{on(utc.date())}, {utc:%H:%M} UTC"


def _read(desk: Desk, view: SupportView, readings: list[Reading]) -> list[Block]:
    if not readings:
        return [Heading("Readings"), Words("None was taken.")]
    marks = {mark.id: (part.member.code, mark) for part in view.members
             for mark in part.marks}  # fmt: skip
    tools = {tool.id: tool for tool in records.INSTRUMENTS.all(desk.session)}
    rows = [_row(one, marks[one.mark_id], tools) for one in readings]
    columns = (Column("Where", 1.3), Column("Quantity", 1.5),
               Column("Value", 0.9, True), Column("Noise, 2 sd", 0.9, True),
               Column("As typed", 1), Column("By method, instrument", 2))  # fmt: skip
    note = "Noise is two standard deviations of one careful reading, as declared."
    return [
        Heading("Readings"),
        Grid(counted(len(rows), "wanted reading"), columns, tuple(sorted(rows))),
        Words(note, Voice.QUIET),
    ]


def _row(
    one: Reading, where: tuple[str, Mark], tools: Mapping[UUID, Instrument]
) -> tuple[str, ...]:
    quantity, (member, mark) = QUANTITIES[one.quantity], where
    place = f"{member}, {mark.code}"
    if one.value is None:
        why = f"{one.answer.value}{': ' + one.reason if one.reason else ''}"
        return place, quantity.label, "none", "", one.given, why
    sd = (one.sd_instrument**2 + one.sd_placement**2 + one.resolution**2 / 12) ** 0.5
    tool = tools.get(one.instrument_id) if one.instrument_id else None
    digits = digits_of(sd, quantity.unit)
    method = METHODS.get(one.method, one.method) or "not said"
    relation = "" if one.relation == "=" else f"{one.relation}\u2009"
    return (
        place,
        quantity.label,
        relation + show(one.value, quantity.unit, digits=digits),
        plus_minus(sd, quantity.unit, digits=digits),
        one.given,
        f"{method}, {tool.code}" if tool else method,
    )


def _found(view: SupportView, visit: Inspection) -> list[Block]:
    rows = tuple(
        (one.grade.value, ", ".join(t for t in (one.member, one.label, one.note) if t),
         on(one.closed_on) if one.closed_on else "open")
        for one in view.findings
        if one.seen_on == visit.inspected_on
    )  # fmt: skip
    if not rows:
        return [Heading("Findings"), Words("Nothing was found.")]
    columns = (Column("Grade", 0.8), Column("What", 3.8), Column("Ended", 1.2))
    return [Heading("Findings"), Grid(counted(len(rows), "finding"), columns, rows)]
