"""The margins of a fleet, from the same records that its outlooks come from."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from uuid import UUID

import numpy as np

from monitor.domain.conclusions import Outlook
from monitor.domain.standing import MarginWord
from monitor.services.assessing.fleet import Fleet
from monitor.services.assessing.series import OneSeries, SeriesTable
from monitor.services.margins.case import Known, Run
from monitor.services.margins.margins import (
    AHEAD_YEARS,
    case_of,
    margins_of,
    word_of,
)
from monitor.services.margins.member_margin import MemberMargin

DOUBTED_BELOW, LEAST_NOISE = 0.5, 1e-3
READ = frozenset(
    {"tilt", "wall", "limb_diameter", "jack_extension", "strand_diameter",
     "rod_diameter"}
)  # fmt: skip
"""The series that a margin reads."""


def margin_words(
    fleet: Fleet,
    table: SeriesTable,
    outlooks: Iterable[Outlook],
    days: dict[UUID, date],
) -> dict[UUID, tuple[MarginWord, ...]]:
    """What the margins of a fleet say to standing and schedule, by support."""
    words: dict[UUID, tuple[MarginWord, ...]] = defaultdict(tuple)
    for margin in fleet_margins(fleet, table, outlooks, days):
        word = word_of(margin)
        if word is not None:
            words[margin.case.known.member.support_id] += (word,)
    return words


def fleet_margins(
    fleet: Fleet,
    table: SeriesTable,
    outlooks: Iterable[Outlook],
    days: dict[UUID, date],
) -> list[MemberMargin]:
    """The margin of every standing member of a fleet."""
    known = known_members(fleet, table, outlooks, days)
    return margins_of([case_of(one) for one in known], AHEAD_YEARS)


def known_members(
    fleet: Fleet,
    table: SeriesTable,
    outlooks: Iterable[Outlook],
    days: dict[UUID, date],
) -> list[Known]:
    """What the record says of every standing member.

    Parameters
    ----------
    days : today at the site of each support
    """
    columns = _columns(table)
    said = {(outlook.mark_id, outlook.series): outlook for outlook in outlooks}
    runs: dict[UUID, dict[str, list[Run]]] = defaultdict(lambda: defaultdict(list))
    heard: dict[UUID, dict[str, list[Outlook]]] = defaultdict(lambda: defaultdict(list))
    for one in table.series:
        outlook = said.get((one.mark_id, one.name))
        if outlook is not None:
            heard[one.member.id][one.name].append(outlook)
        if one.name in READ:
            mark = fleet.marks[one.mark_id].code
            runs[one.member.id][one.name].append(_run(columns, one, mark, outlook))
    return [
        Known(
            member=member,
            site=fleet.sites[key],
            tree=fleet.trees[key],
            facts=fleet.facts.get(member.id, {}),
            runs={name: tuple(each) for name, each in runs[member.id].items()},
            outlooks={name: tuple(each) for name, each in heard[member.id].items()},
            today=days[key],
        )
        for key, support in fleet.supports.items()
        if support.removed_on is None
        for member in fleet.standing_members(key)
    ]


@dataclass(frozen=True, slots=True)
class _Columns:
    """The readings of a table, column by column."""

    keys: list[str]
    relations: list[str]
    on: list[date]
    values: list[float]
    values_y: list[float]
    noise: list[float]


def _columns(table: SeriesTable) -> _Columns:
    frame = table.readings
    noise = np.sqrt(
        frame["sd_instrument"] ** 2
        + frame["sd_placement"] ** 2
        + frame["resolution"] ** 2 / 12.0
    )
    return _Columns(
        [str(key) for key in frame["reading_id"]],
        frame["relation"].tolist(),
        frame["inspected_on"].tolist(),
        frame["value"].tolist(),
        frame["value_y"].tolist(),
        np.maximum(noise, LEAST_NOISE).tolist(),
    )


def _run(columns: _Columns, one: OneSeries, mark: str, outlook: Outlook | None) -> Run:
    """The readings of one series that are not doubted."""
    weights = outlook.details.get("weights") if outlook is not None else None
    shares = weights if isinstance(weights, dict) else {}
    kept = [
        n
        for n in range(one.rows.start, one.rows.stop)
        if shares.get(columns.keys[n], 1.0) >= DOUBTED_BELOW
        and columns.relations[n] == "="
    ]
    return Run(
        mark=mark,
        starts_on=one.starts_on,
        on=tuple(columns.on[n] for n in kept),
        values=tuple(columns.values[n] for n in kept),
        values_y=tuple(columns.values_y[n] for n in kept),
        noise=tuple(columns.noise[n] for n in kept),
    )
