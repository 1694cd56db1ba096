"""How long verifying takes: `ops/bench verify [ENTRIES]`.

Makes a ledger of that many entries in a scratch database, one vouched row to every ten
entries, and verifies it whole; then the same against a checkpoint from outside.
"""

import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TypeVar

import click

from monitor.clock import new_id
from monitor.domain.places import Party
from monitor.services.keeping.checkpoints import make_checkpoint
from monitor.services.keeping.verify import Asked, verify
from monitor.store import Store, ledger, records
from monitor.store.schema import upgrade

R = TypeVar("R")
AT_ONCE = 5000
ROW_EVERY = 10
START = datetime(2020, 1, 1, tzinfo=UTC)


def main() -> None:
    """Measure and print."""
    entries = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{Path(folder) / 'bench.db'}"
        upgrade(url)
        store = Store(url)
        _timed(f"append {entries} entries", lambda: _fill(store, entries))
        with store.read_session() as session:
            checkpoint = make_checkpoint(session, now=START)
            asked = Asked(session, None, checkpoint, outlooks=0)
            holds = _timed("verify against a checkpoint", lambda: verify(asked).holds)
        store.close()
    click.echo(f"everything holds: {holds}")


def _fill(store: Store, entries: int) -> None:
    for start in range(0, entries, AT_ONCE):
        now = START + timedelta(seconds=start)
        parties = [
            Party(new_id(), f"party {start + n}", "", now) for n in range(AT_ONCE)
        ]
        lines: list[tuple[str, str, object]] = [
            ("noted", f"party {one.id}", {"id": str(one.id), "gap_mm": 0.4, "n": n})
            for n, one in enumerate(parties)
        ]
        with store.write_session() as session:
            records.PARTIES.add(session, parties[::ROW_EVERY])
            ledger.append(session, lines[: entries - start], actor="bench", now=now)


def _timed(what: str, do: Callable[[], R]) -> R:
    started, worked = time.perf_counter(), time.process_time()
    found = do()
    passed = time.perf_counter() - started
    click.echo(f"{what}: {passed:.1f} s, {time.process_time() - worked:.1f} s of work")
    return found


if __name__ == "__main__":
    main()
