"""The outlook of every series of a fleet: the one call others make."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, fields
from types import MappingProxyType
from typing import Final, Self, TypeVar

import numpy as np

from monitor.trends.assemble import ASKED_OF_A_DOUBT, BlockOutlook, assess_block
from monitor.trends.block import Fleet, batches, pack
from monitor.trends.codes import BoolArray, FloatArray, IntArray, Refusal
from monitor.trends.compiled import compiled
from monitor.trends.days import merge_days
from monitor.trends.evidence import evidence_words
from monitor.trends.hyper import DEFAULT, Hyper
from monitor.trends.look import Standing, look_again
from monitor.trends.readings import Readings, Series, bounds, refusals

THREADS: Final = 2


@dataclass(frozen=True, slots=True)
class Outlooks:
    """What the readings say of each of N series; M readings in all.

    Rows of the (3, N) arrays are the 5, 50 and 95 % values. Missing numbers are NaN
    and `refusal` says why; a date is NaN, too, where its limit was not given.

    Parameters
    ----------
    refusal : code of `Refusal`, 0 if nothing is missing
    readings : readings that entered (one per day), shape (N,)
    first_years, last_years : times of the first and newest reading [yr]
    level : level today [unit]; of a vector, the way from the centre
    rate : change per year today [unit/yr]; of a vector, along its own direction
    next_now, next_year : the reading to expect today and in a year [unit]
    level_xy, rate_xy : mean level and rate by component, shape (2, N); y is 0 for
        a scalar
    classes : probabilities of still, moving, fast, broad, shape (4, N)
    evidence : e-value of movement, at most 1e12
    evidence_word : code of `EvidenceWord`
    watch_years, act_years : years from today until the limit is reached; 0 already,
        infinite not within the horizon, shape (3, N)
    watch_beyond, act_beyond : chance that the level is beyond the limit today
    newest_unconfirmed : the newest reading does not fit and wants repeating
    newest_z : standardised error of the newest reading
    level_if_right, rate_if_right, watch_years_if_right, act_years_if_right : as level,
        rate and years above, should a doubted newest reading be right; NaN where it
        is not doubted, shape (3, N)
    spread : found / stated noise variance of the series
    step_years : time of the reading after the likeliest unrecorded jump [yr]
    step_size : its size [unit]
    step_evidence : e-value of a jump, 1 where none was looked for
    look_years : years from today to the next look, below 0 if owed since then
    look_rule : code of `LookRule`
    weight, z : share and standardised error of every reading as given, shape (M,)
    version : of the numbers used
    """

    refusal: IntArray
    readings: IntArray
    first_years: FloatArray
    last_years: FloatArray
    level: FloatArray
    rate: FloatArray
    next_now: FloatArray
    next_year: FloatArray
    level_xy: FloatArray
    rate_xy: FloatArray
    classes: FloatArray
    evidence: FloatArray
    evidence_word: IntArray
    watch_years: FloatArray
    act_years: FloatArray
    watch_beyond: FloatArray
    act_beyond: FloatArray
    newest_unconfirmed: BoolArray
    newest_z: FloatArray
    level_if_right: FloatArray
    rate_if_right: FloatArray
    watch_years_if_right: FloatArray
    act_years_if_right: FloatArray
    spread: FloatArray
    step_years: FloatArray
    step_size: FloatArray
    step_evidence: FloatArray
    look_years: FloatArray
    look_rule: IntArray
    weight: FloatArray
    z: FloatArray
    version: str

    def __len__(self) -> int:
        return int(self.refusal.size)

    def one(self, index: int) -> "Outlook":
        """Return the outlook of one series as plain Python numbers."""
        return Outlook.of(self, index)


@dataclass(frozen=True, slots=True)
class Outlook:
    """The outlook of one series in plain numbers; triples are 5, 50 and 95 %.

    The names mean the same as in `Outlooks`.
    """

    refusal: int
    readings: int
    first_years: float
    last_years: float
    level: tuple[float, float, float]
    rate: tuple[float, float, float]
    next_now: tuple[float, float, float]
    next_year: tuple[float, float, float]
    level_xy: tuple[float, float]
    rate_xy: tuple[float, float]
    classes: tuple[float, float, float, float]
    evidence: float
    evidence_word: int
    watch_years: tuple[float, float, float]
    act_years: tuple[float, float, float]
    watch_beyond: float
    act_beyond: float
    newest_unconfirmed: bool
    newest_z: float
    level_if_right: tuple[float, float, float]
    rate_if_right: tuple[float, float, float]
    watch_years_if_right: tuple[float, float, float]
    act_years_if_right: tuple[float, float, float]
    spread: float
    step_years: float
    step_size: float
    step_evidence: float
    look_years: float
    look_rule: int
    version: str

    @classmethod
    def of(cls, all_of_them: Outlooks, index: int) -> Self:
        """Return series `index` of the given outlooks."""
        plain: dict[str, object] = {"version": all_of_them.version}
        for name in (f.name for f in fields(cls) if f.name != "version"):
            values = getattr(all_of_them, name)[..., index].tolist()
            plain[name] = tuple(values) if isinstance(values, list) else values
        return cls(**plain)  # type: ignore[arg-type]  # checked field by field above


def outlooks(
    readings: Readings,
    series: Series,
    hyper: Hyper = DEFAULT,
    *,
    threads: int = THREADS,
) -> Outlooks:
    """Return the outlook of every series.

    The answer of a series depends on its own readings and on `hyper` alone, never on
    which other series are asked about at the same time.

    Raises
    ------
    InvalidInput
        if columns differ in length or readings are not sorted by series
    """
    bounds(readings, series)
    code = refusals(readings, series)
    usable = (code == Refusal.NONE) | (code == Refusal.LIMIT_MISSING)
    some = readings if np.all(usable) else readings.take(usable[readings.series])
    days = merge_days(some)
    begin, count = bounds(days.readings, series)
    fleet = Fleet(days, series, begin, count, hyper)
    done = in_threads(
        lambda rows: assess_block(fleet, pack(fleet, rows)),
        batches(fleet, usable),
        threads,
    )
    return gather(fleet, code, done, (readings, usable))


_Item = TypeVar("_Item")
_Result = TypeVar("_Result")


def in_threads(
    work: Callable[[_Item], _Result], items: list[_Item], threads: int
) -> list[_Result]:
    """Return the work done on every item, in order; numpy lets threads run."""
    if threads <= 1 or len(items) <= 1:
        return [work(item) for item in items]
    with ThreadPoolExecutor(threads) as pool:
        return list(pool.map(work, items))


_TRIPLES: Final = ("level", "rate", "next_now", "next_year", "watch_years", "act_years")
_IF_RIGHT: Final = tuple(f"{name}_if_right" for name in ASKED_OF_A_DOUBT)
_PAIRS: Final = ("level_xy", "rate_xy")
_ROWS: Final = MappingProxyType(
    dict.fromkeys(_TRIPLES + _IF_RIGHT, 3) | dict.fromkeys(_PAIRS, 2) | {"classes": 4}
)


def gather(
    fleet: Fleet,
    code: IntArray,
    done: list[BlockOutlook],
    given: tuple[Readings, BoolArray],
) -> Outlooks:
    """Return the blocks in the order of the series and of the readings as given."""
    n = len(fleet.series)
    columns = _scattered(done, n)
    code = np.where(columns.pop("weightless") > 0.0, Refusal.ALL_DOUBTED, code)
    _blank(columns, _CONCLUSIONS, code == Refusal.ALL_DOUBTED)
    groups = [c for c, g in fleet.hyper.groups.items() if g.is_refused]
    failed = np.isin(fleet.series.group, groups) & (code == Refusal.NONE)
    code = np.where(failed, Refusal.AUDIT_FAILED, code)
    _blank(columns, _DATES, failed)
    doubted = columns["newest_unconfirmed"] > 0.0
    count = np.nan_to_num(columns["readings"]).astype(np.int64)
    standing = Standing(
        early_years=columns["act_years"][0],
        since_last=np.nan_to_num(
            np.maximum(fleet.series.now_years - columns["last_years"], 0.0)
        ),
        readings=count,
        is_unconfirmed=doubted,
        early_if_right=columns["act_years_if_right"][0],
        max_interval_years=fleet.series.max_interval_years,
        first_gap_years=fleet.series.first_gap_years,
    )
    look_years, look_rule = look_again(standing)
    columns["look_years"] = look_years
    typed: dict[str, object] = dict(columns)
    typed["readings"], typed["newest_unconfirmed"] = count, doubted
    typed["look_rule"] = look_rule
    typed["evidence_word"] = evidence_words(np.nan_to_num(columns["evidence"]))
    weight, z = _by_reading(fleet, done, given)
    return Outlooks(
        refusal=code.astype(np.int64),
        weight=weight,
        z=z,
        version=fleet.hyper.version,
        **typed,  # type: ignore[arg-type]  # columns are named after the fields
    )


def _scattered(done: list[BlockOutlook], n: int) -> dict[str, FloatArray]:
    """Return every column over all series, NaN where nothing was assessed."""
    columns: dict[str, FloatArray] = {}
    for name in _COLUMNS:
        rows = _ROWS.get(name, 0)
        columns[name] = np.full((rows, n) if rows else n, np.nan)
        for part in done:
            columns[name][..., part.block.rows] = part.columns[name]
    return columns


def _blank(
    columns: dict[str, FloatArray], names: tuple[str, ...], refused: BoolArray
) -> None:
    for name in names:
        columns[name][..., refused] = np.nan


def _by_reading(
    fleet: Fleet, done: list[BlockOutlook], given: tuple[Readings, BoolArray]
) -> tuple[FloatArray, FloatArray]:
    """Return share and standardised error of each reading as given."""
    readings, usable = given
    merged = np.full((2, len(fleet.days.readings)), np.nan)
    for part in done:
        block = part.block
        _spread(block.source, block.begin, (part.weights, part.z), merged)
    if len(readings) == len(fleet.days.readings):  # all usable, one a day
        return merged[0], merged[1]
    out = np.full((2, len(readings)), np.nan)
    out[:, usable[readings.series]] = merged[:, fleet.days.day]
    return out[0], out[1]


@compiled
def _spread(
    source: IntArray,
    begin: IntArray,
    found: tuple[FloatArray, FloatArray],
    merged: FloatArray,
) -> None:
    weights, z = found
    for row in range(len(source)):
        for i in range(begin.size):
            if row >= begin[i]:
                merged[0, source[row, i]] = weights[row, i]
                merged[1, source[row, i]] = z[row, i]


_DATES: Final = (
    "watch_years",
    "act_years",
    "watch_years_if_right",
    "act_years_if_right",
)
_CONCLUSIONS: Final = (
    *_TRIPLES,
    *_IF_RIGHT,
    *_PAIRS,
    "classes",
    "evidence",
    "watch_beyond",
    "act_beyond",
)
_COLUMNS: Final = (
    *_CONCLUSIONS,
    "readings",
    "first_years",
    "last_years",
    "newest_unconfirmed",
    "newest_z",
    "spread",
    "step_years",
    "step_size",
    "step_evidence",
    "weightless",
)
