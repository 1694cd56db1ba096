"""Patience with wrong passwords: a few are free, then each wait is twice the last.

Kept in memory, so it starts afresh with the process and each process counts alone.
"""

from collections import OrderedDict
from dataclasses import dataclass
from datetime import datetime, timedelta
from threading import Lock

from monitor.errors import NotAllowed

FREE_TRIES = 5
FIRST_WAIT = timedelta(seconds=2)
LONGEST_WAIT = timedelta(minutes=15)
REMEMBERED = 10_000


@dataclass(frozen=True, slots=True)
class _Count:
    wrong: int
    last_at: datetime


class Throttle:
    """Counts wrong tries by key, such as a name together with an address."""

    def __init__(self) -> None:
        self._counts: OrderedDict[str, _Count] = OrderedDict()
        self._lock = Lock()

    def require_patience(
        self, key: str, now: datetime, *, free_tries: int = FREE_TRIES
    ) -> None:
        """Refuse a try that comes too early.

        Raises
        ------
        NotAllowed : how long to wait
        """
        with self._lock:
            count = self._counts.get(key)
        if count is None:
            return
        left = count.last_at + _wait(count.wrong - free_tries) - now
        if left > timedelta(0):
            seconds = int(left.total_seconds()) + 1
            raise NotAllowed(
                f"Too many wrong passwords. Wait {_in_words(seconds)}, then try again.",
                code="acc-003",
            )

    def note_wrong(self, key: str, now: datetime) -> None:
        """Count a wrong try; the oldest keys are forgotten first."""
        with self._lock:
            known = self._counts.pop(key, None)
            is_old = known is None or now - known.last_at > LONGEST_WAIT
            wrong = 1 if known is None or is_old else known.wrong + 1
            self._counts[key] = _Count(wrong, now)
            while len(self._counts) > REMEMBERED:
                self._counts.popitem(last=False)

    def forget(self, key: str) -> None:
        """Start afresh after a right password."""
        with self._lock:
            self._counts.pop(key, None)


def _wait(beyond_free: int) -> timedelta:
    if beyond_free < 0:
        return timedelta(0)
    doublings = min(beyond_free, 20)
    return min(FIRST_WAIT * (1 << doublings), LONGEST_WAIT)


def _in_words(seconds: int) -> str:
    if seconds < 90:
        return f"{seconds} second{'' if seconds == 1 else 's'}"
    return f"{round(seconds / 60)} minutes"
