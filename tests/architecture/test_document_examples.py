"""The commands that the guides show are run, one guide after the other.

A block opened with ```sh run is run as it stands, in a folder of its own, on a record
with four supports of the demo; ```sh run 5 says with which code its last command ends.
Only `underprop` and `export` may stand in such a block.
"""

import csv
import io
import re
import shlex
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from dashboard.guides import shelf
from demo_data.make import FOLDER as DEMO
from monitor.cli.__main__ import cli, exit_code
from monitor.cli.context import CliContext
from monitor.clock import FixedClock
from monitor.errors import MonitorError
from monitor.services.assessing.assess import assess_all
from monitor.services.demo import load_demo
from monitor.store import Store
from monitor.store.schema import upgrade
from tests.quick_hash import quicken

GUIDES = Path(shelf.__file__).parent
NOW = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
CODES = frozenset({"P-41", "P-13"})
_BLOCK = re.compile(r"^```sh run ?(?P<code>\d*)\n(?P<lines>.*?)^```$", re.M | re.S)


@dataclass(frozen=True)
class Example:
    """One runnable block: its commands and the exit code of the last."""

    lines: tuple[str, ...]
    code: int


def examples_of(name):
    text = (GUIDES / f"{name}.md").read_text("utf-8")
    return [
        Example(tuple(found["lines"].strip().split("\n")), int(found["code"] or 0))
        for found in _BLOCK.finditer(text)
    ]


RUNNABLE = [one.name for one in shelf.GUIDES if examples_of(one.name)]


@pytest.fixture(scope="module")
def small_demo(tmp_path_factory):
    """The data folder of a record with a few supports of the demo."""
    files, folder = tmp_path_factory.mktemp("files"), tmp_path_factory.mktemp("data")
    for path in DEMO.glob("*.csv"):
        lines = list(csv.reader(io.StringIO(path.read_text("utf-8"))))
        at = lines[0].index("support")
        with (files / path.name).open("w", encoding="utf-8", newline="") as file:
            kept = [row for row in lines[1:] if row[at] in CODES]
            csv.writer(file).writerows([lines[0], *kept])
    url = f"sqlite:///{folder / 'underprop.db'}"
    upgrade(url)
    store, clock = Store(url), FixedClock(NOW)
    load_demo(store, today_clock=clock, progress=float, folder=files)
    with store.write_session() as session:
        assess_all(session, now=clock.now())
    store.close()
    return folder


@pytest.fixture
def desk(small_demo, tmp_path, monkeypatch):
    """A folder to work in, with the record as its settings say."""
    quicken(monkeypatch)
    copy = tmp_path / "data"
    copy.mkdir()
    (copy / "underprop.db").write_bytes((small_demo / "underprop.db").read_bytes())
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("UNDERPROP_DATA_FOLDER", str(copy))
    return monkeypatch


def run(desk, line):
    """Exit code and words of one line of a block."""
    first, *rest = shlex.split(line)
    if first == "export":
        name, _, value = rest[0].partition("=")
        desk.setenv(name, str(Path(value).resolve()))
        return 0, ""
    assert first == "underprop", line
    given = [found for word in rest for found in spread(word)]
    context = CliContext(clock=FixedClock(NOW))
    answer = CliRunner().invoke(cli, given, obj=context)
    if "store" in vars(context):
        context.store.close()
    if isinstance(answer.exception, MonitorError):
        return exit_code(answer.exception), answer.exception.message
    return answer.exit_code, answer.output


def spread(word):
    """What a shell makes of a word with a star in it."""
    if "*" not in word:
        return [word]
    return sorted(map(str, Path.cwd().glob(word))) or [word]


@pytest.mark.parametrize("name", RUNNABLE)
def test_every_example_of_a_guide_runs(desk, name):
    home = str(Path.cwd() / "data")

    for example in examples_of(name):
        desk.setenv("UNDERPROP_DATA_FOLDER", home)
        for line in example.lines:
            code, words = run(desk, line)
            wanted = example.code if line is example.lines[-1] else 0
            assert code == wanted, f"{line}: {words}"


def test_guides_that_tell_of_commands_have_examples_that_run():
    assert {"office", "forester", "administrator", "expert"} <= set(RUNNABLE)


def test_every_command_a_guide_shows_exists_with_its_options():
    shown = [
        line
        for path in GUIDES.glob("*.md")
        for block in re.findall(r"^```sh.*?\n(.*?)^```", path.read_text(), re.M | re.S)
        for line in block.split("\n")
        if line.startswith("underprop ")
    ]
    unknown = []
    for line in shown:
        words = shlex.split(line)[1:]
        names = [word for word in words if not word.startswith("-")]
        known = _options(names)
        unknown += [w for w in words if w.startswith("--") and w not in known]
    assert shown
    assert unknown == []


def _options(names):
    """Options of the command, or of the command inside its group."""
    command = cli.get_command(None, names[0])
    assert command is not None, names
    inner = getattr(command, "commands", {})
    if len(names) > 1 and names[1] in inner:
        command = inner[names[1]]
    return {option for param in command.params for option in param.opts}
