"""Making the large record once, with an account to sign in with."""

from pathlib import Path

from monitor.domain.vocabulary import Role
from monitor.services import access
from monitor.store import Store
from monitor.store.schema import current_revision, head_revision, upgrade
from tests.browser.bench.large_record import NOW, fill

NAME, PASSWORD = "Ines", "oak beam and rope of the bench"


def made_record(folder: Path, supports: int) -> Path:
    """The file with so many supports; made if it is not there yet."""
    path = folder / f"record-{supports}.db"
    if path.exists():
        _bring_up_to_date(f"sqlite:///{path}")
        return path
    folder.mkdir(parents=True, exist_ok=True)
    begun = path.with_suffix(".begun")
    begun.unlink(missing_ok=True)
    url = f"sqlite:///{begun}"
    upgrade(url)
    store = Store(url)
    fill(store, supports)
    with store.write_session() as session:
        new = access.NewAccount(NAME, "", Role.MANAGER, PASSWORD)
        access.add_account(session, new, actor="bench", now=NOW)
    with store.engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    store.close()
    begun.rename(path)
    return path


def _bring_up_to_date(url: str) -> None:
    """Upgrade a record that was made by an earlier program; it takes minutes."""
    store = Store(url)
    found = current_revision(store)
    store.close()
    if found != head_revision():
        upgrade(url)
