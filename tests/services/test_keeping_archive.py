"""The archive: open, complete, the same from both engines, and the way back."""

import csv
import hashlib
import io
import json
import subprocess
import sys
import zipfile
from datetime import UTC, datetime, timedelta
from uuid import uuid4

import bagit
import pytest
import sqlalchemy as sa
from hypothesis import given
from hypothesis import strategies as st

from monitor.errors import Conflict, InvalidInput
from monitor.exchange import archive_tables
from monitor.exchange.archive_bag import unzip_bag, zip_folder
from monitor.exchange.archive_verifier import check_archive
from monitor.services.keeping.archive import write_archive
from monitor.services.keeping.checkpoints import make_checkpoint
from monitor.services.keeping.take_in import take_in
from monitor.services.keeping.verify import Asked, verify
from monitor.store import Store, ledger
from monitor.store.archive_rows import archived_tables
from monitor.store.photos import PhotoFiles
from monitor.store.schema import upgrade
from tests.keeping.tamper import TABLES, reseal, unguarded
from tests.keeping.world import TRAP, build

NOW = datetime(2026, 6, 1, tzinfo=UTC)


@pytest.fixture
def archived(sqlite_store, tmp_path):
    files = build(sqlite_store, tmp_path / "photos")
    folder = tmp_path / "archive"
    with sqlite_store.read_session() as session:
        write_archive(session, files, folder, now=NOW)
    return sqlite_store, files, folder


@pytest.fixture
def empty(tmp_path):
    url = f"sqlite:///{tmp_path / 'empty' / 'underprop.db'}"
    (tmp_path / "empty").mkdir()
    upgrade(url)
    store = Store(url)
    yield store
    store.close()


