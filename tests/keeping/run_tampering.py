"""Ten thousand random tamperings: `ops/bench tamper [COUNT]` prints what was found."""

import random
import sys
import tempfile
from collections import Counter
from concurrent.futures import ProcessPoolExecutor, as_completed
from pathlib import Path

import click

from monitor.store import Store
from monitor.store.schema import upgrade
from tests.keeping.tampering import attempt, clean_verifies, tampering_of
from tests.keeping.world import build

PROCESSES = 2
AT_ONCE = 250
SHARED_MEMORY = Path("/dev/shm")


def main():
    """Tamper, verify, put back; then verify the clean record a tenth as often."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    done, missed, alarms, tried = Counter(), [], 0, 0
    parts = [min(AT_ONCE, count - start) for start in range(0, count, AT_ONCE)]
    with ProcessPoolExecutor(PROCESSES) as pool:
        asked = [pool.submit(part, seed, size) for seed, size in enumerate(parts)]
        for told in as_completed(asked):
            kinds, not_found, wrong = told.result()
            done += kinds
            missed += not_found
            alarms += wrong
            tried = done.total()
            click.echo(f"so far: {tried}; missed: {len(missed)}", err=True)
    for (kind, covered_up), number in sorted(done.items()):
        click.echo(f"{kind}{', covered up' if covered_up else ''}: {number}")
    click.echo(f"tampered: {tried}; missed: {len(missed)}; false alarms: {alarms}")
    for one in missed[:20]:
        click.echo(f"  {one}")
    sys.exit(1 if missed or alarms else 0)


def part(seed, count):
    """So many tamperings of a record of its own, with a tenth as many clean looks."""
    shared = SHARED_MEMORY if SHARED_MEMORY.is_dir() else None
    with tempfile.TemporaryDirectory(dir=shared) as folder:
        url = f"sqlite:///{Path(folder) / 'underprop.db'}"
        upgrade(url)
        store = Store(url)
        build(store, Path(folder) / "photos", supports=2)
        state, chance = tampering_of(store), random.Random(seed)
        done, missed = Counter(), []
        for number in range(count):
            told = attempt(state, chance)
            done[told.kind, told.covered_up] += 1
            if not told.is_found:
                missed.append((seed, number, told))
        looks = clean_verifies(state, max(1, count // 10))
        alarms = sum(not holds for holds in looks)
        store.close()
    return done, missed, alarms


if __name__ == "__main__":
    main()
