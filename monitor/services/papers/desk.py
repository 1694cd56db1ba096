"""Papers that take their time: made one after the other, told about on disk.

Each wish has a folder with what was asked, how far it is, and at last the PDF. Whoever
looks, after a reload or from another process, finds the same answer there. A run that
ends with the process is said to be broken off; nothing of the record depends on it.
"""

import json
import logging
import re
import shutil
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from queue import Queue
from threading import Lock, Thread

from monitor.clock import Clock, new_id
from monitor.errors import MonitorError, NotFound
from monitor.services.papers.issued import issue
from monitor.services.papers.make import House, make_paper
from monitor.services.papers.wish import PaperWish
from monitor.services.recording.checks import Stamp
from monitor.store.disk import write_through

_LOG = logging.getLogger(__name__)
KEPT = timedelta(days=7)
SILENT = timedelta(minutes=15)
"""A paper of which nothing was heard for so long is broken off."""

_TOLD_EVERY = timedelta(seconds=0.5)
_KEY = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")
_SHOWN = 10


@dataclass(frozen=True, slots=True)
class PaperState:
    """How far a paper is.

    Attributes
    ----------
    title : what was asked for, in words
    outcome : "waiting", "working", "done" or "failed"
    share : of the work that is done
    words : the present step, or why it failed
    """

    key: str
    title: str
    asked_by: str
    asked_at: datetime
    heard_at: datetime
    outcome: str = "waiting"
    share: float = 0.0
    words: str = ""
    file_name: str = ""
    pages: int = 0

    @property
    def is_over(self) -> bool:
        """Whether nothing more will come."""
        return self.outcome in {"done", "failed"}


class PaperDesk:
    """Takes wishes and makes the papers in a thread of its own.

    Parameters
    ----------
    folder : holds one folder a paper
    """

    def __init__(self, folder: Path, clock: Clock) -> None:
        self._folder = folder
        self._clock = clock
        self._waiting: Queue[Callable[[], None]] = Queue()
        self._thread: Thread | None = None
        self._lock = Lock()

    def ask(self, house: House, wish: PaperWish, *, asked_by: str) -> str:
        """Take a wish; the key under which to ask for it later."""
        now = self._clock.now()
        self._forget_old(now)
        title = f"{wish.kind.value}, {wish.name or wish.scope.value}"
        if wish.known_on:
            title += f", as known on {wish.known_on.isoformat()}"
        state = PaperState(str(new_id()), title, asked_by, now, now)
        self._write(state)
        self._waiting.put(lambda: self._make(house, wish, state))
        with self._lock:
            if self._thread is None or not self._thread.is_alive():
                self._thread = Thread(target=self._work, name="papers", daemon=True)
                self._thread.start()
        return state.key

    def state(self, key: str, asked_by: str) -> PaperState:
        """How far it is.

        Raises
        ------
        NotFound : no such paper of that person
        """
        found = self._read(key)
        if found is None or found.asked_by != asked_by:
            raise NotFound("paper", key[:40])
        if not found.is_over and self._clock.now() - found.heard_at > SILENT:
            words = "It was broken off when the program ended. Ask for it again."
            return replace(found, outcome="failed", words=words)
        return found

    def pdf(self, key: str, asked_by: str) -> tuple[str, bytes]:
        """Name and bytes of a paper that is done.

        Raises
        ------
        NotFound : there is none, or it is not done
        """
        state = self.state(key, asked_by)
        if state.outcome != "done":
            raise NotFound("finished paper", key[:40])
        return state.file_name, (self._place(key) / "paper.pdf").read_bytes()

    def newest(self, asked_by: str) -> list[PaperState]:
        """The newest papers of that person, newest first."""
        keys = sorted((p.name for p in self._folder.glob("*-*")), reverse=True)
        found = (self._read(key) for key in keys)
        mine = [one for one in found if one is not None and one.asked_by == asked_by]
        return [self.state(one.key, asked_by) for one in mine[:_SHOWN]]

    def _work(self) -> None:
        while True:
            self._waiting.get()()

    def _make(self, house: House, wish: PaperWish, state: PaperState) -> None:
        told_at = state.asked_at

        def progress(share: float, words: str) -> None:
            nonlocal told_at
            now = self._clock.now()
            if now - told_at >= _TOLD_EVERY:
                told_at = now
                self._tell(state, share=share, words=words)

        self._tell(state, words="reading the record")
        try:
            made = make_paper(house, wish, self._clock.now(), progress)
            with house.whole.write_session() as session:
                issue(session, made, Stamp(state.asked_by, self._clock.now()))
            write_through(self._place(state.key) / "paper.pdf", made.pdf)
        except MonitorError as error:
            self._tell(state, outcome="failed", words=error.message)
        except Exception as error:  # the thread has to live on for the next paper
            words = f"It could not be made: {type(error).__name__}. Tell who runs this."
            self._tell(state, outcome="failed", words=words)
            _LOG.exception("A paper could not be made.")
        else:
            self._tell(
                state, outcome="done", share=1.0, file_name=made.file_name,
                pages=made.pages,
            )  # fmt: skip

    def _tell(
        self, state: PaperState, outcome: str = "working", **news: object
    ) -> None:
        now = self._clock.now()
        said = replace(state, heard_at=now, outcome=outcome, **news)  # type: ignore[arg-type]
        self._write(said)

    def _write(self, state: PaperState) -> None:
        plain = asdict(state) | {
            "asked_at": state.asked_at.isoformat(),
            "heard_at": state.heard_at.isoformat(),
        }
        target = self._place(state.key) / "state.json"
        write_through(target, json.dumps(plain, ensure_ascii=False).encode())

    def _read(self, key: str) -> PaperState | None:
        try:
            plain = json.loads((self._place(key) / "state.json").read_text("utf-8"))
        except (OSError, ValueError):
            return None
        times = {n: datetime.fromisoformat(plain[n]) for n in ("asked_at", "heard_at")}
        return PaperState(**(plain | times))

    def _place(self, key: str) -> Path:
        if not _KEY.fullmatch(key):
            raise NotFound("paper", key[:40])
        return self._folder / key

    def _forget_old(self, now: datetime) -> None:
        for place in self._folder.glob("*-*"):
            made_at = datetime.fromtimestamp(place.stat().st_mtime, UTC)
            if now - made_at > KEPT:
                shutil.rmtree(place, ignore_errors=True)
