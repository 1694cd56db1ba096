"""The shared numbers of each group, fitted on its readings.

Noise numbers are where the likelihood of the filter, times weak priors, is largest;
regimes come from `pooling`; laws of movement are weighed by pooled likelihood. Meant
for the nightly job or on demand: seconds, not milliseconds.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

import numpy as np
from scipy.optimize import minimize
from scipy.special import digamma, polygamma

from monitor.trends.block import Fleet, pack
from monitor.trends.codes import FloatArray, IntArray, Law, LawSet, Refusal
from monitor.trends.days import merge_days
from monitor.trends.evidence import start_slopes
from monitor.trends.filter import IN_FULL, Trust, run
from monitor.trends.hyper import METHOD_VERSION, GroupHyper, Hyper
from monitor.trends.laws import LEAST_WEIGHT, PRIOR_LAW_WEIGHTS, floored, warp
from monitor.trends.pooling import PSEUDO_SERIES, Slopes, deconvolve, default_regimes
from monitor.trends.prior import prior_of
from monitor.trends.readings import Readings, Series, bounds, refusals
from monitor.trends.robust import inflated, trust

MOST_SERIES: Final = 1500
FEWEST_SERIES: Final = 6
EVALUATIONS: Final = 160
MANY_SERIES: Final = 100
_SLOPE_NOISES: Final = (0.0, 0.02, 0.05, 0.1, 0.2, 0.4)
_HAZARDS: Final = (0.02, 0.03, 0.05)
_CALM_HAZARD: Final = 0.001
"""Noise is fitted with hardly any change of slope, or changes would take its place."""

_OUTLIER_FREE: Final = 5.0


def fit(readings: Readings, series: Series, *, version: str = "") -> Hyper:
    """Return the shared numbers of every group that has series with two readings.

    Parameters
    ----------
    version : name of this set; empty: the method and the number of readings
    """
    bounds(readings, series)
    code = refusals(readings, series)
    usable = (code == Refusal.NONE) | (code == Refusal.LIMIT_MISSING)
    days = merge_days(readings.take(usable[readings.series]))
    begin, count = bounds(days.readings, series)
    name = version or f"{METHOD_VERSION}/fitted-{len(readings)}"
    fleet = Fleet(days, series, begin, count, Hyper(version=name))
    kinds = series.group * 2 + series.is_vector
    groups: dict[int, GroupHyper] = {}
    for kind in np.unique(kinds[count >= 2]):
        rows = np.flatnonzero((kinds == kind) & (count >= 2))
        groups[int(kind // 2)] = _fit_group(fleet, _thinned(rows))
    return Hyper(version=name, groups=MappingProxyType(groups))


@dataclass(frozen=True, slots=True)
class _Pool:
    """The series of one group, and which share each reading deserves."""

    fleet: Fleet
    rows: IntArray
    law: Law
    trusted: Trust

    def under(self, group: GroupHyper) -> Fleet:
        return replace(self.fleet, hyper=_hyper(self.fleet, group))


def _hyper(fleet: Fleet, group: GroupHyper) -> Hyper:
    return replace(fleet.hyper, default=group, groups=MappingProxyType({}))


def _thinned(rows: IntArray) -> IntArray:
    """Return evenly spread series where there are more than are needed."""
    if rows.size <= MOST_SERIES:
        return rows
    return rows[np.linspace(0, rows.size - 1, MOST_SERIES).astype(np.int64)]


def _fit_group(fleet: Fleet, rows: IntArray) -> GroupHyper:
    group = GroupHyper(series_count=int(rows.size))
    law_set = LawSet(int(fleet.series.law_set[rows[0]]))
    rows = rows[fleet.series.law_set[rows] == law_set]
    pool = _Pool(fleet, rows, Law.LINEAR, IN_FULL)
    group = _with_regimes(pool, group)
    pool = _trusting(pool, group)
    pool = replace(pool, law=_best_law(pool, group, law_set))
    group = _with_regimes(pool, group)
    long = int(np.sum(fleet.count[rows] > 2))
    if long >= FEWEST_SERIES:
        group = _with_noise(pool, group)
        pool = _trusting(pool, group)
        group = _with_regimes(pool, group)
        choices = [replace(group, slope_noise=value) for value in _SLOPE_NOISES]
        group = _best(pool, choices, _weak_slope_noise)
        choices = [replace(group, hazard=value) for value in _HAZARDS]
        group = _best(pool, choices, _weak_hazard)
        group = _with_noise_df(pool, group)
    return _with_laws(pool, group, law_set, long)


def _trusting(pool: _Pool, group: GroupHyper) -> _Pool:
    fleet = pool.under(group)
    block = pack(fleet, pool.rows)
    return replace(pool, trusted=trust(block, prior_of(fleet, block), fleet.hyper))


def _loglik(pool: _Pool, group: GroupHyper) -> float:
    """Return the log likelihood of all readings of the group."""
    fleet = pool.under(group)
    block = pack(fleet, pool.rows)
    done = run(block, prior_of(fleet, block), pool.law, fleet.hyper, pool.trusted)
    return float(np.sum(done.track.loglik))


def _with_regimes(pool: _Pool, group: GroupHyper) -> GroupHyper:
    """Return the group with regimes learnt from the slopes under the pool's law."""
    fleet = pool.under(group)
    block = pack(fleet, pool.rows)
    prior = prior_of(fleet, block)
    shares = pool.trusted.shares
    shares = shares if shares.size else np.ones(block.t.shape)
    warped = replace(block, t=warp(pool.law, block.t))
    value, variance = start_slopes(warped, prior, inflated(block, shares, fleet.hyper))
    known = np.isfinite(variance)
    series = fleet.series.take(pool.rows)
    sideless = bool(series.is_vector[0] or series.direction[0] == 0)
    start = default_regimes(
        float(np.median(block.scale)), one_way=bool(series.is_one_way[0])
    )
    slopes = Slopes(value[:, known], variance[known])
    found = deconvolve(slopes, start, sideless=sideless)
    return replace(
        group,
        weights=tuple(found.weight.tolist()),
        means=tuple(found.mean.tolist()),
        sds=tuple(found.sd.tolist()),
    )


