"""The whole record as one package that any program, or a person, can read.

A folder in the BagIt layout: every table as JSON Lines and CSV, what each column means,
the original photographs, plain pages to read, and a program to check it all.
"""

import json
from collections.abc import Iterable, Iterator
from datetime import datetime
from pathlib import Path

from monitor.exchange import archive_verifier, signature_verifier
from monitor.exchange.archive_bag import Bag
from monitor.exchange.archive_dictionary import (
    fact_rows,
    finding_rows,
    meanings,
    quantity_rows,
)
from monitor.exchange.archive_pages import Pages, photo_path
from monitor.exchange.archive_tables import Row, csv_lines, json_lines
from monitor.services.keeping.version import program_version
from monitor.store import Session, ledger_nodes, schema
from monitor.store.archive_rows import (
    archived_tables,
    column_names,
    plain_rows,
    row_classes,
    vouched_keys,
)
from monitor.store.photos import PhotoFiles

FORMAT = "underprop archive 1"
_PROGRAMS = {
    "verify_record.py": archive_verifier,
    "verify_signature.py": signature_verifier,
}
README = """\
THE RECORD OF INSTALLED TREE SUPPORTS

What this is. The whole record of supports under and through trees: what was installed
when, every reading taken since, every finding, work, photograph and decision, and the
ledger of every change. It needs no program of ours. All text is UTF-8.

Where to begin.
  index.html            open it in a browser: every support and its life, to read
  tables/*.csv          one list a table; any spreadsheet opens them
  tables/*.jsonl        the same, one JSON object a line: this is the record proper
  dictionary.csv        what every table and column means, and its unit
  quantities.csv        what was measured, its unit and sign; facts.csv, findings.csv
  photos/               the original photographs, each named by the SHA-256 of its bytes
  verify_record.py      checks everything; Python's own library is all it needs
  verify_signature.py   checks who signed a checkpoint, likewise

How the tables hang together. A site has trees, a tree has supports, a support has
members (posts, pins, cables, rods, guys), a member has marks, and readings are taken at
marks during inspections. A column that ends in _id names a row of another table.
Nothing was edited away: a row with a supersedes_id replaces an older one, which is
still there. Where two rows share a root_id the one that nobody supersedes holds.
In CSV an apostrophe stands before a text that a spreadsheet would take for a formula.

How to know it is whole.
  python3 verify_record.py archive FOLDER [CHECKPOINT]
A checkpoint is a small file of the size and root hash of the ledger that was given to
others at the time; with it, nobody can have rewritten the past unnoticed.

What is not in it. Passwords and other secrets, and who was signed in when.

Caution. Forecasts and standings in here are screening only. Local code, a qualified
arborist and a licensed engineer decide.
"""


def write_archive(
    session: Session, photos: PhotoFiles, folder: Path, *, now: datetime
) -> int:
    """Write the package; how many rows are in it.

    Raises
    ------
    InvalidInput : the folder is not empty
    NotFound : a photograph of the record is not there
    """
    bag = Bag(folder)
    tables = {t.name: list(plain_rows(session, t)) for t in archived_tables()}
    for name, rows in tables.items():
        columns = list(rows[0]) if rows else column_names(name)
        bag.add(f"tables/{name}.jsonl", json_lines(rows))
        bag.add(f"tables/{name}.csv", csv_lines(rows, columns))
    for photo in _originals(tables["photo"]):
        bag.add(photo_path(photo), [photos.read(photo["sha256"])])
    _add_words(bag, session, now)
    pages = Pages(tables)
    bag.add("index.html", [pages.index().encode()])
    for name, row in pages.supports():
        bag.add(f"supports/{name}", [pages.support(row).encode()])
    bag.close(
        [
            ("Source-Organization", "the keeper of this record"),
            ("External-Description", "Record of installed tree supports"),
            ("Bagging-Date", now.date().isoformat()),
            ("Bag-Software-Agent", f"underprop {program_version()}"),
        ]
    )
    return sum(len(rows) for rows in tables.values())


def _originals(photos: Iterable[Row]) -> Iterator[Row]:
    """Each photograph once, however often the record names it."""
    yield from {photo["sha256"]: photo for photo in photos}.values()


def _add_words(bag: Bag, session: Session, now: datetime) -> None:
    head = ledger_nodes.head(session)
    about = {
        "format": FORMAT,
        "revision": schema.head_revision(),
        "program": f"underprop {program_version()}",
        "made_at": now.isoformat(timespec="seconds"),
        "size": head.size,
        "root": head.root,
        "vouched": vouched_keys(),
    }
    bag.add("about.json", [json.dumps(about, indent=1).encode()])
    bag.add("README.txt", [README.encode()])
    for name, program in _PROGRAMS.items():
        bag.add(name, [Path(str(program.__file__)).read_bytes()])
    named = {table.name: row_classes()[table.name] for table in archived_tables()}
    columns = [
        {
            "table": one.table, "column": one.column, "type": one.type,
            "meaning": one.meaning, "words": "; ".join(one.words),
        }
        for one in meanings(named)
    ]  # fmt: skip
    lists: dict[str, list[Row]] = {
        "dictionary": [*columns],
        "quantities": [*quantity_rows()],
        "facts": [*fact_rows()],
        "findings": [*finding_rows()],
    }
    for name, rows in lists.items():
        bag.add(f"{name}.csv", csv_lines(rows, list(rows[0])))
