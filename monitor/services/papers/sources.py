"""Who measured what, with which instrument, and by which method."""

from dataclasses import dataclass
from uuid import UUID

import pandas as pd

from monitor.domain.inspections import Instrument
from monitor.domain.methods import METHODS
from monitor.domain.quantities import QUANTITIES, SERIES_LABEL
from monitor.domain.vocabulary import Answer
from monitor.reports.blocks import Column, Grid
from monitor.services.papers.moment import Moment
from monitor.services.papers.wording import on, sentence
from monitor.store import Session, records
from monitor.store.frames import readings_frame


@dataclass(frozen=True, slots=True)
class _Key:
    inspector: str
    label: str
    method: str
    instrument_id: UUID | None


def who_measured(session: Session, support_id: UUID, moment: Moment) -> Grid | None:
    """A line for each inspector, quantity, method and instrument; None without any."""
    rows = readings_frame(session, [support_id], known_at=moment.known_at)
    rows = rows[rows["answer"] == Answer.MEASURED.value]
    groups: dict[_Key, list[pd.Timestamp]] = {}
    for row in rows.to_dict("records"):
        label = SERIES_LABEL[QUANTITIES[row["quantity"]].series_name]
        key = _Key(row["inspector"], label, row["method"], row["instrument_id"])
        groups.setdefault(key, []).append(row["inspected_on"])
    if not groups:
        return None
    tools = {tool.id: tool for tool in records.INSTRUMENTS.all(session)}
    lines = sorted(groups.items(), key=lambda item: (max(item[1]), item[0].label))
    return Grid(
        "Who measured, and with what",
        (Column("Quantity", 1.5), Column("Readings", 0.6, True), Column("By", 1),
         Column("Method", 1.9), Column("Instrument", 1.5), Column("From, to", 1.5)),
        tuple(
            (
                sentence(key.label).rstrip("."),
                str(len(days)),
                key.inspector,
                METHODS.get(key.method, key.method) or "not said",
                _tool(tools.get(key.instrument_id) if key.instrument_id else None),
                f"{min(days).year}, {max(days).year}",
            )
            for key, days in reversed(lines)
        ),
    )  # fmt: skip


def _tool(tool: Instrument | None) -> str:
    if tool is None:
        return "not named"
    words = f"{tool.code}{f', no. {tool.serial}' if tool.serial else ''}"
    if tool.calibrated_on is None:
        return f"{words}, no calibration on record"
    return f"{words}, calibrated {on(tool.calibrated_on)}"
