"""Kill the raising and sending of notices at every point, and count what was lost.

`ops/bench notices --trials 1000` runs on a new SQLite file, or with `--database` on an
empty PostgreSQL database. A killed run leaves what a killed process leaves: committed
transactions, letters that were taken, and nothing else.
"""

import argparse
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random
from typing import cast

from monitor.clock import FixedClock, new_id
from monitor.domain.notices import (
    Channel,
    Notice,
    NoticeKind,
    NoticeLine,
    Recipient,
)
from monitor.notify import Letter
from monitor.services.notices.blank import blank
from monitor.services.notices.letters import Letterhead
from monitor.services.notices.sending import Post, send_notices
from monitor.store import Session, Store, outbox, records
from monitor.store.schema import upgrade

A_TRIAL = 3
START = datetime(2026, 6, 1, 12, tzinfo=UTC)


class Killed(BaseException):
    """The process ends here; nothing that it had open is kept."""


@dataclass
class Fuse:
    """Counts the points at which a process can die, and dies at one of them."""

    at: int
    passed: int = 0

    def burn(self) -> None:
        """Pass one point."""
        self.passed += 1
        if self.passed == self.at:
            raise Killed


@dataclass
class FusedStore:
    """A store whose process may die before, in and after every writing."""

    store: Store
    fuse: Fuse

    def read_session(self) -> object:
        """As the store."""
        return self.store.read_session()

    @contextmanager
    def write_session(self) -> Iterator[Session]:
        """As the store, with three points to die at."""
        self.fuse.burn()
        with self.store.write_session() as session:
            yield session
            self.fuse.burn()
        self.fuse.burn()


@dataclass
class FusedCarrier:
    """Takes letters for good; its client may die before and after."""

    fuse: Fuse
    taken: list[Letter] = field(default_factory=list)

    def deliver(self, letter: Letter, address: str) -> None:
        """Take one letter."""
        self.fuse.burn()
        self.taken.append(letter)
        self.fuse.burn()


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of some trials.

    Attributes
    ----------
    lost : things raised that no letter told
    doubled : letters that came again under the Message-ID they had
    doubled_otherwise : things told under two Message-IDs, which must not be
    """

    trials: int
    kills: int
    told: int
    lost: int
    doubled: int
    doubled_otherwise: int

    def __add__(self, other: "Outcome") -> "Outcome":
        mine, more = (
            (o.trials, o.kills, o.told, o.lost, o.doubled, o.doubled_otherwise)
            for o in (self, other)
        )
        return Outcome(*(a + b for a, b in zip(mine, more, strict=True)))


def points(store: Store) -> int:
    """How many points a run without a death passes."""
    fuse = Fuse(at=0)
    _run(store, fuse, FixedClock(START), [], _things(store, "points"))
    return fuse.passed


def trial(store: Store, name: str, deaths: list[int]) -> Outcome:
    """Raise and send a few notices through processes that die at these points."""
    clock, taken = FixedClock(START), list[Letter]()
    things = _things(store, name)
    kills = 0
    for at in (*deaths, 0):
        try:
            _run(store, Fuse(at), clock, taken, things)
        except Killed:
            kills += 1
        clock.at += outbox.LASTS + timedelta(minutes=1)
    told = [one.text for letter in taken for one in letter.sentences]
    ids = [letter.message_id for letter in taken]
    by_thing = {
        thing.lines[0].text: {
            letter.message_id
            for letter in taken
            if thing.lines[0].text in {one.text for one in letter.sentences}
        }
        for thing in things
    }
    return Outcome(
        trials=1,
        kills=kills,
        told=len(things),
        lost=sum(thing.lines[0].text not in told for thing in things),
        doubled=len(ids) - len(set(ids)),
        doubled_otherwise=sum(len(found) > 1 for found in by_thing.values()),
    )


def trials(store: Store, number: int, *, seed: int = 1) -> Outcome:
    """Die at every point in turn, and each time once or twice more at random."""
    random, last = Random(seed), points(store)
    total = Outcome(0, 0, 0, 0, 0, 0)
    for count in range(number):
        more = [random.randint(1, last) for _ in range(random.randint(0, 2))]
        total += trial(store, f"trial {seed} {count}", [1 + count % last, *more])
    return total


def _run(
    store: Store,
    fuse: Fuse,
    clock: FixedClock,
    taken: list[Letter],
    things: list[Notice],
) -> None:
    fused = cast(Store, FusedStore(store, fuse))
    with fused.write_session() as session:
        outbox.add_new(session, things)
    head = Letterhead("", b"", "bench.invalid")
    carrier = FusedCarrier(fuse, taken)
    send_notices(fused, Post({Channel.EMAIL: carrier}, head, ""), clock)


def _things(store: Store, name: str) -> list[Notice]:
    """A person, and what that person is to be told: some travel in one letter."""
    person = Recipient(
        new_id(), name, Channel.EMAIL, "bench@example.org", (), True, 0, 0, False,
        True, "UTC", None, None, "bench", START, START, None,
    )  # fmt: skip
    with store.write_session() as session:
        records.RECIPIENTS.add(session, [person])
    kinds = [NoticeKind.ESCALATION] * (A_TRIAL - 1) + [NoticeKind.TRIAL]
    return [
        replace(
            blank(kind, f"{name} {count}", f"thing {count}", START),
            recipient_id=person.id,
            lines=(NoticeLine("", f"{name}: thing {count}"),),
        )
        for count, kind in enumerate(kinds)
    ]


def main() -> None:
    """Print the counts of many trials."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--trials", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--database", default="", help="an empty database")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        url = asked.database or f"sqlite:///{Path(folder) / 'bench.db'}"
        upgrade(url)
        store = Store(url)
        found = trials(store, asked.trials, seed=asked.seed)
        store.close()
    sys.stdout.write(
        f"trials {found.trials}, kills {found.kills}, things told {found.told}, "
        f"lost {found.lost}, letters doubled with the same Message-ID {found.doubled}, "
        f"with another {found.doubled_otherwise}\n"
    )


if __name__ == "__main__":
    main()
