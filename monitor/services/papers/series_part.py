"""One series in a paper: what it says, the drawing, the readings."""

from datetime import date
from typing import Any

import pandas as pd

from monitor.reports.blocks import (
    Block,
    Column,
    Drawing,
    Grid,
    Heading,
    Points,
    Voice,
    Words,
)
from monitor.reports.chart import Chart, Dot, Limit, chart, span_of
from monitor.services.papers.wording import (
    digits_of,
    limit_words,
    on,
    plus_minus,
    sentence,
)
from monitor.services.showing.cross_check import cross_check_words
from monitor.services.showing.series import SeriesView, stored_fan
from monitor.services.showing.support import SupportView
from monitor.units import show, unit_sign

NEWEST = 8
"""Readings of a series that stand in a condition report; a dossier has all."""

_COLUMNS = (
    Column("Day", 1.4),
    Column("Value", 0.9, True),
    Column("Noise, 2 sd", 0.9, True),
    Column("As typed", 1.5),
    Column("By", 1.1),
    Column("Remark", 1.4),
)


def series_blocks(
    view: SupportView, series: SeriesView, *, at_most: int | None
) -> list[Block]:
    """Heading, sentences, drawing and table of one series.

    Parameters
    ----------
    at_most : readings in the table, the newest; None for all
    """
    blocks: list[Block] = [Heading(sentence(series.label)[:-1], 3, series.place)]
    blocks += _said(series, view.place.today)
    if len(series.points):
        blocks.append(_drawing(view, series))
    return [*blocks, _table(series, at_most)]


def _said(series: SeriesView, today: date) -> list[Block]:
    outlook = series.outlook
    if outlook is None:
        return [Words("No forecast: it was removed, or is not assessed.", Voice.QUIET)]
    blocks: list[Block] = [Words(outlook.sentence or sentence(outlook.refusal))]
    limits = limit_words(series, today)
    if limits:
        blocks.append(Points(limits))
    plain = cross_check_words(outlook)
    return [*blocks, Words(plain, Voice.QUIET)] if plain else blocks


def _drawing(view: SupportView, series: SeriesView) -> Drawing:
    points = series.points
    newest = points["stretch"].max()
    dots = tuple(
        Dot(
            row["on"],
            row["value"],
            2 * row["sd"],
            bool(row["doubted"]),
            row["stretch"] < newest,
        )
        for row in points.to_dict("records")
    )
    drawn = Chart(
        unit_sign(series.unit),
        _span(view),
        view.place.today,
        dots,
        _limits(series),
        tuple(stored_fan(series.outlook, "fan")),
        tuple(series.misses["on"]),
        _breaks(view, series),
    )
    alt = (
        f"{sentence(series.label)} {len(dots)} readings at {series.place} with their "
        "noise, the limits and the forecast over time; the numbers follow in the table."
    )
    return Drawing(chart(drawn), alt)


def _span(view: SupportView) -> tuple[date, date]:
    firsts = [s.points["on"].iloc[0] for s in view.series if len(s.points)]
    start = min([view.support.installed_on, *firsts])
    return span_of(start, view.place.today, view.support.removed_on)


def _limits(series: SeriesView) -> tuple[Limit, ...]:
    outlook = series.outlook
    if outlook is None:
        return ()
    stored = outlook.details.get("segment_from")
    first = series.points["on"].iloc[0]
    from_on = date.fromisoformat(stored) if isinstance(stored, str) else first
    levels = (
        ("watch", outlook.watch_level),
        ("act", outlook.act_level),
        ("watch", outlook.details.get("watch_low")),
        ("act", outlook.details.get("act_low")),
    )
    return tuple(
        Limit(
            f"{name} {show(level, series.unit)}", float(level), from_on, name == "act"
        )
        for name, level in levels
        if isinstance(level, int | float)
    )


def _breaks(view: SupportView, series: SeriesView) -> tuple[tuple[date, str], ...]:
    numbers = {flag.on: str(flag.number) for flag in view.flags if flag.what == "work"}
    return tuple((day, numbers.get(day, "anew")) for day in series.starts_on)


def _table(series: SeriesView, at_most: int | None) -> Block:
    rows = [_reading(series, row) for row in _records(series.points)]
    rows += [_miss(row) for row in _records(series.misses)]
    rows.sort(key=lambda row: row[0], reverse=True)
    shown = rows if at_most is None else rows[:at_most]
    label = f"The newest {len(shown)} of {len(rows)} looks"
    if len(shown) == len(rows):
        label = f"All {len(rows)} looks" if len(rows) > 1 else "The only look"
    return Grid(label, _COLUMNS, tuple((on(day), *cells) for day, cells in shown))


def _records(frame: pd.DataFrame) -> list[dict[str, Any]]:  # whatever a frame holds
    return [{str(k): v for k, v in row.items()} for row in frame.to_dict("records")]


def _reading(series: SeriesView, row: dict[str, Any]) -> tuple[date, tuple[str, ...]]:
    relation = "" if row["relation"] == "=" else f"{row['relation']}\u2009"
    digits = digits_of(row["sd"], series.unit)
    return row["on"], (
        relation + show(row["value"], series.unit, digits=digits),
        plus_minus(row["sd"], series.unit, digits=digits),
        row["given"],
        row["inspector"],
        "doubted: does not fit its neighbours" if row["doubted"] else "",
    )


def _miss(row: dict[str, Any]) -> tuple[date, tuple[str, ...]]:
    why = f": {row['reason']}" if row["reason"] else ""
    return row["on"], ("none", "", "", "", f"{row['answer']}{why}")
