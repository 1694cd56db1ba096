"""What the analysis is given: readings, series, and what it checks before it starts."""

from dataclasses import dataclass, fields
from typing import Final, Self

import numpy as np

from monitor.errors import InvalidInput
from monitor.trends.codes import BoolArray, FloatArray, IntArray, Refusal

LARGEST: Final = 1e12
"""Nothing larger is a reading of anything; its square could not be reckoned with."""

_NUMBERS: Final = (
    "t_years", "value", "sd_instrument", "sd_placement", "resolution", "season",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Readings:
    """All readings of a fleet, flat, sorted by series and then by time.

    Parameters
    ----------
    series : index of the series each reading belongs to, 0 .. number of series - 1
    t_years : time since the member was installed or its load came on [yr]
    value : the reading in its canonical unit; the x component of a vector
    value_y : the y component of a vector, NaN for other readings
    sd_instrument, sd_placement : standard deviations of the two noises [unit]
    resolution : smallest step of the scale [unit]
    relation : -1 "less than", 0 equal, +1 "more than" the value
    instrument : code of the instrument; a change inside a series is an offset
    season : fraction of the calendar year at which it was read, 0 .. 1
    """

    series: IntArray
    t_years: FloatArray
    value: FloatArray
    value_y: FloatArray
    sd_instrument: FloatArray
    sd_placement: FloatArray
    resolution: FloatArray
    relation: IntArray
    instrument: IntArray
    season: FloatArray

    def __post_init__(self) -> None:
        _require_equal_lengths(self)

    def __len__(self) -> int:
        return int(self.series.size)

    @classmethod
    def simple(
        cls, series: IntArray, t_years: FloatArray, value: FloatArray, sd: FloatArray
    ) -> Self:
        """Return scalar readings of one instrument whose whole noise is `sd` [unit]."""
        n = series.size
        zero, none = np.zeros(n), np.zeros(n, dtype=np.int64)
        return cls(
            series=np.asarray(series, dtype=np.int64),
            t_years=np.asarray(t_years, dtype=np.float64),
            value=np.asarray(value, dtype=np.float64),
            value_y=np.full(n, np.nan),
            sd_instrument=np.broadcast_to(np.asarray(sd, dtype=np.float64), n).copy(),
            sd_placement=zero,
            resolution=zero,
            relation=none,
            instrument=none,
            season=zero,
        )

    def take(self, index: IntArray | BoolArray) -> Self:
        """Return the chosen readings, in the given order."""
        return type(self)(
            **{f.name: getattr(self, f.name)[index] for f in fields(self)}
        )


@dataclass(frozen=True, slots=True)
class Series:
    """What is known of each series beside its readings; one entry per series.

    A segment between recorded works is a series of its own. Limits are levels of the
    reading itself when `direction` is +1 or -1, and a distance from `centre` (a
    radius) when it is 0 or the series is a vector.

    Parameters
    ----------
    group : code of the pool: quantity x kind of member
    watch, act : limits [unit]; NaN where there is none
    direction : +1 harmful upwards, -1 harmful downwards, 0 both ways
    is_vector : the reading has two components (tilt)
    is_one_way : the quantity can only move in the harmful direction
    floor, ceiling : physical bounds of the quantity [unit], infinite if none
    now_years : age today, on the clock of `t_years` [yr]
    season_now : fraction of the calendar year today
    law_set : code of the laws of movement allowed, see `LawSet`
    scale : usual distance from a healthy baseline to the act limit [unit]; NaN takes
        the distance from the first reading
    centre, centre_y : baseline of a radius [unit]; NaN takes the first reading
    carried_rate, carried_rate_y, carried_sd : slope known from the segment before
        [unit/yr]; NaN if none
    max_interval_years : the duty-holder's own longest interval [yr]
    first_gap_years : longest gap while there are three readings or fewer [yr]
    """

    group: IntArray
    watch: FloatArray
    act: FloatArray
    direction: IntArray
    is_vector: BoolArray
    is_one_way: BoolArray
    floor: FloatArray
    ceiling: FloatArray
    now_years: FloatArray
    season_now: FloatArray
    law_set: IntArray
    scale: FloatArray
    centre: FloatArray
    centre_y: FloatArray
    carried_rate: FloatArray
    carried_rate_y: FloatArray
    carried_sd: FloatArray
    max_interval_years: FloatArray
    first_gap_years: FloatArray

    def __post_init__(self) -> None:
        _require_equal_lengths(self)

    def __len__(self) -> int:
        return int(self.group.size)

    @classmethod
    def simple(cls, act: FloatArray, now_years: FloatArray) -> Self:
        """Return scalar series, harmful upwards, with one limit and a steady law."""
        act = np.asarray(act, dtype=np.float64)
        n = act.size
        none, zero = np.full(n, np.nan), np.zeros(n, dtype=np.int64)
        no = np.zeros(n, dtype=np.bool_)
        return cls(
            group=zero,
            watch=none,
            act=act,
            direction=zero + 1,
            is_vector=no,
            is_one_way=no,
            floor=np.full(n, -np.inf),
            ceiling=np.full(n, np.inf),
            now_years=np.broadcast_to(np.asarray(now_years, np.float64), n).copy(),
            season_now=np.zeros(n),
            law_set=zero,
            scale=none,
            centre=none,
            centre_y=none,
            carried_rate=none,
            carried_rate_y=none,
            carried_sd=none,
            max_interval_years=np.full(n, 3.0),
            first_gap_years=np.full(n, 1.0),
        )

    def take(self, index: IntArray | BoolArray) -> Self:
        """Return the chosen series, in the given order."""
        return type(self)(
            **{f.name: getattr(self, f.name)[index] for f in fields(self)}
        )


def bounds(readings: Readings, series: Series) -> tuple[IntArray, IntArray]:
    """Return the first reading and the number of readings of each series.

    Raises
    ------
    InvalidInput
        if the readings are not sorted by series or name a series that is not given
    """
    index = readings.series
    if index.size and (index[0] < 0 or index[-1] >= len(series)):
        message = "A reading belongs to a series that is not given; check the indices."
        raise InvalidInput(message, field="series")
    if np.any(np.diff(index) < 0):
        message = "Readings are not sorted by series; sort by series, then by time."
        raise InvalidInput(message, field="series")
    count = np.bincount(index, minlength=len(series)).astype(np.int64)
    return np.concatenate(([0], np.cumsum(count)[:-1])).astype(np.int64), count


def refusals(readings: Readings, series: Series) -> IntArray:
    """Return the refusal code of each series as far as its input alone decides it."""
    index, n = readings.series, len(series)
    code = np.zeros(n, dtype=np.int64)
    vector = series.is_vector[index] if len(readings) else np.zeros(0, dtype=np.bool_)
    code[np.isnan(series.watch) & np.isnan(series.act)] = Refusal.LIMIT_MISSING
    variance = readings.sd_instrument**2 + readings.sd_placement**2
    code[index[variance + readings.resolution**2 <= 0.0]] = Refusal.NOISE_MISSING
    same = index[1:] == index[:-1]
    code[index[1:][same & (np.diff(readings.t_years) < 0.0)]] = Refusal.TIME_ORDER
    finite = _is_number(readings.value_y) | ~vector
    for name in _NUMBERS:
        finite &= _is_number(getattr(readings, name))
    code[index[~finite]] = Refusal.NOT_FINITE
    limits = np.nan_to_num(np.stack((series.watch, series.act)), posinf=np.inf)
    sound = _is_number(series.now_years) & np.all(_is_number(limits), axis=0)
    code[~sound] = Refusal.NOT_FINITE
    code[np.bincount(index, minlength=n) == 0] = Refusal.NO_READINGS
    return code


def _is_number(values: FloatArray) -> BoolArray:
    return np.abs(values) <= LARGEST


def _require_equal_lengths(columns: Readings | Series) -> None:
    sizes = {f.name: getattr(columns, f.name).size for f in fields(columns)}
    if len(set(sizes.values())) > 1:
        message = f"Columns differ in length: {sizes}; give one entry for each."
        raise InvalidInput(message, field=min(sizes, key=lambda name: sizes[name]))
