"""The shape of the house: import rules that bite, sizes, top level, error tree."""

import inspect
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from monitor import errors

ROOT = Path(__file__).parents[2]
LINT = str(Path(sys.executable).with_name("lint-imports"))


def lint(folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [LINT, "--config", "pyproject.toml", "--no-cache"],
        cwd=folder, capture_output=True, text=True, check=False,
        env={"PYTHONPATH": str(folder), "PATH": "/usr/bin:/bin"},
    )  # fmt: skip


@pytest.fixture
def copy_of_the_house(tmp_path):
    for name in ("monitor", "dashboard"):
        shutil.copytree(
            ROOT / name, tmp_path / name, ignore=shutil.ignore_patterns("__pycache__")
        )
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path


@pytest.mark.parametrize(
    ("module", "line", "contract"),
    [
        ("monitor/domain/limits.py", "import monitor.store", "Layers"),
        ("monitor/store/ledger.py", "import monitor.services", "Layers"),
        ("monitor/domain/limits.py", "import sqlalchemy", "no I/O"),
        ("monitor/services/__init__.py", "import sqlalchemy", "speaks SQL"),
        ("dashboard/figures/__init__.py", "import monitor.store", "Figures are pure"),
    ],
)
def test_a_planted_import_is_reported(copy_of_the_house, module, line, contract):
    planted = copy_of_the_house / module
    planted.write_text(planted.read_text() + f"\n{line}\n")

    result = lint(copy_of_the_house)

    assert result.returncode != 0
    broken = [row for row in result.stdout.splitlines() if "BROKEN" in row]
    assert any(contract in row for row in broken), result.stdout


def test_nothing_but_the_agreed_stands_at_the_top_level():
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    )
    tops = {line.split("/")[0] for line in listed.stdout.splitlines()}
    agreed = {
        "README.md", "DEVELOPERS.md", "pyproject.toml", "monitor", "dashboard",
        "migrations", "tests", "demo_data", "ops", "LICENSE", "requirements.lock",
    }  # fmt: skip
    assert {top for top in tops if not top.startswith(".")} <= agreed


def test_no_module_outgrows_its_subject():
    long = {
        str(path.relative_to(ROOT)): lines
        for folder in ("monitor", "dashboard")
        for path in (ROOT / folder).rglob("*.py")
        if (lines := len(path.read_text().splitlines())) > 400
    }
    assert long == {}


def test_the_drawn_error_tree_is_the_real_one():
    drawn = re.findall(r"[├└]─ (\w+)|^    (\w+)$", errors.__doc__, flags=re.MULTILINE)
    names = {first or second for first, second in drawn}
    real = {
        name
        for name, thing in inspect.getmembers(errors, inspect.isclass)
        if issubclass(thing, errors.MonitorError)
    }
    assert names == real


def test_every_error_has_its_own_code():
    codes = [
        thing.code
        for _, thing in inspect.getmembers(errors, inspect.isclass)
        if issubclass(thing, errors.MonitorError)
    ]
    assert len(set(codes)) == len(codes)
