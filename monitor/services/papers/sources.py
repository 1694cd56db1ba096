"""Who measured what, with which instrument, and by which method."""

from dataclasses import dataclass
from typing import Any
from uuid import UUID

import pandas as pd

from monitor.domain.inspections import Instrument
from monitor.domain.methods import METHODS
from monitor.domain.quantities import QUANTITIES, SERIES_LABEL
from monitor.domain.vocabulary import Answer
from monitor.reports.blocks import Column, Grid
from monitor.services.papers.wording import on, sentence
from monitor.store import Session, records

NAMED = 6
"""Inspectors named on a line, those who came last first."""


@dataclass(frozen=True, slots=True)
class _Way:
    label: str
    method: str
    instrument_id: UUID | None


def who_measured(session: Session, rows: pd.DataFrame) -> Grid | None:
    """A line for each quantity, method and instrument; None without any reading."""
    measured = rows[rows["answer"] == Answer.MEASURED.value]
    groups: dict[_Way, list[dict[str, Any]]] = {}
    names = ["quantity", "method", "instrument_id", "inspected_on", "inspector"]
    for row in measured[names].to_dict("records"):
        label = SERIES_LABEL[QUANTITIES[row["quantity"]].series_name]
        way = _Way(label, row["method"], row["instrument_id"])
        groups.setdefault(way, []).append({str(k): v for k, v in row.items()})
    if not groups:
        return None
    tools = {tool.id: tool for tool in records.INSTRUMENTS.all(session)}
    lines = [_line(way, found, tools) for way, found in groups.items()]
    columns = (Column("Quantity", 1.3), Column("Readings", 0.8, True),
               Column("Method", 1.7), Column("Instrument", 1.3), Column("By", 1.9),
               Column("Years", 1))  # fmt: skip
    return Grid("Who measured, and with what", columns, tuple(sorted(lines)))


def _line(
    way: _Way, found: list[dict[str, Any]], tools: dict[UUID, Instrument]
) -> tuple[str, ...]:
    days = [row["inspected_on"] for row in found]
    newest_first = sorted(found, key=lambda row: row["inspected_on"], reverse=True)
    people = list(dict.fromkeys(row["inspector"] for row in newest_first))
    more = f" and {len(people) - NAMED} more" if len(people) > NAMED else ""
    first, last = min(days).year, max(days).year
    return (
        sentence(way.label).rstrip("."),
        str(len(days)),
        METHODS.get(way.method, way.method) or "not said",
        _tool(tools.get(way.instrument_id) if way.instrument_id else None),
        ", ".join(people[:NAMED]) + more,
        str(first) if first == last else f"{first} to {last}",
    )


def _tool(tool: Instrument | None) -> str:
    if tool is None:
        return "not named"
    words = f"{tool.code}{f', no. {tool.serial}' if tool.serial else ''}"
    if tool.calibrated_on is None:
        return f"{words}, no calibration on record"
    return f"{words}, calibrated {on(tool.calibrated_on)}"
