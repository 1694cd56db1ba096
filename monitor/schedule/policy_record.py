"""A policy as plain data, for the record, for editing and for files."""

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from monitor.domain.vocabulary import (
    Consequence,
    Grade,
    MemberKind,
    Occupancy,
    WorkKind,
)
from monitor.errors import InvalidInput
from monitor.schedule.costs import costs_from_plain, costs_to_plain
from monitor.schedule.policy import Cell, FindingRule, Key, Policy, WindowRule

# Plain data is what JSON or a form holds: any mix of dicts, lists, words and numbers.
Plain = dict[str, Any]

_NUMBERS = (
    "version",
    "first_gaps",
    "first_gap_months",
    "after_work_reading_days",
    "unconfirmed_months",
    "life_ahead_months",
    "life_again_months",
    "baseline_days",
)
_LATER_NUMBERS = {"coating_life_years": 0}
"""Numbers that older versions do not have, and what they meant without."""


def to_plain(policy: Policy) -> Plain:
    """The policy as dicts, lists, words and numbers."""
    return {
        "name": policy.name,
        "routine": _rows(policy.routine),
        "detailed": _rows(policy.detailed),
        "window": asdict(policy.window),
        "findings": {g.value: asdict(rule) for g, rule in policy.findings.items()},
        "after_work_months": {
            work.value: list(months)
            for work, months in policy.after_work_months.items()
        },
        "follow_up_months": list(policy.follow_up_months),
        "sources": dict(policy.sources),
        "visits_on_holidays": policy.visits_on_holidays,
        "costs": costs_to_plain(policy.costs),
    } | {name: getattr(policy, name) for name in (*_NUMBERS, *_LATER_NUMBERS)}


def from_plain(data: Mapping[str, Any]) -> Policy:
    """Read a policy back.

    Raises
    ------
    InvalidInput
        naming what is missing, unknown or impossible
    """
    known = {
        "name", "routine", "detailed", "window", "findings", "after_work_months",
        "follow_up_months", "sources", "visits_on_holidays", "costs", *_NUMBERS,
        *_LATER_NUMBERS,
    }  # fmt: skip
    unknown = sorted(set(data) - known)
    if unknown:
        raise _refusal(f"“{unknown[0]}” is not a part of a policy")
    try:
        return _built(data)
    except KeyError as missing:
        raise _refusal(f"{missing.args[0]!r} is missing") from None
    except (TypeError, ValueError, AttributeError) as problem:
        raise _refusal(str(problem)) from None


def _built(data: Mapping[str, Any]) -> Policy:
    return Policy(
        name=str(data["name"]),
        routine=_table(data["routine"]),
        detailed=_table(data["detailed"]),
        window=WindowRule(**data["window"]),
        findings={
            Grade(grade): FindingRule(**rule)
            for grade, rule in data["findings"].items()
        },
        after_work_months={
            WorkKind(work): tuple(_whole(m, work) for m in months)
            for work, months in data["after_work_months"].items()
        },
        follow_up_months=tuple(
            _whole(m, "follow_up_months") for m in data["follow_up_months"]
        ),
        sources=dict(data["sources"]),
        visits_on_holidays=_flag(data, "visits_on_holidays"),
        costs=costs_from_plain(data.get("costs", {})),
        **{name: _whole(data[name], name) for name in _NUMBERS},
        **{
            name: _whole(data.get(name, meant), name)
            for name, meant in _LATER_NUMBERS.items()
        },
    )


def _rows(table: Mapping[Key, Cell]) -> list[Plain]:
    return [
        {
            "kind": kind.value,
            "occupancy": occupancy.value,
            "consequence": consequence.value,
            "months": cell.months,
            "days": cell.days,
            "source": cell.source,
        }
        for (kind, occupancy, consequence), cell in table.items()
    ]


def _table(rows: list[Plain]) -> dict[Key, Cell]:
    table: dict[Key, Cell] = {}
    for row in rows:
        key = (
            MemberKind(row["kind"]),
            Occupancy(row["occupancy"]),
            Consequence(row["consequence"]),
        )
        if key in table:
            raise ValueError(f"the row {', '.join(key)} stands twice")
        table[key] = Cell(
            _whole(row["months"], "months"),
            str(row["source"]),
            _whole(row.get("days", 0), "days"),
        )
    return table


def _whole(value: object, name: str) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise TypeError(f"{name} is {value!r}; a whole number is expected")
    return value


def _flag(data: Mapping[str, Any], name: str) -> bool:
    """A yes or no that older versions do not have."""
    value = data.get(name, False)
    if not isinstance(value, bool):
        raise TypeError(f"{name} is {value!r}; true or false is expected")
    return value


def _refusal(problem: str) -> InvalidInput:
    return InvalidInput(
        f"The policy can not be read: {problem}.", field="policy", code="sch-011"
    )
