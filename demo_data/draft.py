"""A support before it is written down, so that its life can still be shaped."""

import random
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from demo_data.book import Book, Entry, Member, Support, Work
from demo_data.courses import Course
from demo_data.rounds import (
    LAST_ROUND,
    Day,
    Series,
    go_round,
    tell_truth,
    working_day,
)
from demo_data.typing_habits import BARK_CALLIPER

SEED = 1964


def luck(code: str) -> random.Random:
    """The chance of one support, the same at every run and blind to the others."""
    return random.Random(f"{SEED}/{code}")


@dataclass
class Draft:
    """A support with its members, its visits and how it moves."""

    support: Support
    members: list[Member]
    watched: list[Series]
    days: list[Day]
    works: list[Work] = field(default_factory=list)

    def write(self, book: Book) -> None:
        """Put it all in the book."""
        code = self.support.code
        book.register(self.support, self.members)
        go_round(book, luck(f"{code}/rounds"), code, self.days, self.watched)
        for work in self.works:
            book.work(work)
        tell_truth(book, code, self.watched, max(day.on for day in self.days))

    def series(self, quantity: str, member: str = "") -> Series:
        """The first series of that quantity."""
        return next(
            s
            for s in self.watched
            if s.quantity == quantity and member in ("", s.member)
        )

    def course(self, quantity: str, *courses: Course, member: str = "") -> None:
        """Make a quantity move in another way."""
        old = self.series(quantity, member)
        self.watched[self.watched.index(old)] = replace(old, courses=courses, every=1)

    def moves(self, quantity: str, rate: float, moves_from: date) -> None:
        """Set a quantity moving on a day. [unit per year]."""
        old = self.series(quantity).courses[-1]
        new = replace(old, rate=rate, moves_from=moves_from, bedding=0.0)
        self.course(quantity, *self.series(quantity).courses[:-1], new)

    def watch(self, mark: str, quantity: str, course: Course) -> None:
        """Read one more quantity on the first member, in place of one there."""
        first = self.members[0].code
        self.watched = [s for s in self.watched if s.quantity != quantity]
        gauges = ((0, BARK_CALLIPER),)
        self.watched.append(Series(first, mark, quantity, (course,), gauges))

    def renew(self, quantity: str, course: Course) -> None:
        """Let a quantity go on in another way from the start of the course."""
        self.course(quantity, *self.series(quantity).courses, course)

    def look(self, on: date, *entries: Entry, kind: str = "routine") -> None:
        """Add a visit with readings, or entries to the first visit of that day."""
        for index, day in enumerate(self.days):
            if day.on == on:
                self.days[index] = replace(day, entries=(*day.entries, *entries))
                return
        self.days.append(Day(on, kind, all_read=True, entries=entries))

    def tell(self, on: date, *entries: Entry, kind: str = "routine") -> None:
        """Add a visit on which nothing but these entries was written."""
        self.days.append(Day(on, kind, only_told=True, entries=entries))

    def last_day(self) -> date:
        """The day of the last visit."""
        return max(day.on for day in self.days)

    def mend(self, work: Work, quantities: dict[str, float] | None = None) -> None:
        """Do work on it that day, read everything after it, and let it stand still.

        `quantities` gives the true values after the work; without it every series of
        the member is renewed where it stood.
        """
        self.works.append(work)
        self.days.append(Day(work.on, "after work", all_read=True))
        for index, series in enumerate(self.watched):
            renewed = quantities is None or series.quantity in quantities
            if work.member not in ("", series.member) or not renewed:
                continue
            last = series.courses[-1]
            value = (quantities or {}).get(series.quantity, _renewed(series, work))
            new = Course(work.on, value, season=last.season, floor=last.floor)
            self.watched[index] = replace(series, courses=(*series.courses, new))

    def remove(self, on: date, note: str) -> None:
        """Take it down."""
        self.days = [day for day in self.days if day.on < on]
        self.members = [
            replace(m, removed=on, removal_note=note) if m.removed is None else m
            for m in self.members
        ]
        self.works.append(Work(self.support.code, on, "removal", note))


def _renewed(series: Series, work: Work) -> float:
    """True value after work: level again, plumb again if the base was rebuilt."""
    if series.quantity in ("settlement", "gap"):
        return 0.0
    if work.kind == "repair" and series.quantity in ("tilt_x", "tilt_y"):
        return 0.2
    return series.courses[-1].at(work.on)


def in_round(on: date) -> date:
    """A working day, not after the last round."""
    return min(working_day(on), LAST_ROUND)


def weeks_after(on: date, weeks: int) -> date:
    """A working day so many weeks later."""
    return in_round(on + timedelta(weeks=weeks))
