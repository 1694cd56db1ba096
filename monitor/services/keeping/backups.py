"""Backups: made while the record is written, each proved by a real restore.

A backup is a folder: the database, and a note of what it holds. The photographs of all
backups share one folder beside them, each under its hash, so a backup costs the new
ones only. Nothing that a backup wants is ever taken out of that folder.
"""

import hashlib
import json
import shutil
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from monitor.errors import Conflict, InvalidInput
from monitor.services.keeping.version import program_version
from monitor.store import Store, ledger_nodes, schema
from monitor.store.copying import (
    as_one_file,
    copy_database,
    is_sqlite,
    photos_named_in,
)
from monitor.store.disk import sync_folder, write_through
from monitor.store.photos import PhotoFiles

NOTE, DATABASE, PHOTOS = "backup.json", "underprop.db", "photos"
FORMAT = "underprop backup 1"
WANTS_RESTORE_WITHIN = timedelta(days=35)
_NAME = "backup-%Y%m%dT%H%M%SZ"


@dataclass(frozen=True, slots=True)
class Backup:
    """One backup and what is known of it.

    Attributes
    ----------
    size, root : head of the ledger in it
    verified_at : when it was restored for trial and held, None if never
    """

    folder: Path
    made_at: datetime
    revision: str
    size: int
    root: str
    database_sha256: str
    photos: int
    verified_at: datetime | None = None


def back_up(store: Store, photos: PhotoFiles, folder: Path, *, now: datetime) -> Backup:
    """Make a backup; it appears under its name only when it is whole.

    Raises
    ------
    InvalidInput : the database is no SQLite file
    StoreUnavailable : the disk is full; nothing is left behind
    """
    if not is_sqlite(store.url):
        raise InvalidInput(
            "This makes a copy of a SQLite file. For PostgreSQL use “underprop "
            "archive”, or the server's own pg_basebackup with archiving of its log.",
            code="bak-001",
        )
    path = folder / now.strftime(_NAME)
    if path.exists():
        raise Conflict(f"There is a backup {path.name} already.", code="bak-002")
    part = path.with_name(path.name + ".part")
    shutil.rmtree(part, ignore_errors=True)
    part.mkdir(parents=True)
    try:
        copy_database(store.url, part / DATABASE)
        hashes = photos_named_in(part / DATABASE)
        copy_photos(hashes, photos, PhotoFiles(folder / PHOTOS))
        made = _described(part / DATABASE, path, now, len(hashes))
        write_note(made, part)
        part.rename(path)
        sync_folder(folder)
    except BaseException:
        shutil.rmtree(part, ignore_errors=True)
        raise
    return made


def backups_in(folder: Path) -> list[Backup]:
    """Every whole backup, oldest first."""
    return [read_backup(path.parent) for path in sorted(folder.glob(f"*/{NOTE}"))]


def read_backup(path: Path) -> Backup:
    """What a backup says of itself.

    Raises
    ------
    InvalidInput : this folder is no backup
    """
    try:
        said: dict[str, Any] = json.loads((path / NOTE).read_text(encoding="utf-8"))
        verified = said["verified_at"]
        return Backup(
            folder=path,
            made_at=datetime.fromisoformat(said["made_at"]),
            revision=said["revision"],
            size=said["entries"],
            root=said["root"],
            database_sha256=said["database_sha256"],
            photos=said["photographs"],
            verified_at=datetime.fromisoformat(verified) if verified else None,
        )
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise InvalidInput(
            f"{path} is no backup of ours ({error}).", code="bak-003"
        ) from error


def copy_photos(hashes: Iterable[str], source: PhotoFiles, target: PhotoFiles) -> None:
    """Bring the photographs that are not there yet; a broken one is not brought."""
    for sha256 in hashes:
        if not target.holds(sha256) and source.is_whole(sha256):
            target.take_copy(sha256, source.path(sha256))


def write_note(backup: Backup, folder: Path) -> None:
    """Write what a backup says of itself."""
    write_through(folder / NOTE, _to_text(backup).encode())


def rotate(folder: Path, *, daily: int, weekly: int, monthly: int) -> list[Path]:
    """Remove backups that are wanted neither for a day, a week nor a month.

    The newest of each of the last days, weeks and months stays, and so does the newest
    that was restored for trial.

    Returns
    -------
    What was removed.
    """
    found = backups_in(folder)
    kept = {backup.folder for backup in _newest_of(found, "%Y-%m-%d", daily)}
    kept |= {backup.folder for backup in _newest_of(found, "%G-%V", weekly)}
    kept |= {backup.folder for backup in _newest_of(found, "%Y-%m", monthly)}
    good = [backup for backup in found if backup.verified_at]
    kept |= {backup.folder for backup in good[-1:]}
    gone = [backup.folder for backup in found if backup.folder not in kept]
    for path in gone:
        shutil.rmtree(path)
    return gone


def alarm(folder: Path, *, since: datetime, now: datetime) -> str:
    """A sentence if no backup was restored for trial lately, empty if one was.

    Parameters
    ----------
    since : when this installation began to make backups
    """
    good = [backup.verified_at for backup in backups_in(folder) if backup.verified_at]
    if now - max([since, *good]) <= WANTS_RESTORE_WITHIN:
        return ""
    last = f"{max(good):%-d %B %Y}" if good else "never"
    return (
        f"The last backup that was restored for trial and held: {last}. One within "
        f"{WANTS_RESTORE_WITHIN.days} days is wanted; run “underprop backup”."
    )


def _described(database: Path, path: Path, now: datetime, photos: int) -> Backup:
    copy = Store(f"sqlite:///{database}")
    try:
        with copy.read_session() as session:
            head = ledger_nodes.head(session)
        revision = schema.current_revision(copy)
    finally:
        copy.close()
    as_one_file(database)
    sha256 = sha256_of(database)
    return Backup(path, now, revision, head.size, head.root, sha256, photos)


def _newest_of(found: Iterable[Backup], period: str, count: int) -> list[Backup]:
    by_period = {backup.made_at.strftime(period): backup for backup in found}
    return list(by_period.values())[-count:] if count else []


def _to_text(backup: Backup) -> str:
    said = {
        "format": FORMAT,
        "made_at": backup.made_at.isoformat(),
        "program": program_version(),
        "revision": backup.revision,
        "entries": backup.size,
        "root": backup.root,
        "database_sha256": backup.database_sha256,
        "photographs": backup.photos,
        "verified_at": backup.verified_at.isoformat() if backup.verified_at else None,
    }
    return json.dumps(said, indent=1) + "\n"


def sha256_of(path: Path) -> str:
    """SHA-256 of a file."""
    digest = hashlib.sha256()
    for piece in pieces_of(path):
        digest.update(piece)
    return digest.hexdigest()


def pieces_of(path: Path) -> Iterable[bytes]:
    """A file in pieces of a megabyte."""
    with path.open("rb") as file:
        while piece := file.read(1 << 20):
            yield piece
