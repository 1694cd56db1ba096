"""New readings in the coordinates of their blocks, one series after the other."""

import math
from typing import NamedTuple, Self

import numpy as np

from monitor.trends.block import Block
from monitor.trends.codes import BoolArray, FloatArray, IntArray
from monitor.trends.compiled import compiled
from monitor.trends.days import MOST_READINGS, SAME_DAY_YEARS
from monitor.trends.readings import Readings


class Scale(NamedTuple):
    """What turns a new reading of each series into the coordinates of its block.

    Parameters
    ----------
    noise2 : found / declared noise variance
    spread : variance of the season's own part [unit^2]
    season_cos, season_sin : season of the fleet [unit]
    """

    noise2: FloatArray
    spread: FloatArray
    season_cos: FloatArray
    season_sin: FloatArray

    def columns(self, chosen: IntArray) -> Self:
        """Return the chosen series."""
        return type(self)(*(values[chosen] for values in self))


class Before(NamedTuple):
    """The newest reading of each series, its instrument and how many there are."""

    t: FloatArray
    instrument: IntArray
    sd_instrument: FloatArray
    past: IntArray
    suspect: BoolArray


class Row(NamedTuple):
    """New readings as one row below a block, see `Block`.

    Parameters
    ----------
    y : shape (A, N)
    goes_on : series that one step of the filter can carry on
    """

    t: FloatArray
    y: FloatArray
    variance: FloatArray
    jump: FloatArray
    instrument: IntArray
    sd_instrument: FloatArray
    goes_on: BoolArray


class _New(NamedTuple):
    t: FloatArray
    value: FloatArray
    value_y: FloatArray
    sd_instrument: FloatArray
    sd_placement: FloatArray
    resolution: FloatArray
    relation: IntArray
    instrument: IntArray
    season: FloatArray


def arrived(
    block: Block, scale: Scale, before: Before, given: tuple[Readings, IntArray]
) -> Row:
    """Return the new readings as a row.

    Parameters
    ----------
    given : new readings, and the place in them of each series' own
    """
    new, at = given
    n, axes = at.size, len(block.base)
    columns = _New(
        new.t_years,
        new.value,
        new.value_y,
        new.sd_instrument,
        new.sd_placement,
        new.resolution,
        new.relation,
        new.instrument,
        new.season,
    )
    row = Row(
        np.empty(n),
        np.empty((axes, n)),
        np.empty(n),
        np.empty(n),
        np.empty(n, dtype=np.int64),
        np.empty(n),
        np.empty(n, dtype=np.bool_),
    )
    _arrive_all((columns, at), (block.base, block.sign), scale, before, row)
    return row


@compiled
def _arrive_all(
    given: tuple[_New, IntArray],
    turned: tuple[FloatArray, FloatArray],
    scale: Scale,
    before: Before,
    row: Row,
) -> None:
    new, at = given
    base, sign = turned
    for i in range(at.size):
        j = at[i]
        own, other = new.sd_instrument[j], before.sd_instrument[i]
        swing = 0.0
        if scale.season_cos[i] != 0.0 or scale.season_sin[i] != 0.0:
            angle = 2.0 * math.pi * new.season[j]
            swing = scale.season_cos[i] * math.cos(angle)
            swing += scale.season_sin[i] * math.sin(angle)
        row.t[i] = new.t[j]
        row.y[0, i] = (new.value[j] - swing) * sign[i] - base[0, i]
        if len(base) > 1:
            row.y[1, i] = (new.value_y[j] - swing) * sign[i] - base[1, i]
        noise = own**2 + new.sd_placement[j] ** 2 + new.resolution[j] ** 2 / 12.0
        row.variance[i] = noise * scale.noise2[i] + scale.spread[i]
        changed = new.instrument[j] != before.instrument[i]
        row.jump[i] = own**2 + other**2 if changed else 0.0
        row.instrument[i], row.sd_instrument[i] = new.instrument[j], own
        plain = not before.suspect[i] and new.relation[j] == 0
        plain = plain and before.past[i] < MOST_READINGS and noise > 0.0
        plain = plain and new.t[j] - before.t[i] > SAME_DAY_YEARS
        known = row.y[0, i] + row.y[-1, i] + new.season[j] + row.variance[i]
        row.goes_on[i] = plain and math.isfinite(known)
