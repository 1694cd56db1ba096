"""The plain methods beside an outlook, in words."""

from collections.abc import Mapping
from typing import Any

from monitor.domain.conclusions import Outlook
from monitor.domain.quantities import SERIES
from monitor.trends.words import number
from monitor.units import unit_sign

LEAD = "Cross-check by plain methods"
METHOD_NOTE = (
    "Plain methods take every reading at its word: none is doubted, and season and "
    "changes of instrument are not seen. They hold for one look only: repeated at each "
    "visit, a 95\u202f% test of the least-squares slope calls about 4 of 10 still "
    "supports moving within 20 years, Mann–Kendall 3 of 10 (our own simulation: a "
    "visit each nine months, steady noise). The evidence of the outlook is made to be "
    "looked at as often as one likes."
)
_NOTHING = 1e-9  # a slope that is only rounding [unit/yr]
_FEW = "with fewer than four readings they can not say"
_SAME = "every reading is the same: they see no movement and can not say how sure"


def cross_check_words(outlook: Outlook) -> str:
    """One line on what the plain methods say; empty if they were not asked."""
    stored = outlook.details.get("plain")
    if not isinstance(stored, list) or not stored:
        return ""
    parts = SERIES[outlook.series]
    unit = f"{unit_sign(parts[0].unit)} a year"
    said = [_said(check, unit) for check in stored]
    lead, caution = LEAD, ""
    if len(said) > 1 and said[0] != said[1]:
        lead += ", each axis by itself"
        names = (part.label.removeprefix(outlook.series).strip() for part in parts)
        said = [f"{name}, {words}" for name, words in zip(names, said, strict=True)]
    if any(check["p"] is not None for check in stored):
        caution = "; for one look only"
    return f"{lead}: {'; '.join(dict.fromkeys(said))}{caution}."


def _said(check: Mapping[str, Any], unit: str) -> str:  # JSON-like, so Any
    sen, line, p = check["sen"], check["line"], check["p"]
    if sen is None or line is None or p is None:
        return _FEW
    if max(map(abs, line)) < _NOTHING:
        return _SAME
    return (
        f"Theil–Sen {_slope(sen)} {unit} (90\u202f%: {_ends(sen)}), least squares "
        f"{_slope(line)} ({_ends(line)}), Mann–Kendall {_p(p)}"
    )


def _slope(ends: list[float]) -> str:
    return number(ends[1], ends[2] - ends[0])


def _ends(ends: list[float]) -> str:
    low, high = (number(end, ends[2] - ends[0]) for end in (ends[0], ends[2]))
    return f"{low} to {high}"


def _p(p: float) -> str:
    return "p below 0.001" if p < 0.001 else f"p = {p:.2g}"
