"""Every check value of the tables, one test each."""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.mechanics.checks import SUBJECTS
from tests.mechanics.checks.case import Check, Mark, printed

EVERY = [
    pytest.param(check, id=f"{subject}: {check.name}")
    for subject, checks in SUBJECTS.items()
    for check in checks
]


@pytest.mark.parametrize("check", EVERY)
def test_the_program_gives_the_value_of_the_source(check):
    got = check.got()

    assert check.holds(got), f"{got} found, {check.expected} ± {check.tol} expected"


def test_every_check_says_where_it_comes_from():
    for checks in SUBJECTS.values():
        assert all(check.source and check.name for check in checks)


@pytest.mark.parametrize("checks", SUBJECTS.values(), ids=list(SUBJECTS))
def test_no_check_stands_twice_in_a_table(checks):
    names = [(check.name, check.unit, check.source) for check in checks]

    assert len(set(names)) == len(names)


def test_a_printed_number_is_met_to_half_of_its_last_digit():
    assert printed("0.4298") == (0.4298, pytest.approx(5e-5, rel=0.01))
    assert printed("257") == (257.0, pytest.approx(0.5, rel=0.01))
    assert printed("Ri3") == ("Ri3", 0.0)


def test_a_check_that_is_missed_is_seen():
    number = Check("n", lambda: 1.2, 1.0, 0.1, "", "by hand", Mark.HAND)
    word = Check("w", lambda: "C3", "C4", 0.0, "", "by hand", Mark.HAND)

    assert not number.holds(1.2)
    assert number.holds(1.05)
    assert not word.holds("C3")
    assert word.holds("C4")


def test_the_printed_table_reads_the_same_checks():
    run = subprocess.run(
        [sys.executable, "-m", "tests.mechanics.checks", "plumb"],
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        check=True,
    )

    count = len(SUBJECTS["plumb"])
    assert f"{count} of {count} checks hold" in run.stdout
    assert "NO" not in run.stdout
    assert all(check.name in run.stdout for check in SUBJECTS["plumb"])
