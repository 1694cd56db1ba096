"""Who takes steady readings: the scatter found, over the scatter declared.

Of three readings in a row of one mark, the middle one is compared with the straight
line between its neighbours. What it is off, over what the declared noise of all three
allows, should be about 1. The middle reading's inspector is credited with it.
"""

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy import stats

from monitor.store import Session
from monitor.store.frames import readings_frame, segments_frame

FEW = 30
"""Fewer compared readings than this are called few; common practice, no source."""

LEVEL = 0.05
_MIDDLE = float(stats.norm.ppf(0.75))
"""Median of the size of a standard normal number."""


@dataclass(frozen=True, slots=True)
class Reader:
    """How steadily one person, or one method, reads.

    Attributes
    ----------
    ratio, low, high : scatter found over declared, with 95 % bounds; bounds are None
        where there are too few supports
    is_unsteady : noisier than all the others together, for certain
    """

    name: str
    compared: int
    supports: int
    ratio: float
    low: float | None
    high: float | None
    is_unsteady: bool

    @property
    def is_few(self) -> bool:
        """Whether it is too few to compare with others."""
        return self.compared < FEW


def readers(session: Session, by: str) -> tuple[Reader, ...]:
    """Everyone's steadiness, the least steady first.

    Parameters
    ----------
    by : "inspector" or "method"
    """
    frame = readings_frame(session)
    return steadiness(triples(frame, segments_frame(session)), by)


def triples(frame: pd.DataFrame, segments: pd.DataFrame) -> pd.DataFrame:
    """The standardised miss of each reading between two others.

    Returns
    -------
    Columns support_id, inspector, method, miss (no unit); one row a middle reading.
    Readings on different sides of a restart are not compared, nor those below or above
    what the instrument shows, nor repeats of one look.
    """
    kept = frame[(frame["answer"] == "measured") & (frame["relation"] == "=")]
    kept = kept.drop_duplicates(["mark_id", "quantity", "inspected_on"])
    if len(kept) < 3:
        return pd.DataFrame(columns=["support_id", "inspector", "method", "miss"])
    series = pd.factorize(kept["mark_id"].astype(str) + kept["quantity"].astype(str))[0]
    days = np.array([on.toordinal() for on in kept["inspected_on"]], dtype=np.float64)
    order = np.lexsort((days, series))
    kept, series, days = kept.iloc[order], series[order], days[order]
    value = kept["value"].to_numpy(dtype=np.float64)
    variance = (
        sum(
            kept[name].to_numpy(dtype=np.float64) ** 2
            for name in ("sd_instrument", "sd_placement")
        )
        + kept["resolution"].to_numpy(dtype=np.float64) ** 2 / 12
    )
    run = _runs(kept, series, days, segments)
    same = (run[:-2] == run[1:-1]) & (run[1:-1] == run[2:])
    gap = days[2:] - days[:-2]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (days[1:-1] - days[:-2]) / gap
        line = value[:-2] * (1 - share) + value[2:] * share
        allowed = (
            variance[1:-1] + variance[:-2] * (1 - share) ** 2 + variance[2:] * share**2
        )
        miss = (value[1:-1] - line) / np.sqrt(allowed)
    good = same & np.isfinite(miss)
    middle = kept.iloc[1:-1]
    found: pd.DataFrame = middle.loc[good, ["support_id", "inspector", "method"]].copy()
    found["miss"] = miss[good]
    return found


def steadiness(found: pd.DataFrame, by: str) -> tuple[Reader, ...]:
    """The scatter of each group, with bounds from leaving out one support at a time.

    A group is unsteady if its scatter exceeds that of all the others by more than
    chance, Holm's rule over all groups.

    References
    ----------
    .. [1] S. Holm, A simple sequentially rejective multiple test procedure, Scand. J.
       Stat. 6 (1979), 65-70
    """
    names = sorted(set(found[by]) - {""})
    logs = {name: _log_scatter(found[found[by] == name]) for name in names}
    chances = {
        name: _chance(logs[name], _log_scatter(found[found[by] != name]))
        for name in names
    }
    certain = _holm(chances)
    made = [_reader(name, found[found[by] == name], logs[name]) for name in names]
    told = [
        Reader(
            r.name, r.compared, r.supports, r.ratio, r.low, r.high, r.name in certain
        )
        for r in made
    ]
    return tuple(sorted(told, key=lambda one: -one.ratio))


def _runs(
    kept: pd.DataFrame,
    series: np.ndarray,
    days: np.ndarray,
    segments: pd.DataFrame,
) -> np.ndarray:
    """A number for each stretch of a series between restarts."""
    starts: dict[object, list[int]] = defaultdict(list)
    for mark_id, on in zip(segments["mark_id"], segments["starts_on"], strict=True):
        starts[mark_id].append(on.toordinal())
    restarts = np.array(
        [
            sum(start <= on for start in starts.get(mark, ()))
            for mark, on in zip(kept["mark_id"], days, strict=True)
        ],
        dtype=np.int64,
    )
    return series.astype(np.int64) * 1000 + restarts


def _scatter(miss: np.ndarray) -> float:
    """Middling size of the misses, as a standard deviation would be."""
    return float(np.median(np.abs(miss))) / _MIDDLE


def _log_scatter(group: pd.DataFrame) -> tuple[float, float]:
    """Logarithm of the scatter and its standard error from grouped jackknife."""
    parts = [part["miss"].to_numpy() for _, part in group.groupby("support_id")]
    whole = _scatter(np.concatenate(parts)) if parts else 0.0
    if len(parts) < 5 or whole <= 0:
        return (math.log(whole) if whole > 0 else 0.0), math.inf
    blocks = [np.concatenate(parts[n::20]) for n in range(min(20, len(parts)))]
    count = len(blocks)
    left = np.array(
        [
            math.log(max(_scatter(np.concatenate(blocks[:n] + blocks[n + 1 :])), 1e-12))
            for n in range(count)
        ]
    )
    error = math.sqrt((count - 1) / count * float(((left - left.mean()) ** 2).sum()))
    return math.log(whole), max(error, 1e-6)


def _chance(one: tuple[float, float], rest: tuple[float, float]) -> float:
    """Of so much more scatter than the rest has, if it read like them."""
    error = math.hypot(one[1], rest[1])
    return float(stats.norm.sf((one[0] - rest[0]) / error)) if error < math.inf else 1.0


def _holm(chances: Mapping[str, float]) -> frozenset[str]:
    order: Sequence[str] = sorted(chances, key=lambda name: chances[name])
    certain = []
    for n, name in enumerate(order):
        if chances[name] > LEVEL / (len(order) - n):
            break
        certain.append(name)
    return frozenset(certain)


def _reader(name: str, group: pd.DataFrame, log: tuple[float, float]) -> Reader:
    middle, error = log
    half = 1.96 * error
    is_told = error < math.inf
    return Reader(
        name=name,
        compared=len(group),
        supports=int(group["support_id"].nunique()),
        ratio=_scatter(group["miss"].to_numpy()),
        low=math.exp(middle - half) if is_told else None,
        high=math.exp(middle + half) if is_told else None,
        is_unsteady=False,
    )
