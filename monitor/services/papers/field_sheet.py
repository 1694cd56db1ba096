"""A sheet to take along: what is wanted, what was read last, room for today."""

from datetime import date

from monitor.reports.blocks import (
    Block,
    Chapter,
    Column,
    Grid,
    Heading,
    Pairs,
    Signatures,
    Voice,
    Words,
)
from monitor.services.papers.support_pages import Desk, place_words
from monitor.services.papers.wording import CAUTION, on, sentence
from monitor.services.showing.record import WantedReading, to_record
from monitor.services.showing.support import SupportView
from monitor.units import show

__all__ = ["field_sheet"]

_BLANKS = 5
_READ = (
    Column("Where", 1.1), Column("Quantity", 1.5), Column("Last time", 1.3, True),
    Column("Expected", 1.3, True), Column("Today, with unit", 1.7, is_blank=True),
    Column("If not, why", 1.5, is_blank=True),
)  # fmt: skip
_FOUND = (
    Column("Part", 1, is_blank=True), Column("What is seen", 3.5, is_blank=True),
    Column("How grave", 1, is_blank=True), Column("Photo", 0.8, is_blank=True),
)  # fmt: skip


def field_sheet(desk: Desk, view: SupportView) -> list[Block]:
    """The sheet of one support, as of now."""
    wanted = to_record(desk.session, view.support.code, desk.moment.at).wanted
    usual = tuple(_row(one) for one in wanted if one.is_usual)
    where = f"{view.support.code}, {view.place.site.name}"
    blocks: list[Block] = [
        Chapter((where, on(view.place.today)), place_words(view), view.support.code),
        Pairs(_about(view)),
        Heading("Readings"),
    ]
    if usual:
        blocks.append(Grid("Expected: nine times in ten", _READ, usual))
    else:
        blocks.append(Words("Nothing is usually read here.", Voice.QUIET))
    return [
        *blocks,
        *_open(view),
        Heading("Findings today"),
        Grid("One a line", _FOUND, (("", "", "", ""),) * _BLANKS),
        Words(CAUTION, Voice.CAUTION),
        Signatures(("Looked at by, day and hour", "Air temperature, leaf on or off")),
    ]


def _about(view: SupportView) -> tuple[tuple[str, str], ...]:
    support, site = view.support, view.place.site
    last = view.visits[0] if view.visits else None
    items = (
        ("Owed", view.due.sentence if view.due else "nothing by the rules"),
        ("Why it is there", support.reason),
        ("Beneath it", support.target),
        ("Access", site.access_note),
        ("Last looked at", f"{on(last.inspected_on)} by {last.inspector}" if last else
         "never"),
        ("Note", support.note),
    )  # fmt: skip
    return tuple((name, sentence(value)) for name, value in items if value.strip())


def _row(one: WantedReading) -> tuple[str, ...]:
    unit = one.quantity.unit
    last = f"{show(one.last.value, unit)}, {_short(one.last.on)}" if one.last else ""
    low, high = one.expected or (None, None)
    expected = ""
    if low is not None and high is not None:
        expected = f"{show(low, unit)} to {show(high, unit)}"
    return f"{one.member}, {one.mark}", one.quantity.label, last, expected, "", ""


def _short(day: date) -> str:
    return f"{day:%m/%Y}"


def _open(view: SupportView) -> list[Block]:
    rows = tuple(
        (on(one.seen_on), one.grade.value,
         ", ".join(part for part in (one.member, one.label, one.note) if part), "")
        for one in view.findings
        if one.is_open
    )  # fmt: skip
    if not rows:
        return []
    columns = (Column("Seen", 1.3), Column("Grade", 0.8), Column("What", 3),
               Column("Today", 1.2, is_blank=True))  # fmt: skip
    return [Heading("Open findings"), Grid("Still so?", columns, rows)]
