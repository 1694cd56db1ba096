"""Taking an archive into an empty record: every row, photograph and ledger entry."""

import hashlib
import json
from datetime import datetime
from pathlib import Path
from typing import Any

from monitor.errors import Conflict, InvalidInput
from monitor.exchange.archive_pages import photo_path
from monitor.exchange.archive_tables import read_json_lines
from monitor.exchange.archive_verifier import check_archive
from monitor.services.keeping.archive import FORMAT
from monitor.store import Session, ledger, schema
from monitor.store.archive_rows import (
    LEDGER,
    archived_tables,
    insert_entries,
    insert_rows,
    is_empty,
)
from monitor.store.photos import PhotoFiles

NAMED_AT_MOST = 5


def take_in(
    session: Session,
    photos: PhotoFiles,
    bag: Path,
    *,
    by: tuple[str, datetime],
) -> int:
    """Take in an archive; how many rows came.

    The ledger goes on where that of the archive ended, with an entry that says so.

    Parameters
    ----------
    by : actor and instant

    Raises
    ------
    Conflict : the record is not empty
    InvalidInput : the archive is not what was written, or of a newer program
    """
    if not is_empty(session):
        raise Conflict(
            "The record is not empty; an archive is taken into an empty one only. "
            "Set UNDERPROP_DATA_FOLDER to a new folder and run “underprop setup”.",
            code="arc-006",
        )
    about = _checked(bag)
    rows = {}
    for table in archived_tables():
        path = bag / "data" / "tables" / f"{table.name}.jsonl"
        rows[table.name] = read_json_lines(path.read_bytes()) if path.exists() else []
    for photo in rows["photo"]:
        _bring(photos, bag / "data" / photo_path(photo), photo["sha256"])
    for table in archived_tables():
        if table.name != LEDGER:
            insert_rows(session, table, rows[table.name])
    insert_entries(session, rows[LEDGER])
    actor, now = by
    payload = {name: about[name] for name in ("size", "root", "made_at", "program")}
    change = ("record taken in from an archive", "record", payload)
    ledger.append(session, [change], actor=actor, now=now)
    return sum(len(some) for some in rows.values())


def _checked(bag: Path) -> dict[str, Any]:
    try:
        about: dict[str, Any] = json.loads((bag / "data" / "about.json").read_text())
        head = {"size": about["size"], "root": about["root"]}
        wrong = list(check_archive(bag, head))
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise InvalidInput(
            f"{bag} is no archive of ours: {error}.", code="arc-007"
        ) from error
    if wrong:
        raise InvalidInput(
            f"The archive is not what was written, nothing was taken in: "
            f"{'; '.join(wrong[:NAMED_AT_MOST])}.",
            code="arc-008",
        )
    if about["format"] != FORMAT or about["revision"] > schema.head_revision():
        raise InvalidInput(
            f"The archive is of {about['program']}, which is newer than this program.",
            code="arc-009",
        )
    return about


def _bring(photos: PhotoFiles, source: Path, sha256: str) -> None:
    if photos.is_whole(sha256):
        return
    if hashlib.sha256(source.read_bytes()).hexdigest() != sha256:
        raise InvalidInput(f"The photograph {sha256} is broken.", code="arc-010")
    photos.take_copy(sha256, source)
