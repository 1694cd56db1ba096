"""Going round: which days a support was looked at, and what was written down."""

import random
from dataclasses import dataclass, replace
from datetime import date, timedelta

from demo_data.book import Book, Entry, Visit
from demo_data.courses import Course, in_force
from demo_data.people import air_on, habit_of, leaf_on, on_duty
from demo_data.typing_habits import Gauge, plain, typed

LAST_ROUND = date(2026, 11, 20)
_LATELY = date(2026, 9, 10)

_HIGH_UP = frozenset({"line", "sling", "saddle", "union", "limb"})
_ONCE = frozenset({"gap", "settlement", "limb_height"})
_NOT_REACHED = (
    "no lift on the day",
    "nest beside it",
    "parked car under the crown",
    "scaffold in the way",
    "ground too soft for the lift",
)
_NOT_READ = ("rain", "battery flat", "light failing", "gauge away for calibration")
_REMARKS = (
    "no change",
    "bark dry, nothing loose",
    "ground dry",
    "moss on the north side, brushed off",
    "owner met on site, no complaints",
    "crown as last time",
    "new bench nearby, outside the fall line",
)


@dataclass(frozen=True, slots=True)
class Series:
    """One quantity at one mark: how it really moves, and how it is read.

    Attributes
    ----------
    gauges : year from which on each is used, ascending
    every : read on each so-many-th visit only
    until : no longer read from that day on, None for to the end
    """

    member: str
    mark: str
    quantity: str
    courses: tuple[Course, ...]
    gauges: tuple[tuple[int, Gauge], ...]
    every: int = 1
    until: date | None = None

    def gauge(self, on: date) -> Gauge:
        """What it is read with that year."""
        used = [gauge for year, gauge in self.gauges if year <= on.year]
        return used[-1] if used else self.gauges[0][1]


@dataclass(frozen=True, slots=True)
class Day:
    """A day in the life of a support on which someone comes.

    Attributes
    ----------
    all_read : every series is read, also those whose turn it is not
    only_told : nothing is read but what the entries say
    entries : rows besides the readings
    """

    on: date
    kind: str
    all_read: bool = False
    only_told: bool = False
    entries: tuple[Entry, ...] = ()


