"""Ten thousand random tamperings: `ops/bench tamper [COUNT]` prints what was found."""

import random
import sys
import tempfile
from collections import Counter
from pathlib import Path

import click

from monitor.store import Store
from monitor.store.schema import upgrade
from tests.keeping.tampering import attempt, clean_verifies, tampering_of
from tests.keeping.world import build


def main():
    """Tamper, verify, put back; then verify the clean record a tenth as often."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{Path(folder) / 'underprop.db'}"
        upgrade(url)
        store = Store(url)
        build(store, Path(folder) / "photos")
        state, chance = tampering_of(store), random.Random(count)
        done, missed = Counter(), []
        for number in range(count):
            told = attempt(state, chance)
            done[told.kind, told.covered_up] += 1
            if not told.is_found:
                missed.append((number, told))
        alarms = sum(not holds for holds in clean_verifies(state, max(1, count // 10)))
        store.close()
    for (kind, covered_up), tried in sorted(done.items()):
        click.echo(f"{kind}{', covered up' if covered_up else ''}: {tried}")
    click.echo(f"tampered: {count}; missed: {len(missed)}; false alarms: {alarms}")
    for number, told in missed[:20]:
        click.echo(f"  {number}: {told}")
    sys.exit(1 if missed or alarms else 0)


if __name__ == "__main__":
    main()
