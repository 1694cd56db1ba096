"""Records visits one after the other and says which are done: traced by power cuts.

`python -m tests.keeping.faults.visits FOLDER COUNT MODE`; a mode other than "as it is"
spoils the program, so that the trial can be seen to notice.
"""

import hashlib
import os
import random
import sys
from datetime import timedelta
from pathlib import Path

import sqlalchemy as sa

from monitor.services.recording.commands import InspectionCommand, ReadingCommand
from monitor.services.recording.photos import PhotoCommand, Subject, attach
from monitor.services.recording.record import record_inspection
from monitor.store import Store, records
from monitor.store.photos import PhotoFiles
from tests.conftest import NOON

MODES = ("as it is", "normal", "off", "photographs not synced")
PAGES_UNTIL_CHECKPOINT = 60
"""Far fewer than SQLite's own thousand, so that cuts meet many checkpoints."""


def main():
    """Record so many visits with a photograph each."""
    folder, count, mode = Path(sys.argv[1]), int(sys.argv[2]), sys.argv[3]
    store = Store(f"sqlite:///{folder / 'underprop.db'}")
    files = PhotoFiles(folder / "photos")
    chance = random.Random(count)
    _spoil(store, mode)
    for number in range(count):
        key, sha256 = _visit(store, files, number, chance.randbytes(2000))
        os.write(1, f"done {key} {sha256}\n".encode())
    store.close()


def _visit(store, files, number, noise):
    body = b"\xff\xd8\xff\xe0" + noise
    sha256 = hashlib.sha256(body).hexdigest()
    files.add_piece(sha256, 0, body)
    files.settle(sha256)
    command = InspectionCommand(
        f"P-{number % 3}", NOON.date() - timedelta(days=number), "Noor",
        (ReadingCommand("settlement", "1.1 mm"), ReadingCommand("gap", "0.4 mm")),
    )  # fmt: skip
    with store.write_session() as session:
        made = record_inspection(session, command, actor="Noor", now=NOON)
        support = records.SUPPORTS.find(session, code=command.support)
        subject = Subject(command.support, support.id, made.id, {})
        attach(session, files, [PhotoCommand(sha256)], subject, by=("Noor", NOON))
    return made.id, sha256


def _spoil(store, mode):
    synchronous = {"normal": "NORMAL", "off": "OFF"}.get(mode)

    @sa.event.listens_for(store.engine, "connect")
    def set_pragmas(connection, _record):
        connection.execute(f"PRAGMA wal_autocheckpoint={PAGES_UNTIL_CHECKPOINT}")
        if synchronous:
            connection.execute(f"PRAGMA synchronous={synchronous}")

    if mode == "photographs not synced":
        os.fsync = lambda _handle: None


if __name__ == "__main__":
    main()
