"""How thick a wall still is: the law of corrosion, corrected by thickness readings.

Before any reading the wall follows ISO 9224 with the first-year rate of the site. Each
reading updates two unknowns at once, the wall as new and the first-year rate; the
exponent stays fixed, because a few readings can not tell it. The update is the ordinary
Gaussian one (a two-line linear regression with a prior), derived in closed form, then
cut at rate zero: metal does not grow. Where readings and law disagree, readings win.

All inputs may be arrays, one row a member; readings lie along the last axis.

References
----------
.. [1] Gelman et al., Bayesian Data Analysis, 3rd ed., section 14.8 (linear regression
   with a Gaussian prior); Johnson, Kotz, Balakrishnan, Continuous Univariate
   Distributions vol. 1, section 13.10 (moments of the truncated normal).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr

from monitor.errors import InvalidInput
from monitor.mechanics.corrosion import LAW_FORM, multiplier, years_for
from monitor.mechanics.guard import Array, Floats, not_negative, plain, positive
from monitor.mechanics.screening import Z90, Interval, Screening

METHOD = f"{LAW_FORM}; first-year rate and new wall updated by thickness readings"
_READ_TOO_THICK = (
    "Readings alone would mean that metal grew; gauges read too thick on rough or "
    "painted steel. Needed: a reading on flattened, clean steel."
)
_NO_READING = "No thickness reading yet: the loss is the average of a site category."


@dataclass(frozen=True, slots=True, eq=False)
class WallPrior:
    """What is believed before any reading.

    Parameters
    ----------
    wall_mm : wall as new, and how sure [mm]
    rate_um : first-year loss of bare steel, and how sure [um/y]
    exponent : exponent of ISO 9224
    """

    wall_mm: Floats
    wall_sd_mm: Floats
    rate_um: Floats
    rate_sd_um: Floats
    exponent: Floats


@dataclass(frozen=True, slots=True, eq=False)
class WallReadings:
    """Thickness readings along the last axis; NaN where there is none.

    Parameters
    ----------
    years : years of bare exposure at each reading [y]
    wall_mm : thickness read [mm]
    noise_mm : standard deviation of one reading, on that surface [mm]
    """

    years: Array
    wall_mm: Array
    noise_mm: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WallState(Screening):
    """What is believed after the readings; the two unknowns and their spread."""

    wall_mm: Floats
    rate_um: Floats
    wall_var_mm2: Floats
    rate_var_um2: Floats
    cov_mm_um: Floats
    exponent: Floats
    reading_count: Floats
    read_too_thick: NDArray[np.bool_]


def rate_prior_um(low_um: Floats, high_um: Floats) -> tuple[Floats, Floats]:
    """Return mean and spread of the first-year rate of a category band. [um/y]

    The band is read as the middle nine tenths of a lognormal (own choice). A band that
    starts at zero is read from a tenth of its upper end.
    """
    high = positive("upper end of the band", high_um, "um/y")
    low = not_negative("lower end of the band", low_um, "um/y")
    low = np.where(low > 0.0, low, high / 10.0)
    if np.any(low > high):
        raise InvalidInput("The band of first-year rates is upside down.")
    spread = np.log(high / low) / (2.0 * Z90)
    mean = np.sqrt(low * high) * np.exp(spread**2 / 2.0)
    return plain(mean), plain(mean * np.sqrt(np.expm1(spread**2)))


def update_wall(prior: WallPrior, readings: WallReadings) -> WallState:
    """Return the wall as new and the first-year rate after the readings."""
    grown = _gaussian(prior, readings)
    wall, rate, wall_var, rate_var, cov = _cut_at_zero(grown)
    count = np.isfinite(np.asarray(readings.wall_mm)).sum(axis=-1).astype(np.float64)
    too_thick = np.asarray(grown[1] <= 0.0)
    missing = (_NO_READING,) if np.any(count == 0.0) else ()
    return WallState(
        method=METHOD,
        assumed=("The exponent of the law holds at this spot.",),
        missing=missing + ((_READ_TOO_THICK,) if too_thick.any() else ()),
        wall_mm=plain(wall),
        rate_um=plain(rate),
        wall_var_mm2=plain(wall_var),
        rate_var_um2=plain(rate_var),
        cov_mm_um=plain(cov),
        exponent=prior.exponent,
        reading_count=plain(count),
        read_too_thick=too_thick,
    )


def remaining_wall_mm(state: WallState, years: Floats) -> Interval:
    """Return the wall after so many years of bare exposure, 5 % to 95 %. [mm]"""
    g = np.asarray(multiplier(years, state.exponent)) / 1000.0
    middle = np.asarray(state.wall_mm) - g * state.rate_um
    spread = state.wall_var_mm2 + g**2 * state.rate_var_um2 - 2.0 * g * state.cov_mm_um
    reach = Z90 * np.sqrt(np.maximum(spread, 0.0))
    low, high = np.maximum(middle - reach, 0.0), np.maximum(middle + reach, 0.0)
    return Interval(plain(low), plain(np.maximum(middle, 0.0)), plain(high))


def years_until_wall(state: WallState, limit_mm: Floats) -> Interval:
    """Return the years of bare exposure until the wall is down to a limit. [y]

    `low` is the earliest credible age (5 %), `high` the latest; infinite where the
    readings can not exclude a rate of nothing. The bounds are those ages at which the
    interval of `remaining_wall_mm` touches the limit: roots of a quadratic, by hand.
    """
    spare = np.asarray(state.wall_mm) - not_negative("limit", limit_mm, "mm")
    k = np.asarray(state.rate_um) / 1000.0
    vw, vk = np.asarray(state.wall_var_mm2), np.asarray(state.rate_var_um2) / 1e6
    cov = np.asarray(state.cov_mm_um) / 1000.0
    a, b, c = k**2 - Z90**2 * vk, spare * k - Z90**2 * cov, spare**2 - Z90**2 * vw
    root = np.sqrt(np.maximum(b**2 - a * c, 0.0))
    with np.errstate(divide="ignore", invalid="ignore"):
        early = np.where((spare > 0.0) & (c > 0.0), c / (b + root), 0.0)
        late = np.where(a > 0.0, np.maximum((b + root) / a, 0.0), np.inf)
    middle = np.maximum(spare, 0.0) / k
    ages = (years_for(m, state.exponent) for m in (early, middle, late))
    return Interval(*ages)


def pit_depth_um(mean_loss_um: Floats) -> tuple[Floats, Floats]:
    """Return how deep pits may be when nobody measured them. [um]

    Two to four times the mean loss on bare steel (from memory), more in crevices. For
    perforation only; buckling goes by the mean loss.
    """
    mean = not_negative("mean loss", mean_loss_um, "um")
    return plain(2.0 * mean), plain(4.0 * mean)


def left_under_pit_mm(wall_mm: Floats, pit_um: Floats) -> Floats:
    """Return what is left beneath the deepest pit; zero is a hole. [mm]

    Parameters
    ----------
    wall_mm : wall beside the pit [mm]
    pit_um : depth of the deepest pit below that surface [um]
    """
    wall = not_negative("wall", wall_mm, "mm")
    pit = not_negative("pit depth", pit_um, "um")
    return plain(np.maximum(wall - pit / 1000.0, 0.0))


def checked_wall_mm(read_mm: Floats, new_mm: Floats, noise_mm: Floats) -> Floats:
    """Return a measured wall; refuse zero and what is clearly thicker than new. [mm]

    Thicker than new by more than three times the noise is not believed: rust, paint
    or the wrong spot was measured.
    """
    read = positive("measured wall", read_mm, "mm")
    new = positive("wall as new", new_mm, "mm")
    excess = read - new - 3.0 * positive("noise", noise_mm, "mm")
    if np.any(excess > 0.0):
        raise InvalidInput(
            f"A wall of {read.max():g} mm is thicker than the {new.max():g} mm as "
            "new; measure again on clean steel, or mend the wall as new.",
            field="measured wall",
        )
    return plain(read)


Moments = tuple[Array, Array, Array, Array, Array]


def _gaussian(prior: WallPrior, readings: WallReadings) -> Moments:
    """Return mean wall, mean rate, their variances and covariance, before the cut."""
    w0 = positive("wall as new", prior.wall_mm, "mm")
    k0 = positive("first-year rate", prior.rate_um, "um/y")
    pw = 1.0 / positive("wall spread", prior.wall_sd_mm, "mm") ** 2
    pk = 1.0 / positive("rate spread", prior.rate_sd_um, "um/y") ** 2
    y = np.asarray(readings.wall_mm, dtype=np.float64)
    there = np.isfinite(y) & np.isfinite(readings.years)
    b = np.asarray(prior.exponent, dtype=np.float64)[..., np.newaxis]
    g = -np.asarray(multiplier(np.where(there, readings.years, 0.0), b)) / 1000.0
    weight = there / positive("noise", readings.noise_mm, "mm") ** 2
    y = np.where(there, y, 0.0)
    a11 = pw + weight.sum(axis=-1)
    a12 = (weight * g).sum(axis=-1)
    a22 = pk + (weight * g**2).sum(axis=-1)
    b1 = pw * w0 + (weight * y).sum(axis=-1)
    b2 = pk * k0 + (weight * g * y).sum(axis=-1)
    det = a11 * a22 - a12**2
    wall, rate = (a22 * b1 - a12 * b2) / det, (a11 * b2 - a12 * b1) / det
    return wall, rate, a22 / det, a11 / det, -a12 / det


def _cut_at_zero(moments: Moments) -> Moments:
    """Return the moments given that the rate is above zero."""
    wall, rate, wall_var, rate_var, cov = moments
    alpha = -rate / np.sqrt(rate_var)
    hazard = np.exp(-0.5 * alpha**2 - log_ndtr(-alpha)) / np.sqrt(2.0 * np.pi)
    cut_rate = rate + np.sqrt(rate_var) * hazard
    cut_var = rate_var * np.maximum(1.0 + alpha * hazard - hazard**2, 1e-6)
    slope = cov / rate_var
    return (
        wall + slope * (cut_rate - rate),
        np.maximum(cut_rate, 1e-9),
        wall_var - slope**2 * (rate_var - cut_var),
        cut_var,
        slope * cut_var,
    )
