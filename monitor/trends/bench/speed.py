"""How fast: against other libraries, and against summing the same numbers."""

import time
import tracemalloc
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
import pymannkendall  # type: ignore[import-untyped]
import statsmodels.api as sm  # type: ignore[import-untyped]
from scipy.stats import theilslopes
from statsmodels.tsa.statespace.structural import (  # type: ignore[import-untyped]
    UnobservedComponents,
)

from monitor.trends.bench.worlds import WORLDS, simulate
from monitor.trends.block import Fleet, batches, pack
from monitor.trends.codes import FloatArray
from monitor.trends.days import merge_days
from monitor.trends.filtered import filter_block
from monitor.trends.following import append, follow, settle
from monitor.trends.hyper import DEFAULT
from monitor.trends.outlook import THREADS, in_threads, outlooks
from monitor.trends.readings import Readings, Series, bounds

LENGTH: Final = 20
LOOPED: Final = 60
MEASURED: Final = 50_000


@dataclass(frozen=True, slots=True)
class Timing:
    """Wall and processor seconds for a task on some series.

    On a busy machine only the processor time says something.
    """

    name: str
    seconds: float
    cpu_seconds: float
    series: int

    @property
    def each_us(self) -> float:
        """Processor microseconds for each series."""
        return 1e6 * self.cpu_seconds / self.series


def timings(n: int, rng: np.random.Generator) -> list[Timing]:
    """Return the times of our own tasks on `n` series, and of per-series loops."""
    truth = simulate(WORLDS["real"], n, LENGTH + 2, rng)
    column = np.tile(np.arange(LENGTH + 2), n)
    everything, series = truth.readings(), truth.series()
    readings = everything.take(column < LENGTH)
    following = follow(readings, series)
    # The first one also loads the machine code.
    append(following, everything.take(column == LENGTH))
    new = everything.take(column == LENGTH + 1)
    own: list[tuple[str, Callable[[], object], int]] = [
        (
            "sum of times and values",
            lambda: (readings.t_years.sum(), readings.value.sum()),
            5,
        ),
        ("filter alone", lambda: _filter(readings, series), 3),
        ("full answer, robust weights on", lambda: outlooks(readings, series), 3),
    ]
    own += [
        ("append one reading to each", lambda: append(following, new), 1),
        ("judge doubtful series anew", lambda: settle(following), 1),
    ]
    out = [Timing(name, *_best(task, times), n) for name, task, times in own]
    t, y = truth.t[:LOOPED], truth.value[:LOOPED]
    return out + [_looped(name, one, (t, y)) for name, one in _LOOPS.items()]


def memory_ratio(rng: np.random.Generator) -> float:
    """Return peak memory of a full answer over the size of its inputs."""
    truth = simulate(WORLDS["real"], MEASURED, LENGTH, rng)
    readings, series = truth.readings(), truth.series()
    inputs = [getattr(readings, name).nbytes for name in Readings.__slots__]
    inputs += [getattr(series, name).nbytes for name in Series.__slots__]
    tracemalloc.start()
    outlooks(readings, series)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return float(peak) / float(sum(inputs))


_One = Callable[[FloatArray, FloatArray], object]


def _looped(name: str, one: _One, data: tuple[FloatArray, FloatArray]) -> Timing:
    def task() -> None:
        for t, y in zip(*data, strict=True):
            one(t, y)

    return Timing(name, *_best(task, 1), LOOPED)


def _filter(readings: Readings, series: Series) -> None:
    days = merge_days(readings)
    fleet = Fleet(days, series, *bounds(days.readings, series), DEFAULT)
    rows = batches(fleet, np.ones(len(series), dtype=np.bool_))
    in_threads(lambda index: filter_block(fleet, pack(fleet, index)), rows, THREADS)


def _best(task: Callable[[], object], repeats: int) -> tuple[float, float]:
    """Return the shortest of a few times, on the wall and of the processor. [s]"""
    wall, processor = [], []
    for _ in range(repeats):
        start, used = time.perf_counter(), time.process_time()
        task()
        wall.append(time.perf_counter() - start)
        processor.append(time.process_time() - used)
    return min(wall), min(processor)


def _components(t: FloatArray, y: FloatArray) -> object:
    return UnobservedComponents(y, "lltrend").fit(disp=False)


def _least_squares(t: FloatArray, y: FloatArray) -> object:
    return sm.OLS(y, sm.add_constant(t)).fit().params


_LOOPS: Final[dict[str, _One]] = {
    "statsmodels OLS": _least_squares,
    "scipy theilslopes": lambda t, y: theilslopes(y, t),
    "pymannkendall original_test": lambda t, y: pymannkendall.original_test(y),
    "statsmodels UnobservedComponents": _components,
}
