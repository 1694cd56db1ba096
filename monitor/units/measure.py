"""From text and a wanted unit to one checked number, or a refusal in words."""

from dataclasses import dataclass

from monitor.errors import UnclearNumber
from monitor.units.display import MINUS, THIN_SPACE
from monitor.units.factors import step_to_canonical, to_canonical
from monitor.units.grammar import COMMA_MAY_MEAN_TWO_THINGS, Typed, read
from monitor.units.vocabulary import (
    CANONICAL,
    WRITTEN_IN_FRACTIONS,
    WRITTEN_WITH_COMMA_THOUSANDS,
    known_unit,
    quoted,
    unit_named,
)

LARGEST = 1e9  # in any canonical unit; a support has nothing larger to measure


@dataclass(frozen=True, slots=True)
class Measure:
    """One number as typed and in its canonical unit.

    Parameters
    ----------
    value : the number, in `unit`
    unit : the canonical unit
    text : as typed, stripped
    relation : "=", or "<" and ">" for a reading known only to lie below or above
    resolution : the worth of the last digit or fraction typed, in `unit`
    """

    value: float
    unit: str
    text: str
    relation: str
    resolution: float


def parse(  # noqa: PLR0913 - one call for a cell, its heading and its range
    text: str,
    unit: str,
    *,
    given_unit: str | None = None,
    low: float | None = None,
    high: float | None = None,
    field: str = "",
) -> Measure:
    """Return what a text measures, in the canonical unit wanted.

    Parameters
    ----------
    text : as typed
    unit : the canonical unit wanted
    given_unit : unit of the column heading, used when the text names none
    low, high : the physical range, both ends included [unit]
    field : name of the field or column, for the refusal

    Raises
    ------
    UnclearNumber
        names the field, what was found, what was expected and what to do

    Examples
    --------
    >>> parse("<0,5 cm", "mm")
    Measure(value=5.0, unit='mm', text='<0,5 cm', relation='<', resolution=1.0)
    """
    if unit not in CANONICAL:
        raise ValueError(f"“{unit}” is not a canonical unit: {', '.join(CANONICAL)}")
    try:
        measure = _measure(_stripped(text), unit, given_unit)
        _require_in_range(measure, low, high)
    except UnclearNumber as refusal:
        where = f"{field}: found" if field else "Found"
        raise UnclearNumber(
            f"{where} {quoted(text)}. {refusal.message}", field=field
        ) from None
    return measure


def _measure(text: str, wanted: str, given_unit: str | None) -> Measure:
    typed = read(text)
    source = _source_unit(typed, wanted, given_unit)
    value = to_canonical(typed.value, source, wanted)
    if wanted == "count" and not value.is_integer():
        raise UnclearNumber("Expected a whole number; count the things again.")
    return Measure(
        value=value,
        unit=wanted,
        text=text,
        relation=typed.relation,
        resolution=step_to_canonical(typed.value, typed.step, source, wanted),
    )


def _source_unit(typed: Typed, wanted: str, given_unit: str | None) -> str:
    """Return the unit the number was meant in, if all of the text agrees with it."""
    spelling = typed.unit or given_unit or ("count" if wanted == "count" else "")
    if not spelling and typed.value == 0 and wanted != "degC":
        return wanted  # nothing is nothing in every unit
    if not spelling:
        raise UnclearNumber(
            "It has no unit and neither has the heading; write the unit, such as "
            f"“12 {wanted}”."
        )
    source = known_unit(unit_named(spelling))
    kind = known_unit(wanted).kinds[0]
    if kind not in source.kinds:
        raise UnclearNumber(
            f"“{spelling}” measures {source.kinds[0]}, but {kind} is expected; write "
            f"the {kind} in {wanted} or another unit of {kind}."
        )
    is_bare = typed.has_fraction and not typed.unit
    if is_bare and source.name not in WRITTEN_IN_FRACTIONS:
        raise UnclearNumber(
            f"A bare fraction in a column of {source.name} may be inches, a slope or a "
            "date; write its unit, such as “5/8 in”, or “1:200” for a slope."
        )
    if typed.is_grouped and source.name not in WRITTEN_WITH_COMMA_THOUSANDS:
        raise UnclearNumber(COMMA_MAY_MEAN_TWO_THINGS)
    return source.name


def _require_in_range(measure: Measure, low: float | None, high: float | None) -> None:
    value, name = measure.value, measure.unit
    if abs(value) > LARGEST:
        raise UnclearNumber(
            "No measurement of a support is that large; check the digits and the unit."
        )
    if (low is None or value >= low) and (high is None or value <= high):
        return
    if low is not None and high is not None:
        expected = f"{_figures(low)} to {_figures(high)}"
    elif low is not None:
        expected = f"{_figures(low)} or more"
    else:
        expected = f"{_figures(high)} or less"
    raise UnclearNumber(
        f"That is {_figures(value)}{THIN_SPACE}{name}; expected {expected}. Check the "
        "number and its unit."
    )


def _figures(value: float | None) -> str:
    return f"{value:.9g}".replace("-", MINUS)


def _stripped(text: object) -> str:
    if not isinstance(text, str):
        raise UnclearNumber("Expected text as typed, such as “14.2 mm”.")
    if not text.strip():
        raise UnclearNumber("There is no number; write one, or mark it not measured.")
    return text.strip()
