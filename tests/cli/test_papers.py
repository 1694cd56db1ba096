"""The command that makes papers."""

import json

import pytest
from click.testing import CliRunner

from monitor.cli.__main__ import cli
from monitor.cli.context import CliContext
from monitor.errors import InvalidInput, NotFound
from monitor.settings import Settings
from monitor.store import ledger_nodes
from monitor.store.ledger import append
from tests.build import a_support
from tests.conftest import NOON
from tests.reports.paper import read


@pytest.fixture
def run(store, clock, tmp_path):
    url = f"sqlite:///{tmp_path / 'underprop.db'}"
    with store.write_session() as session:
        a_support(session)
        append(session, [("noted", "support S-0142", {})], actor="Ines", now=NOON)
    context = CliContext(clock, Settings(data_folder=tmp_path, database_url=url))

    def ask(*words):
        runner = CliRunner()
        return runner.invoke(
            cli, ["report", *words], obj=context, catch_exceptions=False
        )

    return ask


def test_a_report_is_written_and_counted(run, tmp_path):
    out = tmp_path / "new" / "report.pdf"

    said = run("s-0142", "--out", str(out), "--paper", "letter", "--json")

    found = read(out.read_bytes(), tmp_path)
    assert json.loads(said.stdout) == {
        "file": str(out), "pages": found.pages, "supports": 1,
    }  # fmt: skip
    assert found.info["Page size"].endswith("(letter)")


@pytest.mark.parametrize(
    "words",
    [
        ("--out", "x.pdf"),
        ("S-0142",),
        ("S-0142", "--all", "--out", "x.pdf"),
        ("--owner", "x", "--kind", "dossier", "--out", "x.pdf"),
        ("--check", "12:zz"),
    ],
)
def test_an_unclear_wish_is_refused_and_writes_nothing(run, words, tmp_path):
    with pytest.raises(InvalidInput):
        run(*words)

    assert not list(tmp_path.glob("*.pdf"))


def test_what_is_not_there_is_not_found(run):
    with pytest.raises(NotFound):
        run("--site", "Nowhere", "--out", "x.pdf")


def test_a_fingerprint_is_checked(run, store):
    with store.read_session() as session:
        head = ledger_nodes.head(session)

    assert "begins with" in run("--check", f"{head.size}:{head.root}").output
    assert "something else" in run("--check", f"{head.size}:{'0' * 64}").output
