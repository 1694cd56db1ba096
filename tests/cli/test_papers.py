"""The command that makes papers."""

import hashlib
import json

import pytest
from click.testing import CliRunner

from monitor.cli.__main__ import cli
from monitor.cli.context import CliContext
from monitor.errors import InvalidInput, NotFound
from monitor.exchange.archive_verifier import check_proof
from monitor.services.papers.issued import issue
from monitor.services.papers.make import Made
from monitor.services.recording.checks import Stamp
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

    def ask(*words, command="report"):
        runner = CliRunner()
        return runner.invoke(
            cli, [command, *words], obj=context, catch_exceptions=False
        )

    yield ask
    context.store.close()


@pytest.fixture
def prove(run):
    """`underprop proof --paper` of a file with that content."""
    return lambda file: run("--paper", str(file), command="proof")


@pytest.fixture
def paper(store, run, tmp_path):
    """A file that was issued here."""
    with store.write_session() as session:
        issue(session, Made(b"%PDF of S-0142", "x.pdf", 1, 1, about="support S-0142"),
              Stamp("Ines", NOON))  # fmt: skip
    file = tmp_path / "paper.pdf"
    file.write_bytes(b"%PDF of S-0142")
    return file


def test_a_report_is_written_and_counted(run, tmp_path):
    out = tmp_path / "new" / "report.pdf"

    said = run("s-0142", "--out", str(out), "--paper", "letter", "--json")

    found = read(out.read_bytes(), tmp_path)
    assert json.loads(said.stdout) == {
        "file": str(out), "pages": found.pages, "supports": 1,
        "sha256": hashlib.sha256(out.read_bytes()).hexdigest(),
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


def test_a_paper_that_was_issued_is_proven_and_told_in_words(prove, paper):
    said = prove(paper)

    proof = json.loads(said.stdout)
    (item,) = proof["entries"]
    digest = hashlib.sha256(paper.read_bytes()).hexdigest()
    assert list(check_proof(proof)) == []
    assert item["entry"]["subject"] == f"paper {digest}"
    assert "was issued here on 1 June 2026" in " ".join(said.stderr.split())
    assert "support S-0142" in said.stderr


@pytest.mark.parametrize("place", [0, 5, -1])
def test_a_paper_changed_by_one_byte_is_not_known(prove, paper, place):
    content = bytearray(paper.read_bytes())
    content[place] ^= 1
    paper.write_bytes(content)

    with pytest.raises(NotFound, match="A single changed byte"):
        prove(paper)


@pytest.mark.parametrize("content", [b"", b"%PDF of S-0142\n", b"never issued"])
def test_a_file_that_never_went_out_is_not_known(prove, paper, content):
    paper.write_bytes(content)

    with pytest.raises(NotFound, match="issued paper"):
        prove(paper)


@pytest.mark.parametrize("name", ["", "not-there.pdf"])
def test_what_is_no_file_is_refused_in_words(prove, tmp_path, name):
    said = prove(tmp_path / name)

    assert said.exit_code == 2
    assert "--paper" in said.stderr
    assert said.stdout == ""
