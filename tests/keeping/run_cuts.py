"""Power cuts: `ops/bench cuts [COUNT] [MODE]` prints what was lost and damaged.

The modes but the first spoil the program; a trial in which they come off well proves
nothing, and ends with an error.
"""

import random
import sys
import tempfile
from pathlib import Path

import click

from tests.keeping.faults.power import cuts
from tests.keeping.faults.visits import MODES

CONTROL_CUTS = 500


def main():
    """Cut the power so often; the spoiled programs a tenth as often."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 5000
    modes = sys.argv[2:3] or MODES
    bad = False
    for mode in modes:
        number = count if mode == MODES[0] else min(count, CONTROL_CUTS)
        with tempfile.TemporaryDirectory(dir="/dev/shm") as folder:
            told = cuts(mode, Path(folder), number, random.Random(number))
        click.echo(told)
        bad |= bool(told.lost_in or told.damaged_in) == (mode == MODES[0])
    sys.exit(1 if bad else 0)


if __name__ == "__main__":
    main()
