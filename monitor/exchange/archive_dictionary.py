"""What every table and column of an archive means, made from the catalogues."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from inspect import getdoc
from typing import Any

from monitor.domain.facts import FACTS
from monitor.domain.findings import FINDINGS
from monitor.domain.quantities import QUANTITIES

UNITS = {
    "mm": "millimetres",
    "mm2": "square millimetres",
    "m": "metres",
    "deg": "degrees of angle",
    "kn": "kilonewtons",
    "c": "degrees Celsius",
    "months": "months",
    "days": "days",
    "bytes": "bytes",
    "on": "civil date at the site, year-month-day",
    "at": "instant in UTC, ISO 8601",
    "id": "identifier (UUID) of a row of the table that the name begins with",
}
COMMON = {
    "id": "identifier (UUID) of the row",
    "root_id": "identifier of the first version; readings point at it",
    "supersedes_id": "identifier of the row this one corrects; that one stays readable",
    "recorded_at": "when the row reached the record, by the clock of the server",
    "recorded_by": "who entered it",
    "withdrawn": "whether it was taken back",
    "given": "as typed, with its unit",
    "value": "number in the canonical unit of the quantity",
    "latitude": "degrees north, WGS 84",
    "longitude": "degrees east, WGS 84",
}


@dataclass(frozen=True, slots=True)
class ColumnMeaning:
    """One column in words."""

    table: str
    column: str
    type: str
    meaning: str
    words: tuple[str, ...]


def meanings(row_classes: Mapping[str, type]) -> Iterator[ColumnMeaning]:
    """Every column of every table.

    Parameters
    ----------
    row_classes : by table name; their docstrings say what a row is
    """
    for name, kind in sorted(row_classes.items()):
        about = (getdoc(kind) or "").splitlines()[0]
        for column in kind.__dict__["__table__"].c:
            words = tuple(word.value for word in getattr(column.type, "words", ()))
            meaning = COMMON.get(column.name) or _by_ending(column.name)
            yield ColumnMeaning(
                name, column.name, type(column.type).__name__.lower(),
                f"{about} {meaning}".strip(), words,
            )  # fmt: skip


def quantity_rows() -> list[dict[str, Any]]:
    """Every quantity that is read, with unit, sign and range."""
    return [
        {
            "quantity": q.name, "label": q.label, "unit": q.unit, "sign": q.sign,
            "lowest": q.low, "highest": q.high, "worse": q.harm.value,
        }
        for q in QUANTITIES.values()
    ]  # fmt: skip


def fact_rows() -> list[dict[str, Any]]:
    """Every as-built fact, by kind of member."""
    return [
        {"member": kind.value, "fact": f.name, "label": f.label, "unit": f.unit}
        for kind, specs in FACTS.items()
        for f in specs
    ]


def finding_rows() -> list[dict[str, Any]]:
    """Every coded observation."""
    return [{"code": f.code, "label": f.label} for f in FINDINGS.values()]


def _by_ending(name: str) -> str:
    ending = name.rpartition("_")[2]
    return UNITS.get(ending, "") if "_" in name else ""
