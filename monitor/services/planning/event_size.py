"""How strong an event was, as people type it, and as a station's file says it."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from monitor.domain.vocabulary import EventKind
from monitor.errors import InvalidInput, UnclearNumber
from monitor.exchange.dates import civil_date
from monitor.exchange.sheet import Row, Sheet
from monitor.schedule.calendar import counted
from monitor.schedule.event_rules import EVENT_RULES
from monitor.schedule.gusts import gust_in_words, gust_m_s, read_gusts, unit_of
from monitor.units import parse, show

_GUST = re.compile(r"\s*(\d+(?:[.,]\d+)?)\s*(\D.*?)\s*")
_HEADING = re.compile(r"(.*?)\s*[\[(]([^\])]+)[\])]\s*")
_LARGEST_MM = {EventKind.ICE: 300.0, EventKind.SNOW: 5000.0, EventKind.FLOOD: 2000.0}
_ROMAN = ("i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x", "xi", "xii")


@dataclass(frozen=True, slots=True)
class StationFile:
    """What a file of gusts says.

    Attributes
    ----------
    strongest_m_s, on : the strongest gust and its day [m/s]
    heading, unit : the column it came from
    values, gaps : rows with and without a number
    doubt : a sentence if the unit looks wrong, else empty
    """

    strongest_m_s: float
    on: date | None
    heading: str
    unit: str
    values: int
    gaps: int
    doubt: str

    def in_words(self) -> str:
        """What was read, in one sentence."""
        gusts = counted(self.values, "gust")
        gaps = f", {counted(self.gaps, 'gap')}" if self.gaps else ""
        return (
            f"Column “{self.heading}” in {self.unit}: {gusts}{gaps}, the strongest "
            f"{gust_in_words(self.strongest_m_s)}."
        )


def size_of(kind: EventKind, text: str) -> float | None:
    """The size in the unit of its kind; None if nothing was said.

    Raises
    ------
    InvalidInput : it is no size of such an event
    """
    rule = EVENT_RULES[kind]
    if not text.strip():
        return None
    if not rule.size:
        raise InvalidInput(
            f"A size says nothing of this kind ({kind}); leave it empty.",
            field="size",
            code="evt-001",
        )
    match kind:
        case EventKind.STORM:
            return _gust(text)
        case EventKind.EARTHQUAKE:
            return _intensity(text)
        case _:
            return _depth_mm(kind, rule.size, text)


def size_in_words(kind: EventKind, size: float | None) -> str:
    """Such as "gusts of 95 km/h (26 m/s)" or "ice 12 mm"; empty if not known."""
    rule = EVENT_RULES[kind]
    if size is None or not rule.size:
        return ""
    if kind is EventKind.STORM:
        return f"gusts of {gust_in_words(size)}"
    if kind is EventKind.EARTHQUAKE:
        return f"intensity {size:g}, Modified Mercalli"
    return f"{rule.size} {show(size, rule.unit, digits=0)}"


def station_file(sheet: Sheet, *, column: str = "", unit: str = "") -> StationFile:
    """The strongest gust of a station's observations, one row each.

    Parameters
    ----------
    column : heading of the gusts; empty takes the only one that speaks of gusts
    unit : of the column; empty takes the one in brackets in its heading

    Raises
    ------
    InvalidInput : no such column, no unit, a cell that is no number, none at all
    """
    headings, *rows = sheet.rows
    at = _column(headings.cells, column)
    heading = headings.cells[at]
    named = _HEADING.fullmatch(heading)
    wanted = unit_of(unit or (named[2] if named else ""))
    gusts = read_gusts(_numbered(rows, at), wanted)
    if gusts.strongest_m_s is None:
        raise InvalidInput(
            f"{sheet.file_name}: column “{heading}” holds no number.",
            field="gusts",
            code="evt-004",
        )
    on = _day_of_strongest(headings.cells, rows, (at, wanted, gusts.strongest_m_s))
    return StationFile(
        gusts.strongest_m_s,
        on,
        heading,
        wanted,
        gusts.values,
        len(rows) - gusts.values,
        gusts.doubt,
    )


def _gust(text: str) -> float:
    found = _GUST.fullmatch(text)
    if found is None:
        raise InvalidInput(
            f"Found “{text}”, expected a gust with its unit, such as 95 km/h, 26 m/s, "
            "59 mph or 51 kn.",
            field="size",
            code="evt-002",
        )
    return gust_m_s(float(found[1].replace(",", ".")), found[2])


def _intensity(text: str) -> float:
    plain = text.strip().casefold().removesuffix("mmi").strip()
    if plain in _ROMAN:
        return float(_ROMAN.index(plain) + 1)
    try:
        value = float(plain.replace(",", "."))
    except ValueError:
        value = 0.0
    if not 1 <= value <= 12:
        raise InvalidInput(
            f"Found “{text}”, expected the intensity felt there, I to XII on the "
            "Modified Mercalli scale; a magnitude is not meant.",
            field="size",
            code="evt-002",
        )
    return value


def _depth_mm(kind: EventKind, what: str, text: str) -> float:
    try:
        return parse(text, "mm", low=0.0, high=_LARGEST_MM[kind], field="size").value
    except UnclearNumber as no:
        raise InvalidInput(
            f"{what.capitalize()} in mm: {no.message}", field="size", code="evt-002"
        ) from None


def _column(headings: Sequence[str], wanted: str) -> int:
    if wanted:
        plain = [heading.casefold() for heading in headings]
        if wanted.casefold() in plain:
            return plain.index(wanted.casefold())
        raise _no_column(f"no column is called “{wanted}”", headings)
    found = [n for n, heading in enumerate(headings) if "gust" in heading.casefold()]
    if len(found) != 1:
        why = "several columns speak" if found else "no column speaks"
        raise _no_column(f"{why} of gusts", headings)
    return found[0]


def _no_column(why: str, headings: Sequence[str]) -> InvalidInput:
    listed = ", ".join(f"“{heading}”" for heading in headings if heading)
    return InvalidInput(
        f"Which column holds the gusts is not clear: {why}; there are {listed}.",
        field="gusts",
        code="evt-003",
    )


def _numbered(rows: Sequence[Row], at: int) -> list[str]:
    """The cells by their row numbers, so that a refusal names the row."""
    cells = [""] * max((row.number for row in rows), default=0)
    for row in rows:
        cells[row.number - 1] = _cell(row, at)
    return cells


def _cell(row: Row, at: int) -> str:
    return row.cells[at] if at < len(row.cells) else ""


def _day_of_strongest(
    headings: Sequence[str], rows: Sequence[Row], found: tuple[int, str, float]
) -> date | None:
    """The day in the first column that speaks of a date or time, if it can be read."""
    at, unit, strongest = found
    days = [
        n
        for n, heading in enumerate(headings)
        if any(word in heading.casefold() for word in ("date", "time", "day"))
    ]
    for row in rows if days else ():
        cells = read_gusts([_cell(row, at)], unit)
        if cells.strongest_m_s == strongest:
            on = civil_date(_cell(row, days[0]).removesuffix("Z"))
            return on if isinstance(on, date) else None
    return None
