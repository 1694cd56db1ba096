"""Setting the parts of a long paper beside each other, in processes of their own.

While one part is gathered from the record, others are set: that uses every core, and
what a typesetter keeps in memory goes with its process.
"""

import os
from collections import deque
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from types import TracebackType
from typing import TypeVar

from monitor.errors import MonitorError
from monitor.reports.binding import Part, bound, part_of
from monitor.reports.blocks import Paper, Size
from monitor.reports.typeset import press, typeset

T = TypeVar("T")

AT_ONCE = 2
"""Processes at most; each takes some 200 MB."""

PARTS_EACH = 2
"""Parts that a process sets before another replaces it: a press keeps what it set."""


class SettingRoom:
    """Takes parts as they are gathered and gives them back set, in order."""

    def __init__(self) -> None:
        self._many = min(AT_ONCE, os.cpu_count() or 1)
        self._pool = ProcessPoolExecutor(
            self._many, get_context("spawn"), max_tasks_per_child=PARTS_EACH
        )
        self._asked: deque[Future[Part]] = deque()
        self._set: list[Part] = []

    def __enter__(self) -> "SettingRoom":
        """The room, open."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """End the processes, also if something went wrong."""
        self._pool.shutdown(cancel_futures=True)

    def put(self, paper: Paper) -> None:
        """Have a part set; waits if too many are waiting already."""
        if len(self._asked) > self._many:
            self._take()
        self._asked.append(self._pool.submit(set_part, paper))

    def parts(self) -> list[Part]:
        """All of them.

        Raises
        ------
        MonitorError : one can not be set
        """
        while self._asked:
            self._take()
        return self._set

    def bind(self, parts: list[Part], size: Size) -> bytes:
        """The parts as one PDF with page numbers, bound in a process, too."""
        return _told(self._pool.submit(_bind, parts, size))

    def _take(self) -> None:
        self._set.append(_told(self._asked.popleft()))


def set_part(paper: Paper) -> Part:
    """One part, set."""
    return part_of(typeset(paper))


def _told(asked: Future[T]) -> T:
    try:
        return asked.result()
    except BrokenProcessPool as error:
        raise MonitorError(
            "A process that sets papers was ended from outside; there may be too "
            "little memory. Ask for the paper again.",
            code="pap-007",
        ) from error


def _bind(parts: list[Part], size: Size) -> bytes:
    with press() as at_hand:
        numbers = at_hand.numbers(size, sum(part.pages for part in parts))
    return bound(parts, numbers)
