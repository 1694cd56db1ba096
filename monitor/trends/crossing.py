"""When a limit is reached, with what chance, and how likely it is passed already.

The chance that the level lies beyond the limit after D years is a sum over regimes;
a regime may also end in that time and a new slope begin (three moments of change
stand for all). The running maximum over D is the chance of having reached the limit.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from monitor.trends.block import Block
from monitor.trends.codes import BoolArray, FloatArray, Law
from monitor.trends.prior import (
    Prior,
)
from monitor.trends.reach import FIRST_YEARS, QUANTILES, Ahead, cross_all
from monitor.trends.readings import Series
from monitor.trends.track import (
    Track,
)

GRID: Final = 13


@dataclass(frozen=True, slots=True)
class Path:
    """Where a series stands today under one law, and what it may do next.

    Parameters
    ----------
    track : state today
    prior : what a new slope would be drawn from
    law : law of movement
    now : age today [yr]
    stretch : factor on variances: small samples and the self-audit
    share : probability of the law, shape (N,)
    """

    track: Track
    prior: Prior
    law: Law
    now: FloatArray
    stretch: FloatArray
    share: FloatArray


@dataclass(frozen=True, slots=True)
class Target:
    """A limit in the coordinates of a block.

    Parameters
    ----------
    level : limit [unit]: a level, or a radius about `centre`
    centre : centre of the radius, shape (A, N); zero for a level
    is_radius : whether leaving on either side counts
    """

    level: FloatArray
    centre: FloatArray
    is_radius: BoolArray


def target(block: Block, series: Series, limit: FloatArray) -> Target:
    """Return a limit of the block's series in the block's coordinates."""
    radius = series.is_vector | (series.direction == 0)
    given = np.stack((series.centre * block.sign, series.centre_y))[: len(block.base)]
    centre = np.where(np.isnan(given), 0.0, given - block.base)
    level = np.where(radius, limit, limit * block.sign - block.base[0])
    return Target(level, np.where(radius, centre, 0.0), radius)


def crossing_years(
    paths: list[Path], aims: list[Target], horizon_years: float
) -> list[tuple[FloatArray, FloatArray]]:
    """Return, for each limit, the 5, 50, 95 % times and the chance of today.

    Returns
    -------
    list of (years, chance) : years from today [yr], shape (3, N); infinite where the
        chance within the horizon stays below the quantile, 0 where it is already met
    """
    n = paths[0].now.size
    grid = np.concatenate(([0.0], np.geomspace(FIRST_YEARS, horizon_years, GRID)))
    results = []
    for aim in aims:
        years, beyond = np.empty((len(QUANTILES), n)), np.empty(n)
        cross_all(_ahead(paths, aim), grid, years, beyond)
        results.append((years, beyond))
    return results


def _ahead(paths: list[Path], aim: Target) -> Ahead:
    first = paths[0]
    return Ahead(
        np.stack([path.track.state for path in paths]),
        np.stack([path.share for path in paths]),
        np.stack([path.stretch for path in paths]),
        np.array([int(path.law) for path in paths]),
        first.now,
        first.prior.table,
        first.prior.walk,
        aim.level,
        aim.centre[0],
        aim.centre[-1],
        aim.is_radius,
        first.track.axes,
    )
