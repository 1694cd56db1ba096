"""Records as plain values, for the ledger."""

from collections.abc import Iterable
from dataclasses import fields
from typing import Any


def values_of(record: object) -> dict[str, Any]:
    """Every field of a record."""
    return {f.name: getattr(record, f.name) for f in fields(record)}  # type: ignore[arg-type]


def values_of_all(records: Iterable[object]) -> list[dict[str, Any]]:
    """Every field of each record."""
    return [values_of(record) for record in records]
