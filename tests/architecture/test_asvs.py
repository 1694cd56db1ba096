"""The table of security requirements names tests that exist, and hides no gap."""

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
TABLE = (ROOT / "ops/ASVS.md").read_text()
ROWS = re.findall(r"^\| (\d[\d.]*) \| (\d) \| (.+?) \| (.+) \|$", TABLE, re.MULTILINE)
REASONS = ("by construction", "does not apply", "the operator", "the provider's")
GAPS = ("OPEN", "BELOW", "NOT DONE", "NOT CHECKED", "EXCEPTION")


def test_every_test_that_the_table_names_exists():
    named = re.findall(r"`(tests/[\w/]+\.py)::(\w+)`", TABLE)

    missing = [
        f"{path}::{name}"
        for path, name in set(named)
        if not (ROOT / path).exists() or f"def {name}(" not in (ROOT / path).read_text()
    ]

    assert len(named) > 100
    assert missing == []


def test_every_path_that_the_table_names_exists():
    named = re.findall(r"`((?:monitor|dashboard|ops)/[\w./]*)`", TABLE)

    assert [path for path in named if not (ROOT / path).exists()] == []


def test_every_requirement_stands_once_with_a_test_a_document_or_a_reason():
    numbers = [number for number, *_ in ROWS]
    held = re.compile("|".join(("`", *REASONS, *GAPS, "the same", "the tests")))

    assert len(numbers) == len(set(numbers))
    assert len(numbers) > 180
    assert [number for number, _, _, how in ROWS if not held.search(how)] == []


def test_the_runbook_has_the_parts_that_the_table_points_at():
    runbook = (ROOT / "ops/RUNBOOK.md").read_text()

    parts = set(re.findall(r"RUNBOOK\.md`, “([^”]+)”", TABLE))

    assert parts
    assert [part for part in parts if f"## {part}\n" not in runbook] == []
