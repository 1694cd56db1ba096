"""Nightly jobs that keep the record whole: checkpoint, backup, photographs."""

from monitor.clock import Clock
from monitor.errors import StoreError
from monitor.services.keeping.backups import back_up, rotate
from monitor.services.keeping.checkpoints import keep_checkpoint, make_checkpoint
from monitor.services.keeping.fixity import due_today, look_at, photo_hashes
from monitor.services.keeping.mailing import mail_checkpoint
from monitor.services.keeping.restoring import try_restore
from monitor.services.keeping.signing import sign
from monitor.settings import from_environ
from monitor.store import Store
from monitor.store.copying import is_sqlite
from monitor.store.ledger import append
from monitor.store.photos import PhotoFiles

ACTOR = "nightly job"


def keep_checkpoint_of_today(store: Store, clock: Clock) -> str:
    """Sign what the ledger is, keep it, and mail it out to those who are named."""
    settings, now = from_environ(), clock.now()
    with store.read_session() as session:
        made = sign(make_checkpoint(session, now=now), settings.data_folder)
    keep_checkpoint(settings.checkpoint_folder, made)
    with store.write_session() as session:
        mailed = mail_checkpoint(session, made, settings.checkpoint_people, now=now)
    return f"{made.head.size} entries, root {made.head.root}; letters: {mailed}"


def back_up_record(store: Store, clock: Clock) -> str:
    """Back up, restore the backup for trial, remove those no longer wanted."""
    if not is_sqlite(store.url):
        return "PostgreSQL is backed up by its own means; see the runbook"
    settings = from_environ()
    photos, now = PhotoFiles(settings.photo_folder), clock.now()
    made = back_up(store, photos, settings.backups, now=now)
    try_restore(made, settings.backups / "trying", now=now)
    gone = rotate(
        settings.backups,
        daily=settings.backup_daily,
        weekly=settings.backup_weekly,
        monthly=settings.backup_monthly,
    )
    return f"{made.folder.name}: {made.size} entries, held; removed: {len(gone)}"


def look_at_photographs(store: Store, clock: Clock) -> str:
    """Hash a thirtieth of the photographs; mend what is broken from the backups.

    Raises
    ------
    StoreError : photographs that no copy holds whole
    """
    settings, now = from_environ(), clock.now()
    files = PhotoFiles(settings.photo_folder)
    copy = PhotoFiles(settings.backups / "photos")
    with store.read_session() as session:
        wanted = due_today(photo_hashes(session), now.date())
    found = look_at(wanted, files, [copy])
    if found.mended or found.lost:
        payload = {"mended": found.mended, "lost": found.lost}
        with store.write_session() as session:
            change = ("photographs looked at", "photographs", payload)
            append(session, [change], actor=ACTOR, now=now)
    if found.lost:
        raise StoreError(
            f"{len(found.lost)} photographs are broken and no copy is whole: "
            f"{', '.join(found.lost[:5])}.",
            code="sto-004",
        )
    return f"photographs looked at: {found.looked_at}; mended: {len(found.mended)}"