def months_on(start: date, months: int) -> date:
    """The same day of the month so many months later, at most the 28th."""
    count = start.year * 12 + start.month - 1 + months
    return date(count // 12, count % 12 + 1, min(start.day, 28))


def working_day(on: date) -> date:
    """The day itself, or the Monday after."""
    return on + timedelta(days=max(0, 7 - on.weekday()) if on.weekday() > 4 else 0)


def days_of_life(
    rng: random.Random, installed: date, months: int, detailed_every: int
) -> list[Day]:
    """Baseline, follow-ups of the first year, then a rhythm anchored there.

    Before 1995 people came half as often, and nobody followed up in the first year;
    before 1985 they came every second year at most.
    """
    days = [Day(working_day(installed), "baseline", all_read=True)]
    follow_ups = (1, 3, 6, 12) if installed.year >= 2005 else (6, 12)
    if installed.year >= 1988:
        days += [
            Day(_near(rng, installed, m, 5), "detailed" if m == 12 else "routine")
            for m in follow_ups
        ]
    beat = start = 12 if len(days) > 1 else 0
    step = _step(months, installed.year)
    while True:
        beat += step
        due_on = months_on(installed, beat)
        step = _step(months, due_on.year)
        if due_on > LAST_ROUND - timedelta(days=12):
            break
        if due_on >= _LATELY and rng.random() < 0.12:
            break  # not yet done: late today
        is_detailed = ((beat - start) // months) % detailed_every == 0
        days.append(
            Day(
                _near(rng, installed, beat, 16),
                "detailed" if is_detailed else "routine",
                all_read=is_detailed,
            )
        )
    return [day for day in days if day.on <= LAST_ROUND]


def _step(months: int, year: int) -> int:
    if year >= 1995:
        return months
    twice = 2 * months
    return twice if year >= 1985 else -(-24 // twice) * twice


def _near(rng: random.Random, installed: date, months: int, days: int) -> date:
    shift = timedelta(days=round(rng.triangular(-days, days, 0)))
    return working_day(months_on(installed, months) + shift)


def go_round(
    book: Book,
    rng: random.Random,
    support: str,
    days: list[Day],
    watched: list[Series],
) -> None:
    """Write every visit of a support, reading what is to be read."""
    for number, day in enumerate(sorted(days, key=lambda day: day.on)):
        inspector = on_duty(rng, day.on)
        visit = Visit(
            support, day.on, inspector.name, day.kind,
            air_on(rng, day.on), leaf_on(day.on),
        )  # fmt: skip
        habit = habit_of(inspector, day.on)
        entries = [
            entry
            for series in watched
            if _is_read(series, number, day)
            for entry in _read(rng, series, day, habit)
        ]
        if entries and not day.entries and rng.random() < 0.12:
            entries[0] = replace(entries[0], note=rng.choice(_REMARKS))
        book.visit(visit, *entries, *day.entries)


def _is_read(series: Series, number: int, day: Day) -> bool:
    if day.only_told or day.on < series.courses[0].starts_on:
        return False
    if series.until is not None and day.on >= series.until:
        return False
    return day.all_read or number % series.every == 0


def _read(rng: random.Random, series: Series, day: Day, habit: str) -> list[Entry]:
    chance = rng.random()
    if day.kind != "baseline" and chance < 0.035:
        return [_missing(rng, series, chance)]
    is_doubled = day.kind == "baseline" and day.on.year >= 2000
    count = 2 if is_doubled and series.quantity not in _ONCE else 1
    return [
        reading(rng, series, day.on, habit, repeat=repeat)
        for repeat in range(1, count + 1)
    ]


def reading(
    rng: random.Random, series: Series, on: date, habit: str, *, repeat: int = 1
) -> Entry:
    """One number as it was written down that day."""
    gauge = series.gauge(on)
    course = in_force(series.courses, on)
    if series.quantity == "settlement" and on == course.starts_on:
        return _datum(series, gauge)
    true = course.at(on)
    sd = gauge.sd * abs(true) if gauge.relative else gauge.sd
    value = true + rng.gauss(0.0, sd)
    if course.floor is not None:
        value = course.floor if true <= course.floor else max(course.floor, value)
    text, unit = typed(series.quantity, value, gauge, habit)
    return Entry(
        series.quantity, text, unit, gauge.method, series.member, series.mark,
        repeat=str(repeat) if repeat > 1 else "",
    )  # fmt: skip


def _datum(series: Series, gauge: Gauge) -> Entry:
    """The level from which settlement is counted: nought by definition."""
    return Entry("settlement", "0", "mm", gauge.method, series.member, series.mark)


def _missing(rng: random.Random, series: Series, chance: float) -> Entry:
    is_high = series.mark in _HIGH_UP and chance < 0.028
    answer = "could not reach" if is_high else "not measured"
    why = rng.choice(_NOT_REACHED if is_high else _NOT_READ)
    return Entry(
        series.quantity, member=series.member, mark=series.mark, answer=answer, why=why
    )


def tell_truth(book: Book, support: str, watched: list[Series], until: date) -> None:
    """Write the hidden truth of every stretch of every series."""
    for series in watched:
        last = min(until, series.until or until)
        ends = [course.starts_on for course in series.courses[1:]] + [last]
        for course, end in zip(series.courses, ends, strict=True):
            book.rows["truth.csv"].append(_truth(support, series, course, end))


def _truth(support: str, series: Series, course: Course, until: date) -> dict[str, str]:
    gauge = series.gauge(until)
    return {
        "support": support,
        "member": series.member,
        "mark": series.mark,
        "quantity": series.quantity,
        "from": course.starts_on.isoformat(),
        "until": until.isoformat(),
        "course": course.name,
        "moves from": course.moves_from.isoformat() if course.moves_from else "",
        "rate per year": plain(course.rate, 0.0001),
        "season": plain(course.season, 0.01),
        "noise sd": plain(gauge.sd, 0.001) + (" of value" if gauge.relative else ""),
        "true value at from": plain(course.at(course.starts_on), 0.001),
        "true value at until": plain(course.at(until), 0.001),
    }