def every_file(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def rows_of(store):
    with store.engine.connect() as connection:
        return {
            table.name: connection.execute(
                sa.select(table).order_by(*table.primary_key)
            ).fetchall()
            for table in archived_tables()
        }


@pytest.mark.filterwarnings("ignore")  # the validator's own
def test_an_independent_program_finds_the_bag_valid(archived):
    _, _, folder = archived

    bag = bagit.Bag(str(folder))

    assert bag.is_valid()
    assert set(bag.algorithms) == {"sha256", "sha512"}


def test_the_verifier_inside_runs_alone_and_finds_it_whole(archived, tmp_path):
    _, _, folder = archived

    said = subprocess.run(
        [sys.executable, "-I", folder / "data" / "verify_record.py", "archive", folder],
        capture_output=True, text=True, check=False, cwd=tmp_path,
    )  # fmt: skip

    assert (said.returncode, said.stdout) == (0, "It is what was written.\n")


@pytest.mark.parametrize(
    ("name", "old", "new", "named"),
    [
        ("reading.jsonl", b"12.5 mm", b"42.5 mm", "reading "),
        ("ledger.jsonl", b'"actor":"Edda"', b'"actor":"Otto"', "entry 1"),
        ("support.jsonl", b"P-1", b"P-9", "support "),
    ],
)
def test_a_changed_archive_with_new_checksums_is_found_out(
    archived, name, old, new, named
):
    _, _, folder = archived
    path = folder / "data" / "tables" / name
    path.write_bytes(path.read_bytes().replace(old, new, 1))
    for manifest in folder.glob("*manifest-*.txt"):
        manifest.unlink()

    wrong = list(check_archive(folder))

    assert wrong[0].startswith(named)


def test_an_archive_of_a_rewritten_record_fails_an_outside_checkpoint(
    sqlite_store, tmp_path
):
    files = build(sqlite_store, tmp_path / "photos")
    with sqlite_store.read_session() as session:
        made = make_checkpoint(session, now=NOW)
    with unguarded(sqlite_store) as connection:
        connection.execute(sa.text("UPDATE reading SET value = 1.0"))
        reseal(connection)
    with sqlite_store.read_session() as session:
        write_archive(session, files, tmp_path / "archive", now=NOW)

    told = {"size": made.head.size, "root": made.head.root}
    assert list(check_archive(tmp_path / "archive")) == []
    assert "begin like" in "".join(check_archive(tmp_path / "archive", told))


def test_an_empty_record_becomes_the_same_record(archived, empty, tmp_path):
    store, _, folder = archived
    photos = PhotoFiles(tmp_path / "new photos")
    before = rows_of(store)

    with empty.write_session() as session:
        take_in(session, photos, folder, by=("Edda", NOW))

    after = rows_of(empty)
    *entries, last = after.pop("ledger")
    assert entries == before.pop("ledger")
    assert after == before
    assert last.action == "record taken in from an archive"
    with empty.read_session() as session:
        found = verify(Asked(session, photos))
    assert found.broken == ()
    assert found.photos == 3


def test_the_ledger_goes_on_and_the_next_archive_holds(archived, empty, tmp_path):
    _, _, folder = archived
    photos = PhotoFiles(tmp_path / "new photos")
    with empty.write_session() as session:
        take_in(session, photos, folder, by=("Edda", NOW))
    with empty.write_session() as session:
        ledger.append(session, [("noted", "note", {})], actor="Edda", now=NOW)
    again = tmp_path / "again"

    with empty.read_session() as session:
        write_archive(session, photos, again, now=NOW)

    assert list(check_archive(again)) == []
    first, second = every_file(folder), every_file(again)
    tables = [n for n in first if n.endswith(".jsonl") and "ledger" not in n]
    assert all(first[name] == second[name] for name in tables)
    assert second["data/tables/ledger.jsonl"].startswith(
        first["data/tables/ledger.jsonl"]
    )


@pytest.mark.postgres
def test_both_engines_write_the_same_bytes(archived, postgres_store, tmp_path):
    _, _, folder = archived
    photos = PhotoFiles(tmp_path / "new photos")
    with postgres_store.write_session() as session:
        take_in(session, photos, folder, by=("Edda", NOW))
    with postgres_store.read_session() as session:
        assert verify(Asked(session, photos)).broken == ()
        write_archive(session, photos, tmp_path / "from postgres", now=NOW)
    other = Store(f"sqlite:///{tmp_path / 'other.db'}")
    upgrade(other.url)
    with other.write_session() as session:
        take_in(session, photos, tmp_path / "from postgres", by=("Edda", NOW))
    with other.read_session() as session:
        write_archive(session, photos, tmp_path / "from sqlite", now=NOW)
    other.close()

    first = every_file(tmp_path / "from postgres")
    second = every_file(tmp_path / "from sqlite")
    same = {name for name in first if first[name] == second[name]}
    # the entry that the record was taken in is the one difference there is
    assert {name for name in first if name not in same} <= {
        "data/tables/ledger.jsonl", "data/tables/ledger.csv", "data/about.json",
        "bag-info.txt", "manifest-sha256.txt", "manifest-sha512.txt",
        "tagmanifest-sha256.txt", "tagmanifest-sha512.txt",
    }  # fmt: skip
    assert second["data/tables/ledger.jsonl"].startswith(
        first["data/tables/ledger.jsonl"]
    )


def test_two_archives_of_one_moment_are_the_same_bytes(archived, tmp_path):
    store, files, folder = archived
    with store.read_session() as session:
        write_archive(session, files, tmp_path / "twin", now=NOW)

    assert every_file(folder) == every_file(tmp_path / "twin")


def test_a_record_that_is_not_empty_takes_nothing_in(archived):
    store, files, folder = archived

    with pytest.raises(Conflict, match="not empty"), store.write_session() as session:
        take_in(session, files, folder, by=("Edda", NOW))


def test_a_broken_archive_is_refused_whole(archived, empty, tmp_path):
    _, _, folder = archived
    photo = next((folder / "data" / "photos").rglob("*.jpg"))
    photo.write_bytes(photo.read_bytes() + b"x")

    with (
        pytest.raises(InvalidInput, match="the file was changed"),
        empty.write_session() as session,
    ):
        take_in(session, PhotoFiles(tmp_path / "p"), folder, by=("Edda", NOW))

    assert not any(rows for rows in rows_of(empty).values())


def test_no_secret_is_in_an_archive(archived, tmp_path):
    store, files, _ = archived
    canary = "$argon2id$canary"
    with store.write_session() as session:
        session.execute(
            TABLES["account"].insert().values(
                id=uuid4(), name="Edda", email="e@example.org",
                role="inspector", password_hash=canary, is_active=True,
                recorded_at=NOW,
            )
        )  # fmt: skip
    with store.read_session() as session:
        write_archive(session, files, tmp_path / "second", now=NOW)

    everything = every_file(tmp_path / "second")
    assert not any(canary.encode() in content for content in everything.values())


class TestFiveQuestions:
    """Answered with a CSV reader alone, as a stranger would in 2076."""

    @pytest.fixture
    def tables(self, archived):
        _, _, folder = archived

        def read(name):
            text = (folder / "data" / "tables" / f"{name}.csv").read_text("utf-8")
            return list(csv.DictReader(io.StringIO(text, newline="")))

        support = next(row for row in read("support") if row["code"] == "P-0")
        return read, support, folder

    def test_when_was_it_last_looked_at(self, tables):
        read, support, _ = tables

        days = [
            row["inspected_on"]
            for row in read("inspection")
            if row["support_id"] == support["id"]
        ]

        assert max(days) == "2025-05-05"

    def test_what_was_read_over_the_years(self, tables):
        read, support, _ = tables
        visits = {r["id"]: r for r in read("inspection")}
        replaced = {r["supersedes_id"] for r in read("reading")}

        found = sorted(
            (visits[r["inspection_id"]]["inspected_on"], float(r["value"]))
            for r in read("reading")
            if r["quantity"] == "settlement"
            and r["id"] not in replaced
            and visits[r["inspection_id"]]["support_id"] == support["id"]
        )

        assert [value for _, value in found] == [12.5, 1.1, 1.2, 1.3, 1.4, 1.5]

    def test_who_changed_it(self, tables):
        read, _, _ = tables

        (who,) = {r["actor"] for r in read("ledger") if "corrected" in r["action"]}

        assert who == "Edda"

    def test_where_is_its_photograph(self, tables):
        read, support, folder = tables

        for row in read("photo"):
            (path,) = (folder / "data" / "photos").rglob(f"{row['sha256']}.*")
            content = path.read_bytes()
            assert hashlib.sha256(content).hexdigest() == row["sha256"]
            assert row["support_id"] == support["id"]

    def test_when_is_it_due(self, tables):
        read, support, _ = tables

        (due,) = [r for r in read("due") if r["support_id"] == support["id"]]

        assert due["due_on"][:4].isdecimal()


def test_texts_are_no_formulas_in_csv_and_untouched_in_json(archived):
    _, _, folder = archived
    text = (folder / "data" / "tables" / "support.csv").read_text("utf-8")
    lines = (folder / "data" / "tables" / "support.jsonl").read_text("utf-8")
    sites = (folder / "data" / "tables" / "site.csv").read_text("utf-8")

    cells = [row["reason"] for row in csv.DictReader(io.StringIO(text, newline=""))]
    (site,) = csv.DictReader(io.StringIO(sites, newline=""))
    assert set(cells) == {"'" + TRAP}
    assert json.loads(lines.splitlines()[0])["reason"] == TRAP
    assert site["longitude"] == "-20.1278"


@given(st.text(alphabet="='+-@\t\r\nab1 ", max_size=8))
def test_what_was_put_before_a_text_is_taken_off_again(text):
    assert archive_tables.unguarded(archive_tables.guarded(text)) == text


def test_the_pages_can_be_read_and_run_nothing(archived):
    _, _, folder = archived
    index = (folder / "data" / "index.html").read_text("utf-8")
    page = (folder / "data" / "supports" / "00001.html").read_text("utf-8")

    assert "P-0" in index
    assert "12.5 mm" in page
    assert "Screening only." in page
    assert "<script" not in index + page
    assert "=HYPERLINK(&quot;http://x&quot;" in page
    assert "src=&quot;" not in page


def test_every_column_has_its_line_in_the_dictionary(archived):
    _, _, folder = archived
    text = (folder / "data" / "dictionary.csv").read_text("utf-8")
    told = {(r["table"], r["column"]) for r in csv.DictReader(io.StringIO(text))}

    for path in (folder / "data" / "tables").glob("*.csv"):
        heading = path.read_text("utf-8").splitlines()[0].split(",")
        if path.stem != "ledger":
            assert {(path.stem, column) for column in heading} <= told


def test_a_packed_archive_comes_back_the_same(archived, tmp_path):
    _, _, folder = archived
    zip_folder(folder, tmp_path / "record.zip")

    back = unzip_bag(
        tmp_path / "record.zip", tmp_path / "out", at_most_bytes=10_000_000
    )

    assert every_file(back) == every_file(folder)


@pytest.mark.parametrize("name", ["../outside.txt", "/etc/outside", "a/../../outside"])
def test_a_zip_that_names_a_path_outside_is_refused(tmp_path, name):
    with zipfile.ZipFile(tmp_path / "trap.zip", "w") as packed:
        packed.writestr(name, "x")

    with pytest.raises(InvalidInput, match="outside"):
        unzip_bag(tmp_path / "trap.zip", tmp_path / "out", at_most_bytes=1000)


def test_a_zip_that_unpacks_beyond_measure_is_refused(tmp_path):
    with zipfile.ZipFile(tmp_path / "bomb.zip", "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("b/bagit.txt", b"0" * 5_000_000)

    with pytest.raises(InvalidInput, match="more than"):
        unzip_bag(tmp_path / "bomb.zip", tmp_path / "out", at_most_bytes=1_000_000)


@pytest.mark.parametrize("content", [b"", b"PK", b"no zip at all"])
def test_what_is_no_zip_is_refused_in_words(tmp_path, content):
    (tmp_path / "x.zip").write_bytes(content)

    with pytest.raises(InvalidInput, match="not taken in"):
        unzip_bag(tmp_path / "x.zip", tmp_path / "out", at_most_bytes=1000)


def test_a_later_entry_does_not_hurt_an_older_archive(archived):
    store, _, folder = archived
    with store.write_session() as session:
        later = NOW + timedelta(days=1)
        ledger.append(session, [("noted", "note", {})], actor="Edda", now=later)

    assert list(check_archive(folder)) == []
