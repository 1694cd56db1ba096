"""Verify, checkpoint, proof, backup, restore, archive, import, erase: by command."""

import json

import pytest
import sqlalchemy as sa
from click.testing import CliRunner

from monitor.cli.__main__ import cli
from monitor.cli.context import CliContext
from monitor.errors import Conflict
from monitor.exchange.archive_verifier import check_growth, check_proof
from monitor.settings import Settings
from monitor.store import Store
from tests.keeping.tamper import unguarded
from tests.keeping.world import build
from tests.migrations.test_upgrades import old_file


@pytest.fixture
def run(store, clock, tmp_path):
    settings = Settings(data_folder=tmp_path, database_url=store.url)
    context = CliContext(clock=clock, given_settings=settings)
    build(store, settings.photo_folder)

    def run(*words):
        return CliRunner().invoke(cli, [str(word) for word in words], obj=context)

    yield run
    context.store.close()


def test_verify_says_in_words_that_everything_holds(run):
    said = run("verify")

    assert said.exit_code == 0
    assert "Everything is what was written." in said.output


def test_verify_ends_with_five_and_names_the_first_broken_thing(run, store):
    with unguarded(store) as connection:
        connection.execute(sa.text("UPDATE work SET note = 'x'"))

    said, told = run("verify"), run("verify", "--json")

    assert said.exit_code == told.exit_code == 5
    assert "First broken: row work " in said.output
    assert json.loads(told.output)["first_broken"].startswith("row work ")


def test_a_checkpoint_is_written_and_verified_against(run, tmp_path):
    made = run("checkpoint", tmp_path / "outside.json")

    said = run("verify", "--against", tmp_path / "outside.json")

    assert "signed with the key" in made.output
    assert said.exit_code == 0
    assert len(list((tmp_path / "checkpoints").glob("*.json"))) == 1


def test_proofs_are_printed_for_the_verifier(run, tmp_path):
    run("checkpoint", tmp_path / "outside.json")
    told = json.loads((tmp_path / "outside.json").read_text())

    proof = json.loads(run("proof", "P-0").output)
    growth = json.loads(run("proof", "--from", tmp_path / "outside.json").output)

    assert list(check_proof(proof, told)) == []
    assert list(check_growth(growth, told)) == []


def test_a_backup_is_made_tried_and_restored_only_on_an_explicit_word(run, tmp_path):
    made = run("backup", tmp_path / "kept")
    (folder,) = (tmp_path / "kept").glob("backup-*")

    refused = run("restore", folder)
    restored = run("restore", folder, "--replace")

    assert "restored for trial" in made.output
    assert isinstance(refused.exception, Conflict)
    assert restored.exit_code == 0
    assert "The one before lies in" in restored.output
    assert run("verify").exit_code == 0


def test_an_archive_is_written_and_taken_into_an_empty_record(run, clock, tmp_path):
    written = run("archive", tmp_path / "record.zip")
    assert written.exit_code == 0, written.output
    elsewhere = CliContext(
        clock=clock, given_settings=Settings(data_folder=tmp_path / "other")
    )

    CliRunner().invoke(cli, ["setup"], obj=elsewhere)
    taken = CliRunner().invoke(
        cli, ["import", str(tmp_path / "record.zip")], obj=elsewhere
    )
    verified = CliRunner().invoke(cli, ["verify"], obj=elsewhere)
    elsewhere.store.close()

    assert taken.exit_code == 0, taken.output
    assert "rows were taken in" in taken.output
    assert verified.exit_code == 0


def test_a_name_is_erased_by_command_unless_it_is_held(run):
    password = "oak beam and rope"
    for name, role in (("Ada", "administrator"), ("Ivo", "inspector")):
        words = ("account", "add", name, "--role", role, "--password", password)
        run(*words)
    second = ("--second", "Ada", "--second-password", password)
    run("account", "hold", "Ines Falk", "--because", "claim 12")
    words = ("account", "erase", "Ines Falk", "--because", "asked", "--basis", "law")
    words = (*words, *second)

    held = run(*words)
    release = ("account", "release", "Ines Falk", "--because", "settled")
    alone = run(*release, "--second", "Ada", "--second-password", "not this one")
    by_inspector = run(*release, "--second", "Ivo", "--second-password", password)
    still_held = run(*words)
    run(*release, *second)
    erased = run(*words)

    assert "claim 12" in str(held.exception)
    assert "do not belong together" in str(alone.exception)
    assert "second person" in str(by_inspector.exception)
    assert "claim 12" in str(still_held.exception)
    assert "stands in its place in 18 rows" in erased.output
    assert run("verify").exit_code == 0


def test_setup_keeps_a_copy_of_an_older_database(clock, tmp_path):

    old_file("0004", tmp_path / "underprop.db")
    context = CliContext(clock=clock, given_settings=Settings(data_folder=tmp_path))

    said = CliRunner().invoke(cli, ["setup"], obj=context)
    verified = CliRunner().invoke(cli, ["verify", "--no-photos"], obj=context)
    context.store.close()

    (copy,) = (tmp_path / "backups").glob("before-*.db")
    kept = Store(f"sqlite:///{copy}")
    with kept.engine.connect() as connection:
        revision = connection.exec_driver_sql("SELECT * FROM alembic_version").scalar()
    kept.close()
    assert "is kept in" in said.output
    assert revision == "0004"
    assert verified.exit_code == 0, verified.output
