"""Records as plain values, for the ledger."""

from collections.abc import Iterable
from typing import Any


def values_of(record: object) -> dict[str, Any]:
    """Every field of a record."""
    names = record.__dataclass_fields__  # type: ignore[attr-defined]
    return {name: getattr(record, name) for name in names}


def values_of_all(records: Iterable[object]) -> list[dict[str, Any]]:
    """Every field of each record."""
    return [values_of(record) for record in records]
