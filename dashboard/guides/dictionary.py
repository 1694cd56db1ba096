"""The data dictionary, made from the catalogues and the tables themselves."""

from enum import StrEnum

from dashboard.guides.tables import code, number, table
from monitor.domain import vocabulary
from monitor.domain.facts import FACTS
from monitor.domain.findings import FINDINGS
from monitor.domain.methods import METHODS, noise_of
from monitor.domain.quantities import QUANTITIES, Noise, Quantity
from monitor.domain.rights import MAY
from monitor.exchange.columns import OutTable, dictionary_of
from monitor.services.exporting import (
    analyst_lists,
    inspection_list,
    support_list,
    work_list,
)
from monitor.store.described import TableWords, described_tables
from monitor.units.vocabulary import CANONICAL, UNITS

LISTS = {
    "supports": (
        *support_list.HEAD,
        *support_list.OF_MEMBER,
        *support_list.FACT_COLUMNS,
    ),
    "inspections": (*inspection_list.HEAD, *inspection_list.PARTS),
    "works": work_list.COLUMNS,
    "readings": analyst_lists.READING_COLUMNS,
    "outlooks": analyst_lists.OUTLOOK_COLUMNS,
    "standings": analyst_lists.STANDING_COLUMNS,
    "quantities": analyst_lists.QUANTITY_COLUMNS,
}
"""Lists of an export with their columns."""

_WORDS = tuple(
    found
    for found in vars(vocabulary).values()
    if isinstance(found, type) and issubclass(found, StrEnum) and found is not StrEnum
)


def quantities() -> str:
    """What is measured."""
    headings = ["name", "as people say it", "unit", "larger means", "taken from … to",
                "worse", "read on", "usual noise"]  # fmt: skip
    return table(headings, map(_quantity, QUANTITIES.values()))


def methods() -> str:
    """How it is read, and how far two careful repeats differ."""
    rows = [[code(name), words, _noises(name)] for name, words in METHODS.items()]
    return table(["method", "is", "noise where it is not the usual one"], rows)


def facts() -> str:
    """What is asked once, at installation."""
    parts = []
    for kind, specs in FACTS.items():
        rows = [
            [
                code(spec.name),
                spec.label,
                spec.unit,
                f"{number(spec.low)} to {number(spec.high)}" if spec.is_number else "",
                ", ".join(spec.choices) or ("" if spec.is_number else "words"),
            ]
            for spec in specs
        ]
        headings = ["name", "as people say it", "unit", "range", "choices"]
        parts.append(f"### As built: {kind.value}\n\n{table(headings, rows)}")
    return "\n\n".join(parts)


def findings() -> str:
    """What an inspector can see, and what it commonly counts as."""
    rows = [[code(f.code), f.label, f.usual_grade.value] for f in FINDINGS.values()]
    return table(["code", "as people say it", "usual grade"], rows)


def words() -> str:
    """The words of the record, each list with what it says."""
    rows = [
        [
            code(kind.__name__),
            (kind.__doc__ or "").split("\n")[0],
            ", ".join(word.value for word in kind),
        ]
        for kind in _WORDS
    ]
    return table(["list", "says", "words"], rows)


def rights() -> str:
    """Who may do what."""
    rows = [
        [right.value, ", ".join(sorted(role.value for role in roles))]
        for right, roles in MAY.items()
    ]
    return table(["right", "roles"], rows)


def units() -> str:
    """Units that may be typed."""
    rows = [
        [
            code(unit.name),
            ", ".join(unit.kinds),
            ", ".join(unit.spellings.split("|")),
            CANONICAL.get(unit.name, ""),
        ]
        for unit in UNITS
    ]
    return table(["unit", "measures", "also typed as", "kept in it"], rows)


def lists() -> str:
    """Columns of the lists of an export."""
    return "\n\n".join(
        f"### List: {name}\n\n{_columns(OutTable(name, '', columns, ()))}"
        for name, columns in LISTS.items()
    )


def store() -> str:
    """Tables of the database."""
    return "\n\n".join(map(_stored, described_tables()))


def _quantity(q: Quantity) -> list[str]:
    return [
        code(q.name),
        q.label,
        q.unit,
        q.sign,
        f"{number(q.low)} to {number(q.high)}",
        q.harm.value,
        ", ".join(kind.value for kind in q.kinds),
        _noise(q.noise, q.unit),
    ]


def _noise(noise: Noise, unit: str) -> str:
    if noise.relative:
        repeat, placement = 100 * noise.repeatability, 100 * noise.placement
        return f"{repeat:g} % repeat, {placement:g} % placement"
    return (
        f"{number(noise.repeatability)} repeat, {number(noise.placement)} placement, "
        f"step {number(noise.resolution)} {unit}"
    )


def _noises(method: str) -> str:
    own = [
        f"{q.label}: {_noise(noise_of(q.name, method), q.unit)}"
        for q in QUANTITIES.values()
        if noise_of(q.name, method) is not q.noise
    ]
    return "; ".join(own)


def _columns(one: OutTable) -> str:
    rows = [
        [code(str(name)), str(holds), str(unit), str(meaning)]
        for _, name, holds, unit, meaning in dictionary_of([one]).rows
    ]
    return table(["column", "holds", "unit", "meaning"], rows)


def _stored(one: TableWords) -> str:
    rows = [
        [code(c.name), c.holds, "yes" if c.must else "may be empty", c.leads_to]
        for c in one.columns
    ]
    headings = ["column", "holds", "always there", "points at"]
    return f"### Table: {one.name}\n\n{one.meaning} *{one.kept}.*\n\n" + table(
        headings, rows
    )
