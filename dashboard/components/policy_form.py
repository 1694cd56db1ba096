"""The policy as a table that can be edited, and read back from its fields."""

import re
from collections.abc import Iterator, Mapping, Sequence
from types import SimpleNamespace
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.attributes import data
from dashboard.components.form import field, text_input
from dashboard.components.text import sentence
from monitor.domain.vocabulary import (
    Consequence,
    InspectionKind,
    MemberKind,
    Occupancy,
    WorkKind,
)
from monitor.errors import InvalidInput
from monitor.schedule.policy import Cell, Key, Policy
from monitor.schedule.policy_record import from_plain, to_plain

IDS = SimpleNamespace(
    base="policy-base",
    name="policy-name",
    ask="policy-ask",
    tried="policy-tried",
    effect="policy-effect",
    reason="policy-reason",
    adopt="policy-adopt",
    answer="policy-answer",
)
TABLES = (("routine", "Seen again within"), ("detailed", "Within reach within"))
_HOLIDAYS = "visits_on_holidays"
_STEP = re.compile(r"(?:(\d+)(?: m(?:onths?)?)?)?(?: ?(\d+) d(?:ays?)?)?")

_NUMBERS = (
    ("baseline_days", "Baseline, days after installation", "baseline"),
    ("first_gaps", "How many first gaps are short", "first-gaps"),
    ("first_gap_months", "Longest of the first gaps, months", "first-gaps"),
    ("unconfirmed_months", "Repeat of a doubtful reading, months", "unconfirmed"),
    ("after_work_reading_days", "Reading after work, days", "after-work"),
    ("life_ahead_months", "Look ahead of a service life, months", "service-life"),
    ("life_again_months", "Looks after it, every so many months", "service-life"),
    ("coating_life_years", "Planned life of paint, years", "coating-life"),
)
_FINDING = (("first_days", "first look, days"), ("again_days", "again, days"))
_COSTS = (
    ("hour", "One hour of a person"),
    ("km", "One kilometre"),
    ("km_a_visit", "Kilometres one visit takes"),
)
_WINDOW = (
    ("opens_days", "Counts so many days before it is due"),
    ("late_days", "Late so many days after"),
)


def policy_form(policy: Policy) -> list[Component]:
    """Every part of a policy in a field."""
    return [
        dcc.Store(id=IDS.base, data=to_plain(policy)),
        field("Name", text_input(IDS.name, value=policy.name), key=IDS.name),
        *(_kind_table(policy, kind) for kind in MemberKind),
        _rules(policy),
        _costs(policy),
    ]


def policy_from(
    base: Mapping[str, Any],
    name: str | None,
    steps: Mapping[str, str],
    sources: Mapping[str, str],
    rules: Mapping[str, str],
) -> Policy:
    """The policy that the fields say, upon the one they were filled from.

    Raises
    ------
    InvalidInput : naming what is no number, or what can not work
    """
    plain = dict(base)
    plain["name"] = (name or "").strip() or base["name"]
    for table, _ in TABLES:
        plain[table] = [
            row
            for key, text in steps.items()
            if key.startswith(f"{table}|")
            and (row := _row(key, text, sources.get(key, ""))) is not None
        ]
    return from_plain(_with_rules(plain, rules))


def shown_table(policy: Policy, kind: MemberKind) -> list[list[str]]:
    """Rows of one kind for reading: beneath, consequence, both intervals, source."""
    rows = []
    for use in Occupancy:
        for harm in Consequence:
            routine = policy.routine[kind, use, harm]
            detailed = policy.detailed.get((kind, use, harm))
            every = routine.interval.in_words()
            if detailed is not None:
                every += f"; within reach every {detailed.interval.in_words()}"
            rows.append(
                [
                    use.value,
                    harm.value,
                    every,
                    routine.source,
                ]
            )
    return rows


