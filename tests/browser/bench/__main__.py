"""Print how fast the pages are: `ops/bench pages [--supports 20000] [--folder ...]`.

The record is made once, in a few minutes, and kept in the folder; the next run with the
same folder finds it there. Without a folder it is thrown away. A server of its own is
started over it; a Chromium without a window opens the pages; what it asked the server
for is then asked again, many times, to time the server alone.
"""

import argparse
import sys
import tempfile
from collections.abc import Iterable
from pathlib import Path

from tests.browser.bench.make import made_record
from tests.browser.bench.serving import served
from tests.browser.bench.visit import Measured, measure

GOAL_USABLE_S, GOAL_SERVER_MS, GOAL_WEIGHT_MB = 1.0, 200.0, 1.5


def main() -> None:
    """Make the record if need be, visit the pages, print a table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--supports", type=int, default=20_000)
    parser.add_argument("--folder", default="", help="where the record is kept")
    parser.add_argument("--repeats", type=int, default=20)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(asked.folder or scratch)
        record = made_record(folder, asked.supports)
        sys.stdout.write(f"{asked.supports} supports, {asked.supports * 50} readings\n")
        with served(record) as home:
            _print(measure(home, asked.repeats))


def _print(found: Iterable[Measured]) -> None:
    """Each row as soon as it is known."""
    _print_row("page", "usable s", "weight MB", "its callback ms 50 % / 95 %")
    for one in found:
        _print_row(
            one.name,
            "" if one.usable_s is None else f"{one.usable_s:.2f}{_late(one)}",
            "" if one.weight_mb is None else f"{one.weight_mb:.2f}",
            f"{one.median_ms:.0f} / {one.p95_ms:.0f}"
            + (" over" if one.p95_ms > GOAL_SERVER_MS else ""),
        )
    sys.stdout.write(
        f"goals: usable below {GOAL_USABLE_S:g} s, callbacks below "
        f"{GOAL_SERVER_MS:g} ms (95 %), weight below {GOAL_WEIGHT_MB:g} MB\n"
        "weight: what a page brings after the framework's own files\n"
    )


def _print_row(*cells: str) -> None:
    sys.stdout.write("".join(f"{cell:<28}" for cell in cells).rstrip() + "\n")
    sys.stdout.flush()


def _late(one: Measured) -> str:
    return " over" if (one.usable_s or 0) > GOAL_USABLE_S else ""


if __name__ == "__main__":
    main()
