"""Words that papers use: days, lists, limits, uncertainty."""

from datetime import date

from monitor.domain.conclusions import Due, Outlook
from monitor.mechanics.screening import CAUTION
from monitor.schedule.calendar import counted, in_words
from monitor.services.showing.phrases import listed, reached
from monitor.services.showing.series import SeriesView
from monitor.units import show
from monitor.units.display import THIN_SPACE

__all__ = [
    "CAUTION", "counted", "digits_of", "limit_words", "listed", "on", "plus_minus",
    "reached", "sentence", "why_due",
]  # fmt: skip

FINE_MM = 0.1
"""Noise below which a second decimal of a millimetre says something."""


def on(day: date) -> str:
    """A day, such as “14 May 2031”, that does not break at a line's end."""
    return in_words(day).replace(" ", "\u00a0")


def sentence(text: str) -> str:
    """With a capital first letter and one full stop."""
    text = text.strip()
    if not text:
        return ""
    return f"{text[0].upper()}{text[1:]}{'' if text[-1] in '.!?…' else '.'}"


def plus_minus(sd: float, unit: str, *, digits: int | None = None) -> str:
    """Two standard deviations of one reading."""
    return f"±{THIN_SPACE}{show(2 * sd, unit, digits=digits)}"


def digits_of(sd: float, unit: str) -> int | None:
    """Decimals of a reading: one more than usual in mm where it is so fine."""
    return 2 if unit == "mm" and sd < FINE_MM else None


def why_due(due: Due) -> str:
    """The sentence of a due without its day, where that stands beside it."""
    head, colon, rest = due.sentence.partition(": ")
    return sentence(rest) if colon and head.startswith("Due on") else due.sentence


def limit_words(series: SeriesView, today: date) -> tuple[str, ...]:
    """When each limit is reached, and where the limits come from."""
    outlook = series.outlook
    if outlook is None or outlook.level is None:
        return ()
    said = [
        f"{name} at {_level(outlook, name, level, series.unit)}: "
        f"{reached(dates, today)}."
        for name, level, dates in (
            ("Act", outlook.act_level, outlook.act_on),
            ("Watch", outlook.watch_level, outlook.watch_on),
        )
        if level is not None
    ]
    source = outlook.details.get("limit_source")
    if source:
        said.append(f"Limits: {source}.")
    return tuple(said)


def _level(outlook: Outlook, name: str, level: float, unit: str) -> str:
    """A limit, both ends where either way is harmful."""
    low = outlook.details.get(f"{name.casefold()}_low")
    if not isinstance(low, int | float):
        return show(level, unit)
    return f"below {show(low, unit)} or above {show(level, unit)}"