def _with_noise(pool: _Pool, group: GroupHyper) -> GroupHyper:
    """Return the group with the likeliest noise numbers, by a simplex search."""

    def of(point: FloatArray) -> GroupHyper:
        noise, drift, spread = (float(v) for v in np.exp(np.clip(point[:3], -7, 3)))
        return replace(
            group,
            hazard=_CALM_HAZARD,
            noise=noise,
            drift_noise=drift,
            season_spread=spread,
            season_cos=float(point[3]),
            season_sin=float(point[4]),
        )

    def cost(point: FloatArray) -> float:
        return -_loglik(pool, of(point)) - _log_prior(point)

    start = np.array([0.0, np.log(0.2), np.log(0.3), 0.0, 0.0])
    simplex = start + np.vstack((np.zeros(5), np.diag([0.2, 0.7, 0.6, 0.4, 0.4])))
    found = minimize(
        cost,
        start,
        method="Nelder-Mead",
        options={
            "maxfev": EVALUATIONS,
            "initial_simplex": simplex,
            "xatol": 0.01,
            "fatol": 0.05,
        },
    )
    return replace(of(found.x), hazard=group.hazard)


def _log_prior(point: FloatArray) -> float:
    """Return weak log-normal and normal priors; medians from practice, no source."""
    centre = np.array([0.0, -1.5, -1.0, 0.0, 0.0])
    sd = np.array([0.15, 0.9, 0.7, 0.5, 0.5])
    return float(-0.5 * np.sum(((point - centre) / sd) ** 2))


def _best(
    pool: _Pool, choices: list[GroupHyper], weak: Callable[[GroupHyper], float]
) -> GroupHyper:
    """Return the choice with the largest likelihood times weak prior."""
    marks = [_loglik(pool, choice) + weak(choice) for choice in choices]
    return choices[int(np.argmax(marks))]


def _weak_slope_noise(group: GroupHyper) -> float:
    return float(-0.5 * ((np.log(max(group.slope_noise, 0.01)) + 3.5) / 1.5) ** 2)


def _weak_hazard(group: GroupHyper) -> float:
    return float(-0.5 * (np.log(group.hazard / 0.02) / 0.7) ** 2)


def _with_noise_df(pool: _Pool, group: GroupHyper) -> GroupHyper:
    """Return the group with the spread of noise over its series.

    Matching the variance of the log variances (Smyth 2004, from memory), with twenty
    pseudo-series of the default.
    """
    calm = replace(group, noise_df=np.inf)
    fleet = pool.under(calm)
    block = pack(fleet, pool.rows)
    track = run(
        block, prior_of(fleet, block), pool.law, fleet.hyper, pool.trusted
    ).track
    seen = track.counted >= _OUTLIER_FREE
    default = float(polygamma(1, GroupHyper().noise_df / 2.0))
    if np.sum(seen) < FEWEST_SERIES:
        return group
    half = track.counted[seen] / 2.0
    ratio = np.maximum(track.surprise[seen] / track.counted[seen], 1e-3)
    log_variance = np.log(ratio) - digamma(half) + np.log(half)
    excess = float(np.var(log_variance) - np.mean(polygamma(1, half)))
    n = half.size
    blended = (n * max(excess, 0.0) + PSEUDO_SERIES * default) / (n + PSEUDO_SERIES)
    return replace(group, noise_df=2.0 * _inverse_trigamma(max(blended, 0.01)))


def _inverse_trigamma(value: float) -> float:
    """Return x with trigamma(x) = value, by Newton's steps (Smyth 2004)."""
    x = 0.5 + 1.0 / value
    for _ in range(20):
        tri = float(polygamma(1, x))
        x += tri * (1.0 - tri / value) / float(polygamma(2, x))
    return x


def _law_marks(pool: _Pool, group: GroupHyper, law_set: LawSet) -> dict[Law, float]:
    """Return the log likelihood of the readings under each law."""
    marks = {}
    for law in PRIOR_LAW_WEIGHTS[law_set]:
        under = replace(pool, law=law)
        marks[law] = _loglik(under, _with_regimes(under, group))
    return marks


def _best_law(pool: _Pool, group: GroupHyper, law_set: LawSet) -> Law:
    marks = _law_marks(pool, group, law_set)
    return max(marks, key=lambda law: marks[law])


def _with_laws(
    pool: _Pool, group: GroupHyper, law_set: LawSet, long: int
) -> GroupHyper:
    """Return the group with a weight for each law, the dangerous one never dropped."""
    prior = PRIOR_LAW_WEIGHTS[law_set]
    if len(prior) == 1:
        return group
    marks = _law_marks(pool, group, law_set)
    top = max(marks.values())
    raw = {law: np.array(prior[law] * np.exp(marks[law] - top)) for law in prior}
    total = sum(raw.values())
    least = LEAST_WEIGHT if long < MANY_SERIES else 0.0
    shares = floored({law: w / total for law, w in raw.items()}, law_set, least)
    kept = {law: float(w) for law, w in shares.items() if w > 1e-4}
    whole = sum(kept.values())
    return replace(
        group, laws=MappingProxyType({law: w / whole for law, w in kept.items()})
    )