def step_text(cell: Cell | None) -> str:
    """An interval as it is typed: "15", "7 d", "1 m 7 d"."""
    if cell is None:
        return ""
    if not cell.days:
        return str(cell.months)
    return f"{cell.months} m {cell.days} d" if cell.months else f"{cell.days} d"


def _kind_table(policy: Policy, kind: MemberKind) -> Component:
    tables = [_table(policy, kind, name, label) for name, label in TABLES]
    return html.Details(
        [html.Summary(f"{sentence(kind.value)}s"), *tables],
        open=kind is MemberKind.POST,
        className="policy-kind",
    )


def _table(policy: Policy, kind: MemberKind, name: str, label: str) -> Component:
    cells: Mapping[Key, Cell] = getattr(policy, name)
    headings = ("Use beneath", "A failure is", f"{label}, months", "Source")
    head = html.Thead(html.Tr([html.Th(text, scope="col") for text in headings]))
    rows = [
        html.Tr(_cells((kind, use, harm), cells.get((kind, use, harm)), name, headings))
        for use in Occupancy
        for harm in Consequence
    ]
    table = html.Table(
        [
            html.Caption(f"{sentence(kind.value)}s, {label.casefold()}"),
            head,
            html.Tbody(rows),
        ],
        className="quiet policy-table",
    )
    if name == "routine" or any(key[0] is kind for key in cells):
        return table
    return html.Details([html.Summary("Inspections within reach: none asked"), table])


def _cells(
    key: Key, cell: Cell | None, name: str, headings: Sequence[str]
) -> list[Component]:
    word = "|".join((name, *(part.value for part in key)))
    where = f"{key[1].value}, {key[2].value}"
    step = _named(
        f"{headings[2]}: {where}", _input("policy-step", word, step_text(cell))
    )
    source = _named(
        f"{headings[3]}: {where}",
        _input("policy-source", word, cell.source if cell else ""),
    )
    words: tuple[str | Component, ...] = (key[1].value, key[2].value, step, source)
    return [
        html.Td(said, **data(heading=heading))
        for said, heading in zip(words, headings, strict=True)
    ]


def _input(kind: str, key: str, value: str) -> Component:
    return text_input({"type": kind, "key": key}, value=value)


def _named(name: str, box: Component) -> Component:
    """A field whose name the headings of the table say to those who see them."""
    return html.Label([html.Span(name, className="unseen"), box])


def _rules(policy: Policy) -> Component:
    fields = [_rule(*said) for said in (*_plain_rules(policy), *_nested_rules(policy))]
    return html.Details(
        [html.Summary("All other rules"), html.Div(fields, className="head-fields")]
    )


def _plain_rules(policy: Policy) -> Iterator[tuple[str, str, str, str]]:
    """Key, label, text and source of each rule that is one number or one row."""
    yield (
        "follow_up_months",
        "Looks after installation, months",
        _listed(policy.follow_up_months),
        policy.sources.get("first-year", ""),
    )
    for name, label, rule in _NUMBERS:
        source = policy.sources.get(rule, "")
        yield name, label, str(getattr(policy, name)), source
    yield (
        _HOLIDAYS,
        "Visits on public holidays, yes or no",
        "yes" if policy.visits_on_holidays else "no",
        "common practice, no source",
    )
    for name, label in _WINDOW:
        text = str(getattr(policy.window, name))
        yield f"window/{name}", label, text, policy.window.source


def _nested_rules(policy: Policy) -> Iterator[tuple[str, str, str, str]]:
    for grade, rule in policy.findings.items():
        for name, label in _FINDING:
            key = f"findings/{grade.value}/{name}"
            words = f"Open finding graded {grade}: {label}"
            yield key, words, str(getattr(rule, name)), rule.source
    for work, months in policy.after_work_months.items():
        key, words = f"after_work_months/{work.value}", f"After {work}, months"
        yield key, words, _listed(months), policy.sources.get("after-work", "")


def _listed(months: Sequence[int]) -> str:
    return ", ".join(str(one) for one in months)


