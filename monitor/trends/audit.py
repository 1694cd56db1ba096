"""How our own past forecasts did, and what follows from it.

For every series the newest reading is foretold from the readings before it (one step)
and from the first half of the record (half a record ahead). The second is the harder
question: a wrong law of movement passes the first and fails there.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import IntEnum
from types import MappingProxyType
from typing import Final

import numpy as np
from scipy.special import gammaln

from monitor.trends.codes import BoolArray, FloatArray
from monitor.trends.forecast import Forecast, foretell
from monitor.trends.hyper import Hyper
from monitor.trends.readings import Readings, Series

NOMINAL: Final = 0.90
BEND_T: Final = 3.0
NOISE_OFF: Final = 0.30
FEWEST_FORECASTS: Final = 10
REFUSE_BELOW: Final = 0.60
LABEL_P: Final = 0.01
_Z95: Final = 1.6448536269514722
_MOST_Z: Final = 3.0


class Verdict(IntEnum):
    """What follows from the audit of a group."""

    UNTRIED = 0
    TRUSTED = 1
    LABELLED = 2
    WIDENED = 3
    REFUSED = 4


VERDICT_WORDS: Final = MappingProxyType(
    {
        Verdict.UNTRIED: "too few forecasts of this kind have been tried to judge them",
        Verdict.TRUSTED: "past forecasts of this kind held as often as they should",
        Verdict.LABELLED: "past forecasts of this kind are to be taken with care",
        Verdict.WIDENED: (
            "forecasts of this kind are widened, and the law of movement should be "
            "reviewed"
        ),
        Verdict.REFUSED: (
            "past forecasts of this kind failed so often that no dates are given"
        ),
    }
)


@dataclass(frozen=True, slots=True)
class Score:
    """How a set of 90 % forecasts did.

    Parameters
    ----------
    tried, held : forecasts tried, and those that held the reading
    p_value : chance of so few or so many holding if 90 % is right, two-sided
    mean_z : mean standardised error
    bend_t : t value of a bend that the movers of the group share; + faster than
        foretold, - slower
    interval_score : mean of width + 20 x miss [unit]; lower is better
    """

    tried: int
    held: int
    p_value: float
    mean_z: float
    bend_t: float
    interval_score: float


@dataclass(frozen=True, slots=True)
class Audit:
    """The audit of one group.

    Parameters
    ----------
    one_step, half_record : how forecasts did one reading and half a record ahead
    last_value_score, fleet_mean_score : interval scores of two simple rules at one
        step [unit]: "as last time", and "as last time plus the mean rate"
    noise_ratio : found noise / declared noise
    widen : factor >= 1 that would have made 90 % of the forecasts hold
    verdict : what follows
    """

    one_step: Score
    half_record: Score
    last_value_score: float
    fleet_mean_score: float
    noise_ratio: float
    widen: float
    verdict: Verdict

    @property
    def is_noise_as_declared(self) -> bool:
        """Whether found and declared noise differ by less than 30 %."""
        return abs(self.noise_ratio - 1.0) <= NOISE_OFF

    @property
    def is_beaten(self) -> bool:
        """Whether a simple rule did better than the analysis."""
        simple = min(self.last_value_score, self.fleet_mean_score)
        return self.one_step.tried > 0 and simple < self.one_step.interval_score


def audit(readings: Readings, series: Series, hyper: Hyper) -> dict[int, Audit]:
    """Return the audit of each group that has a series with three readings."""
    count = np.bincount(readings.series, minlength=len(series))
    place = np.arange(len(readings)) - np.searchsorted(readings.series, readings.series)
    last = place == count[readings.series] - 1
    long = count >= 3
    one = foretell(readings, series, hyper, (place < count[readings.series] - 1, last))
    half = foretell(
        readings, series, hyper, (place < (count[readings.series] + 1) // 2, last)
    )
    audits = {}
    for code in np.unique(series.group[long]):
        chosen = long & (series.group == code)
        tried = _only(one, chosen), _only(half, chosen)
        audits[int(code)] = _judge(hyper, int(code), *tried)
    return audits


def applied(hyper: Hyper, audits: Mapping[int, Audit]) -> Hyper:
    """Return the shared numbers with what the audits ask for: widened or refused."""
    groups = dict(hyper.groups)
    for code, found in audits.items():
        groups[code] = replace(
            hyper.of(code),
            widen=max(found.widen, 1.0) if found.verdict >= Verdict.WIDENED else 1.0,
            is_refused=found.verdict is Verdict.REFUSED,
        )
    return replace(hyper, groups=MappingProxyType(groups))


def audit_words(found: Audit) -> str:
    """Return the audit in a sentence or two that can stand on a page."""
    one, half = found.one_step, found.half_record
    if found.verdict is Verdict.UNTRIED:
        return f"{_capital(VERDICT_WORDS[found.verdict])}."
    text = (
        f"{one.held} of {one.tried} readings fell inside their 90 % forecast "
        f"({100 * one.held / one.tried:.0f} %), {half.held} of {half.tried} when "
        f"foretold from the first half of the record; {VERDICT_WORDS[found.verdict]}."
    )
    bend = max((one.bend_t, half.bend_t), key=abs)
    if abs(bend) > BEND_T:
        way = "faster" if bend > 0 else "slower"
        text += f" Those that move go {way} than foretold."
    if not found.is_noise_as_declared:
        text += f" The noise found is {found.noise_ratio:.1f} times the declared noise."
    if found.is_beaten:
        text += " A simple rule (as last time, or the mean rate) did better here."
    return text


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]


def _only(forecast: Forecast, chosen: BoolArray) -> Forecast:
    return forecast.take(chosen[forecast.series])


def _judge(hyper: Hyper, code: int, one: Forecast, half: Forecast) -> Audit:
    one_score, half_score = _score(one), _score(half)
    widen = max(_widening(one), _widening(half))
    return Audit(
        one_step=one_score,
        half_record=half_score,
        last_value_score=_simple_score(one, np.zeros(1)),
        fleet_mean_score=_simple_score(one, _mean_rate(one)),
        noise_ratio=hyper.of(code).noise,
        widen=widen,
        verdict=_verdict(one_score, half_score),
    )


def _verdict(one: Score, half: Score) -> Verdict:
    if one.tried < FEWEST_FORECASTS:
        return Verdict.UNTRIED
    shares = one.held / one.tried, half.held / max(half.tried, 1)
    if min(shares) < REFUSE_BELOW:
        return Verdict.REFUSED
    faster = [s.bend_t > BEND_T for s in (one, half)]
    slower = [s.bend_t < -BEND_T for s in (one, half)]
    low = [s.p_value < LABEL_P and s.held < NOMINAL * s.tried for s in (one, half)]
    if any(faster) or all(low):
        return Verdict.WIDENED
    return Verdict.LABELLED if any(low) or any(slower) else Verdict.TRUSTED


def _score(forecast: Forecast) -> Score:
    n = forecast.series.size
    if not n:
        return Score(0, 0, 1.0, 0.0, 0.0, 0.0)
    inside = (forecast.value >= forecast.low) & (forecast.value <= forecast.high)
    held = int(inside.sum())
    z = np.clip(forecast.z, -_MOST_Z, _MOST_Z)
    return Score(
        tried=n,
        held=held,
        p_value=chance_as_odd(held, n),
        mean_z=float(np.mean(z)),
        bend_t=_bend_t(forecast, z),
        interval_score=_interval_score(forecast.value, forecast.low, forecast.high),
    )


def chance_as_odd(held: int, tried: int) -> float:
    """Return the chance of a count no likelier than this one if 90 % is right.

    Exact and two-sided; scipy.stats has it, too, but takes seconds to import.
    """
    count = np.arange(tried + 1)
    log_ways = gammaln(tried + 1) - gammaln(count + 1) - gammaln(tried - count + 1)
    log_p = log_ways + count * np.log(NOMINAL) + (tried - count) * np.log1p(-NOMINAL)
    return float(np.sum(np.exp(log_p[log_p <= log_p[held] + 1e-7])))


def _bend_t(forecast: Forecast, z: FloatArray) -> float:
    """Return the t value of errors that grow with the movement foretold.

    A law that bends the wrong way errs on the moving series, in the sense of their
    movement, and not on the still ones: errors count with the size of the movement.
    """
    move = 0.5 * (forecast.low + forecast.high) - forecast.last_value
    size = np.clip(np.abs(move) / (forecast.high - forecast.low), 0.02, 1.0)
    pull = size * np.sign(move) * z
    return float(np.sum(pull) / max(np.sqrt(np.sum(pull**2)), 1e-9))


def _interval_score(value: FloatArray, low: FloatArray, high: FloatArray) -> float:
    """Return the mean interval score of 90 % intervals (Gneiting and Raftery 2007)."""
    miss = np.maximum(low - value, 0.0) + np.maximum(value - high, 0.0)
    return float(np.mean(high - low + 20.0 * miss))


def _widening(forecast: Forecast) -> float:
    """Return the conformal factor: the 90 % point of |z| over the normal one."""
    n = forecast.z.size
    if n < FEWEST_FORECASTS:
        return 1.0
    size = np.sort(np.abs(forecast.z))
    rank = min(n - 1, int(np.ceil(NOMINAL * (n + 1))) - 1)
    return max(1.0, float(size[rank]) / _Z95)


def _mean_rate(forecast: Forecast) -> FloatArray:
    if not forecast.series.size:
        return np.zeros(1)
    return np.array([np.mean(forecast.past_rate)])


def _simple_score(forecast: Forecast, rate: FloatArray) -> float:
    """Return the interval score of "as last time, plus a common rate".

    Its interval has the declared noise of the two readings; nothing else is known to
    so simple a rule.
    """
    if not forecast.series.size:
        return 0.0
    centre = forecast.last_value + rate * forecast.gap
    half = _Z95 * np.sqrt(2.0) * forecast.noise
    return _interval_score(forecast.value, centre - half, centre + half)
