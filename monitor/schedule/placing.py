"""How a due date gets out of the days a site is closed.

A closure never silently makes an inspection late: where no free day is left in time,
the date stays and the remark says so, because a nest or a market is a reason to ask for
leave, not to stop looking. A wish (in leaf, leafless) is met inside the window or not
at all.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from monitor.schedule.calendar import in_words
from monitor.schedule.closures import Closure

_DAY = timedelta(days=1)
_MOST_JUMPS = 60


@dataclass(frozen=True, slots=True)
class Placed:
    """A day for an inspection, and what is to be said of it.

    Attributes
    ----------
    remark : a clause such as "moved from ...", empty if nothing was in the way
    """

    on: date
    remark: str


@dataclass(frozen=True, slots=True)
class Window:
    """When a visit counts, is due, and is late."""

    opens_on: date
    due_on: date
    late_on: date


def place(window: Window, closures: Sequence[Closure], today: date) -> Placed:
    """Move a due date out of the closures, if that can be done in time.

    Earlier where a day from today on is still free; else the first free day, unless
    that is later than the latest day allowed: then the date stays and the remark says
    why.
    """
    due_on = window.due_on
    closure = closure_of(due_on, closures)
    if closure is None:
        return Placed(due_on, "")
    before = free_before(due_on, closures)
    if before is not None and before >= today:
        return Placed(before, _moved(due_on, closure))
    after = free_after(due_on, closures)
    if after is not None and after <= window.late_on:
        return Placed(after, _moved(due_on, closure))
    return Placed(due_on, _kept(closure, after, window.late_on))


def place_with_wish(
    window: Window, closures: Sequence[Closure], unwished: Closure, today: date
) -> Placed:
    """Place a due date where it also keeps clear of what is not wished, if it can.

    Only days of the window from today on serve a wish; else it is dropped, and said.
    """
    both = (*closures, unwished)
    closure = closure_of(window.due_on, both)
    if closure is None:
        return Placed(window.due_on, "")
    before = free_before(window.due_on, both)
    if before is not None and before >= max(today, window.opens_on):
        return Placed(before, _moved(window.due_on, closure))
    after = free_after(window.due_on, both)
    if after is not None and after <= window.late_on:
        return Placed(after, _moved(window.due_on, closure))
    placed = place(window, closures, today)
    said = f"{placed.remark}; " if placed.remark else ""
    return Placed(placed.on, f"{said}every free day of the window {unwished.falls()}")


def closure_of(on: date, closures: Sequence[Closure]) -> Closure | None:
    """What closes the site on that day, if anything."""
    for closure in closures:
        if closure.holds(on):
            return closure
    return None


def free_before(on: date, closures: Sequence[Closure]) -> date | None:
    """The last free day up to `on`; None if there is none in sight."""
    for _ in range(_MOST_JUMPS):
        closure = closure_of(on, closures)
        if closure is None:
            return on
        on = closure.began(on) - _DAY
    return None


def free_after(on: date, closures: Sequence[Closure]) -> date | None:
    """The first free day from `on`; None if there is none in sight."""
    for _ in range(_MOST_JUMPS):
        closure = closure_of(on, closures)
        if closure is None:
            return on
        on = closure.ends(on) + _DAY
    return None


def _moved(from_on: date, closure: Closure) -> str:
    return f"moved from {in_words(from_on)}, which {closure.falls()}"


def _kept(closure: Closure, after: date | None, late_on: date) -> str:
    if after is None:
        when = "there is no free day in sight"
    else:
        when = (
            f"the next free day, {in_words(after)}, is later than the latest day "
            f"allowed, {in_words(late_on)}"
        )
    return (
        f"this {closure.falls()} and {when}, so the date stays: ask for "
        "leave or look from outside"
    )
