"""Putting a backup in the place of the record, for trial or in earnest."""

import shutil
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from monitor.errors import StoreError
from monitor.services.keeping.backups import (
    DATABASE,
    PHOTOS,
    Backup,
    copy_photos,
    pieces_of,
    sha256_of,
    write_note,
)
from monitor.services.keeping.erasures import erase_again
from monitor.services.keeping.upgrading import bring_up
from monitor.services.keeping.verify import Asked, verify
from monitor.store import Store, ledger, ledger_nodes
from monitor.store.copying import copy_database, database_file, photos_named_in
from monitor.store.disk import sync_folder, write_through
from monitor.store.photos import PhotoFiles


def try_restore(backup: Backup, scratch: Path, *, now: datetime) -> Backup:
    """Restore into a scratch folder and verify all of it; note that it held.

    Raises
    ------
    StoreError : what is wrong with it
    """
    shutil.rmtree(scratch, ignore_errors=True)
    try:
        store = Store(f"sqlite:///{_place(backup, scratch)}")
        try:
            _refuse_broken(backup, store)
        finally:
            store.close()
    finally:
        shutil.rmtree(scratch, ignore_errors=True)
    tried = replace(backup, verified_at=now)
    write_note(tried, backup.folder)
    return tried


def restore(
    backup: Backup, url: str, photos: PhotoFiles, *, by: tuple[str, datetime]
) -> Path | None:
    """Put a backup in the place of the record; an existing one is moved aside.

    The restore becomes an entry of the restored ledger. Names that were erased since
    the backup was made are erased again, by the list beside the backups.

    Parameters
    ----------
    by : actor and instant

    Returns
    -------
    Where the record is that was there before.

    Raises
    ------
    StoreError : the backup was changed; the record stays as it is
    """
    actor, now = by
    target = database_file(url)
    placed = _place(backup, target.parent / "restoring")
    copy_photos(photos_named_in(placed), _photos_of(backup), photos)
    aside = _move_aside(url, target, now)
    placed.replace(target)
    shutil.rmtree(placed.parent)
    sync_folder(target.parent)
    bring_up(url, actor=actor, now=now)
    store = Store(url)
    payload = {
        "backup": backup.folder.name,
        "made_at": backup.made_at.isoformat(),
        "entries": backup.size,
        "root": backup.root,
    }
    with store.write_session() as session:
        change = ("record restored from a backup", "record", payload)
        ledger.append(session, [change], actor=actor, now=now)
    with store.write_session() as session:
        erase_again(session, backup.folder.parent, actor=actor, now=now)
    store.close()
    return aside


def _move_aside(url: str, target: Path, now: datetime) -> Path | None:
    if not target.exists():
        return None
    aside = target.with_name(f"{target.name}.before-{now:%Y%m%dT%H%M%SZ}")
    copy_database(url, aside)
    for suffix in ("", "-wal", "-shm"):
        target.with_name(target.name + suffix).unlink(missing_ok=True)
    return aside


def _place(backup: Backup, folder: Path) -> Path:
    source, target = backup.folder / DATABASE, folder / DATABASE
    if sha256_of(source) != backup.database_sha256:
        raise StoreError(
            f"The database in {backup.folder.name} is no longer what was backed up.",
            code="bak-004",
        )
    write_through(target, pieces_of(source))
    return target


def _photos_of(backup: Backup) -> PhotoFiles:
    return PhotoFiles(backup.folder.parent / PHOTOS)


def _refuse_broken(backup: Backup, store: Store) -> None:
    bring_up(store.url, actor="trial of a backup", now=backup.made_at)
    with store.read_session() as session:
        found = verify(Asked(session, _photos_of(backup)))
        head = ledger_nodes.head(session, min(backup.size, found.head.size))
    is_same = (head.size, head.root) == (backup.size, backup.root)
    if not found.holds or not is_same:
        why = str(found.broken[0]) if found.broken else "its ledger is another."
        raise StoreError(
            f"The backup {backup.folder.name} does not hold: {why}", code="bak-005"
        )
