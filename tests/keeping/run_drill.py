"""The restore drill: `ops/bench drill [SUPPORTS] [PHOTOGRAPHS]` prints what it took."""

import sys
import tempfile
from pathlib import Path

import click
import pytest

from tests.keeping.adapter import Installation
from tests.keeping.faults.drill import drill
from tests.keeping.world import build


def main():
    """Fill an installation, back it up, restore it elsewhere and compare."""
    supports = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    photos = int(sys.argv[2]) if len(sys.argv) > 2 else 100
    with tempfile.TemporaryDirectory(dir="/var/tmp") as folder:
        lost = Installation(Path(folder) / "lost")
        lost.run("setup")
        store = lost.store()
        build(store, lost.settings.photo_folder, supports=supports, photos=photos)
        store.close()
        with pytest.MonkeyPatch.context() as patch:
            lost.sign_in(patch)
        told = drill(lost, Path(folder))
    click.echo(told)
    sys.exit(1 if told.different else 0)


if __name__ == "__main__":
    main()
