"""Refuse what cannot be, in a sentence that says what would be needed.

Every relation takes a float or an array and hands back the same shape. A value that is
not there is `InsufficientData`; a value that can not be true is `InvalidInput`.
"""

from collections.abc import Mapping
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from monitor.errors import InsufficientData, InvalidInput

Array = NDArray[np.float64]
Floats = float | Array

Key = TypeVar("Key")
Row = TypeVar("Row")

# What a person may have typed into a field of millimetres, and its size in mm.
_LOOKALIKES = (("inches", 25.4), ("feet", 304.8), ("metres", 1000.0))


def plain(values: Floats) -> Floats:
    """Return a float for a single value, the array itself otherwise."""
    out = np.asarray(values, dtype=np.float64)
    return float(out) if out.ndim == 0 else out


def finite(name: str, values: Floats, unit: str) -> Array:
    """Return the values as an array; refuse when one is missing."""
    found = np.asarray(values, dtype=np.float64)
    if not np.isfinite(found).all():
        raise InsufficientData(f"{name} is missing; a number in {unit} is needed.")
    return found


def positive(name: str, values: Floats, unit: str) -> Array:
    """Return the values; refuse zero and below."""
    found = finite(name, values, unit)
    if found.size and not found.min() > 0.0:
        raise InvalidInput(
            f"{name}: {found.min():g} {unit} found, more than 0 {unit} expected.",
            field=name,
        )
    return found


def not_negative(name: str, values: Floats, unit: str) -> Array:
    """Return the values; refuse what is below zero."""
    found = finite(name, values, unit)
    if found.size and found.min() < 0.0:
        raise InvalidInput(
            f"{name}: {found.min():g} {unit} found, 0 {unit} or more expected.",
            field=name,
        )
    return found


def within(name: str, values: Floats, unit: str, span: tuple[float, float]) -> Array:
    """Return the values; refuse what lies outside the range of the relation."""
    found = finite(name, values, unit)
    low, high = span
    outside = found[(found < low) | (found > high)]
    if outside.size:
        worst = float(outside.flat[0])
        raise InvalidInput(
            f"{name}: {worst:g} {unit} found, {low:g} to {high:g} {unit} expected."
            f"{_unit_hint(worst, unit, span)}",
            field=name,
        )
    return found


def known(kind: str, key: Key, table: Mapping[Key, Row]) -> Row:
    """Return the row of a table; an unknown name is refused with what is known."""
    if key not in table:
        names = ", ".join(str(name) for name in table)
        raise InvalidInput(f"{kind} “{key}” is not in the table; known: {names}.")
    return table[key]


def _unit_hint(found: float, unit: str, span: tuple[float, float]) -> str:
    """Say which units would make sense of a length, when any would."""
    if unit != "mm":
        return ""
    fits = [
        f"in {name} it would be {found * size_mm:g} mm"
        for name, size_mm in _LOOKALIKES
        if span[0] <= found * size_mm <= span[1]
    ]
    return f" Which unit is it? {'; '.join(fits).capitalize()}." if fits else ""
