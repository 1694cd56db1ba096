"""The audit of libraries tells found, clean and not checked apart."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FINE = {"name": "dash", "version": "4.4.1", "vulns": []}
BAD = {**FINE, "vulns": [{"id": "EX-1", "fix_versions": ["4.4.2"]}]}
SKIPPED = {"name": "dash", "skip_reason": "unknown"}


def audit(tmp_path, body):
    fake = tmp_path / "auditor"
    fake.write_text(f"#!{sys.executable}\n{body}\n")
    fake.chmod(0o700)
    return subprocess.run(
        [sys.executable, ROOT / "ops/audit", "--with", fake],
        capture_output=True, text=True, check=False,
    )  # fmt: skip


def says(*libraries):
    return f"print({json.dumps(json.dumps({'dependencies': libraries}))})"


def test_a_known_advisory_is_named_and_fails(tmp_path):
    done = audit(tmp_path, says(FINE, BAD) + "\nraise SystemExit(1)")

    assert done.returncode == 1
    assert "dash 4.4.1: EX-1, mended in 4.4.2" in done.stdout


def test_nothing_known_is_said_of_both_lock_files(tmp_path):
    done = audit(tmp_path, says(FINE))

    assert done.returncode == 0
    assert done.stdout.count("nothing is known against its 1 libraries") == 2
    assert "tests/requirements.lock" in done.stdout


@pytest.mark.parametrize(
    "body",
    [
        "import sys; sys.exit('connection refused')",
        "print('{}')",
        "print('[1]')",
        says(),
        says(FINE, SKIPPED),
    ],
)
def test_an_auditor_that_could_not_ask_is_never_taken_for_all_is_well(tmp_path, body):
    done = audit(tmp_path, body)

    assert done.returncode == 3
    assert "NOT CHECKED" in done.stderr
    assert "nothing is known" not in done.stdout


def test_a_find_weighs_more_than_a_lock_file_that_was_not_checked(tmp_path):
    body = (
        "import sys\n"
        "if 'tests/requirements.lock' in sys.argv[2]: sys.exit('away')\n" + says(BAD)
    )

    assert audit(tmp_path, body).returncode == 1


def test_what_ci_runs_asks_for_the_audit_and_lets_only_not_checked_pass():
    said = (ROOT / "ops/test").read_text()

    assert "ops/audit ||" in said
    assert '"$?" = 3' in said
