"""One sentence for every outlook, to be read aloud by the person who climbs the tree.

Rates carry two digits at most and never pretend to more than a fifth of their own
interval; dates are years, months only within three years; no reassuring number stands
without its bound.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

import numpy as np

from monitor.trends.codes import (
    LOOK_WORDS,
    REFUSAL_WORDS,
    EvidenceWord,
    LookRule,
    Refusal,
)
from monitor.trends.outlook import Outlook

DAYS_PER_YEAR: Final = 365.25
MONTHS_WITHIN_YEARS: Final = 3.0
_SPEAKING: Final = (Refusal.NONE, Refusal.LIMIT_MISSING, Refusal.AUDIT_FAILED)
_SURE: Final = 0.95
_NUMBERS: Final = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)


@dataclass(frozen=True, slots=True)
class About:
    """What the sentence is about.

    Parameters
    ----------
    unit : of the reading, as printed: "mm", "mm/m", "kN"
    limit : the act limit in words, "15 mm"; empty if there is none
    now_years : age today on the clock of the readings [yr]
    direction : +1 harmful upwards, -1 harmful downwards, 0 both ways or a vector
    horizon_years : how far ahead dates are named [yr]
    """

    unit: str
    limit: str
    now_years: float
    direction: int = 1
    horizon_years: float = 100.0


def sentence(outlook: Outlook, about: About, today: date) -> str:
    """Return what the readings say, how sure, until when, and when to look again.

    Examples
    --------
    "Moving 0.9 mm a year (0.6 to 1.2), five readings since 2024; certain; reaches
    15 mm between 2034 and 2043, most likely 2037; look again by March 2029 (half of
    the time to the early date)."
    """
    if outlook.refusal not in _SPEAKING:
        words = REFUSAL_WORDS[Refusal(outlook.refusal)]
        return f"No answer: {words}."
    parts = [
        _movement(outlook, about, today),
        _jump(outlook, about, today),
        _limit(outlook, about, today),
        _look(outlook, today),
    ]
    text = "; ".join(part for part in parts if part)
    return f"{text[0].upper()}{text[1:]}."


def reading_note(weight: float, read_on: date) -> str:
    """Return a note on a reading that counts little; empty for a sound one."""
    if not weight < 0.5:
        return ""
    share = "less than 2 %" if weight < 0.02 else f"{100 * weight:.0f} %"
    return f"The reading of {read_on.isoformat()} counts {share}; please repeat it."


def number(value: float, width: float) -> str:
    """Return a number with two digits, never finer than a fifth of its interval."""
    size = abs(value)
    finest = 10.0 ** (np.floor(np.log10(size)) - 1.0) if size > 0.0 else 0.0
    honest = 10.0 ** np.floor(np.log10(width / 5.0)) if width > 0.0 else 0.0
    step = max(finest, honest) or 1.0
    rounded = round(value / step) * step
    decimals = max(0, int(-np.floor(np.log10(step) + 1e-9)))
    text = f"{rounded:.{decimals}f}"
    return text.replace("-", "−") if float(text) else text.lstrip("-")


def when(years: float, today: date) -> str:
    """Return a moment from today on: a month within three years, else a year."""
    day = today + timedelta(days=years * DAYS_PER_YEAR)
    return f"{day:%B %Y}" if abs(years) <= MONTHS_WITHIN_YEARS else f"{day.year}"


def _count(outlook: Outlook, about: About, today: date) -> str:
    n = outlook.readings
    words = _NUMBERS[n] if n < len(_NUMBERS) else str(n)
    first = today + timedelta(
        days=(outlook.first_years - about.now_years) * DAYS_PER_YEAR
    )
    return f"{words} reading{'s' if n > 1 else ''} since {first.year}"


def _movement(outlook: Outlook, about: About, today: date) -> str:
    if outlook.readings == 1:
        low, _, high = _rates(outlook)
        return (
            f"one reading, so no rate can be claimed; things of this kind move "
            f"{low} to {high} {about.unit} a year (90 %)"
        )
    count = _count(outlook, about, today)
    word = EvidenceWord(outlook.evidence_word)
    if word is EvidenceWord.NONE:
        known = "no movement seen" if outlook.readings > 2 else "too early to tell"
        return f"{known}: {_bound(outlook, about)} (95 % sure), {count}"
    surety = {
        EvidenceWord.POSSIBLE: "possible, not shown",
        EvidenceWord.MOVING: "shown, wrong for at most 1 in 20 still ones",
        EvidenceWord.CERTAIN: "certain",
    }[word]
    if outlook.readings == 2:
        surety += ", the rate provisional"
    return f"{_moving(outlook, about)}, {count}; {surety}"


def _rates(outlook: Outlook) -> tuple[str, str, str]:
    low, middle, high = outlook.rate
    width = high - low
    return number(low, width), number(middle, width), number(high, width)


def _moving(outlook: Outlook, about: About) -> str:
    low, middle, high = outlook.rate
    width = high - low
    if low < 0.0 < high and about.direction != 0:
        return (
            f"has moved, now between {number(low, width)} and {number(high, width)} "
            f"{about.unit} a year"
        )
    verb = "moving"
    if middle < 0.0:
        verb, (low, middle, high) = "falling", (-high, -middle, -low)
    pace = number(middle, width)
    return (
        f"{verb} {pace} {about.unit} a year "
        f"({number(low, width)} to {number(high, width)})"
    )


def _bound(outlook: Outlook, about: About) -> str:
    low, _, high = outlook.rate
    width = high - low
    worst = {1: high, -1: -low}.get(about.direction, max(high, -low))
    if worst <= 0.0:
        ends = f"{number(low, width)} and {number(high, width)}"
        return f"between {ends} {about.unit} a year"
    return f"below {number(worst, width)} {about.unit} a year"


def _jump(outlook: Outlook, about: About, today: date) -> str:
    doubts = []
    if np.isfinite(outlook.step_years):
        day = when(outlook.step_years - about.now_years, today)
        size = number(abs(outlook.step_size), abs(outlook.step_size))
        doubts.append(
            f"a jump of {size} {about.unit} before the reading of {day}: "
            "was it adjusted? Enter the work or repeat the reading"
        )
    if outlook.newest_unconfirmed:
        doubts.append(
            "the newest reading does not fit the others and counts little until it "
            f"is repeated{_if_right(outlook, about, today)}"
        )
    return "; ".join(doubts)


def _if_right(outlook: Outlook, about: About, today: date) -> str:
    """Return what follows should the doubted reading be right after all."""
    early = outlook.act_years_if_right[0]
    if not about.limit or np.isnan(early) or early > about.horizon_years:
        return ""
    if early == 0.0:
        return f"; if it is right, {about.limit} may be reached already"
    return f"; if it is right, {about.limit} may be reached by {when(early, today)}"


def _limit(outlook: Outlook, about: About, today: date) -> str:
    early, middle, late = outlook.act_years
    if outlook.refusal == Refusal.AUDIT_FAILED:
        return REFUSAL_WORDS[Refusal.AUDIT_FAILED]
    if not about.limit or np.isnan(early):
        return "no limit is given, so no date can be named"
    if early == 0.0:
        return _already(outlook.act_beyond, about.limit)
    far = f"within {about.horizon_years:.0f} years"
    if np.isinf(early):
        return f"not expected to reach {about.limit} {far} even at the fast bound"
    first = when(early, today)
    if np.isinf(middle):
        return (
            f"more likely than not stays short of {about.limit} for "
            f"{about.horizon_years:.0f} years; counting a later change of pace, "
            f"1 chance in 20 to reach it by {first}"
        )
    likely = when(middle, today)
    if np.isinf(late):
        return (
            f"may reach {about.limit} from {first}, most likely {likely}, "
            f"later should it slow down"
        )
    last = when(late, today)
    if first == last:
        return f"reaches {about.limit} in {first}"
    return f"reaches {about.limit} between {first} and {last}, most likely {likely}"


def _already(beyond: float, limit: str) -> str:
    if beyond >= _SURE:
        return f"already beyond {limit}"
    if beyond >= 0.5:
        return f"probably beyond {limit} already (chance {100 * beyond:.0f} %)"
    return f"may be beyond {limit} already (chance {100 * beyond:.0f} %)"


def _look(outlook: Outlook, today: date) -> str:
    rule = LookRule(outlook.look_rule)
    why = LOOK_WORDS[rule]
    if rule is LookRule.ACT_NOW:
        return f"act now: {why}"
    if np.isinf(outlook.look_years):
        return ""
    if outlook.look_years <= 0.0:
        return f"a look is owed now ({why})"
    return f"look again by {when(outlook.look_years, today)} ({why})"
