"""kill -9, thousands of times: `ops/bench kills [KIND] [TRIALS]` prints the counts."""

import random
import sys
import tempfile
from pathlib import Path

import click
import pytest

from tests.keeping.adapter import Installation
from tests.keeping.faults import killing, sending

TRIALS = {"sync": 1000, "import": 200, "assess": 200, "backup": 200, "upgrade": 200}


def main():
    """Kill each kind of work so often, or one kind as often as said."""
    named = sys.argv[1:2] or list(TRIALS)
    wrong = 0
    for kind in named:
        number = int(sys.argv[2]) if len(sys.argv) > 2 else TRIALS[kind]
        with tempfile.TemporaryDirectory(dir="/var/tmp") as folder:
            told = _trials(kind, Path(folder), number)
        click.echo(told)
        for what in told.wrong[:10]:
            click.echo(f"  {what}")
        wrong += len(told.wrong)
    sys.exit(1 if wrong else 0)


def _trials(kind, folder, number):
    chance = random.Random(number)
    if kind == "sync":
        return sending.trials(*ready(folder), number, chance, tell=_tell)
    (trial,) = (one for one in killing.KINDS if one.kind == kind)
    return killing.trials(trial, folder, number, chance, tell=_tell)


def _tell(told):
    click.echo(f"so far: {told}", err=True)


def ready(folder):
    """A filled installation with an inspector who is signed in."""
    whole, at = Installation(folder / "whole"), Installation(folder / "at")
    killing.fill(whole)
    with pytest.MonkeyPatch.context() as patch:
        token = whole.sign_in(patch)
    at.copy_from(whole.folder)
    return at, token


if __name__ == "__main__":
    main()