def _costs(policy: Policy) -> Component:
    """The duty-holder's own prices; they plan money and move no date."""
    costs = policy.costs
    rows = [("currency", "Currency", costs.currency)]
    rows += [(name, label, f"{getattr(costs, name):g}") for name, label in _COSTS]
    rows += [
        (f"visit/{kind}", f"One {kind} inspection", f"{costs.visit.get(kind, 0):g}")
        for kind in InspectionKind
    ]
    rows += [
        (f"work/{kind}", f"One {kind}", f"{costs.work.get(kind, 0):g}")
        for kind in (WorkKind.REPAINT, WorkKind.REPLACEMENT)
    ]
    fields = [_rule(f"costs/{key}", label, text, "") for key, label, text in rows]
    return html.Details(
        [
            html.Summary("Costs"),
            html.P(
                "Your own prices, for the plan of the years; 0 where nothing is to be "
                "counted. They move no date.",
                className="quiet",
            ),
            html.Div(fields, className="head-fields"),
        ]
    )


def _rule(key: str, label: str, value: str, source: str) -> Component:
    name = {"type": "policy-rule", "key": key}
    return field(label, text_input(name, value=value), key=name, hint=source)


def _row(key: str, text: str, source: str) -> dict[str, Any] | None:
    table, kind, use, harm = key.split("|")
    plain = " ".join(text.split()).casefold()
    if not plain and table == "detailed":
        return None
    found = _STEP.fullmatch(plain)
    if not plain or found is None:
        raise InvalidInput(
            f"{sentence(kind)}, {use} use, {harm}: found “{text}”, expected months "
            "such as 15, or days such as 7 d.",
            field=key,
            code="pol-005",
        )
    return {
        "kind": kind, "occupancy": use, "consequence": harm,
        "months": int(found[1] or 0), "days": int(found[2] or 0),
        "source": source.strip(),
    }  # fmt: skip


def _with_rules(plain: dict[str, Any], rules: Mapping[str, str]) -> dict[str, Any]:
    for key, text in rules.items():
        *path, name = key.split("/")
        is_list = name == "follow_up_months" or path == ["after_work_months"]
        value: object
        if key == _HOLIDAYS:
            value = _yes(text)
        elif path and path[0] == "costs":
            value = text.strip() if name == "currency" else _price(key, text)
        else:
            value = _numbers(key, text) if is_list else _number(key, text)
        if not path:
            plain[name] = value
        else:
            plain[path[0]] = _set(plain[path[0]], [*path[1:], name], value)
    return plain


def _set(inside: Mapping[str, Any], path: list[str], value: object) -> dict[str, Any]:
    """The same with one value changed; what was given is left as it is."""
    first, *rest = path
    deeper = inside.get(first, {})
    return {**inside, first: _set(deeper, rest, value) if rest else value}


def _price(key: str, text: str) -> float:
    plain = text.strip().replace(",", ".")
    if not (plain.isascii() and plain.replace(".", "", 1).isdigit()):
        raise InvalidInput(
            f"Found “{text[:20]}”, expected a price such as 85 or 0.42.",
            field=key,
            code="pol-008",
        )
    return float(plain)


def _yes(text: str) -> bool:
    word = text.strip().casefold()
    if word not in ("yes", "no"):
        raise InvalidInput(
            f"Visits on public holidays: found “{text}”, expected yes or no.",
            field=_HOLIDAYS,
            code="pol-007",
        )
    return word == "yes"


def _numbers(key: str, text: str) -> list[int]:
    return [_number(key, part) for part in text.split(",") if part.strip()]


def _number(key: str, text: str) -> int:
    try:
        return int(text.strip())
    except ValueError:
        raise InvalidInput(
            f"{key.replace('_', ' ').replace('/', ', ')}: found “{text}”, expected a "
            "whole number.",
            field=key,
            code="pol-005",
        ) from None
