"""A writer that records visits on one support, one transaction each."""

import time
from datetime import timedelta

from monitor.services.recording.commands import InspectionCommand, ReadingCommand
from monitor.services.recording.record import record_inspection
from tests.conftest import NOON


def record_visits(store, first, count, say, *, patience=((), 0)):
    """Record so many, each on a day of its own, and say the id of each that is kept.

    Parameters
    ----------
    patience : errors after which it is tried again, and how often in all
    """
    errors, tries = patience
    done = first
    while done < first + count:
        command = InspectionCommand(
            "P-0", NOON.date() - timedelta(days=done), f"Noor {first}",
            (ReadingCommand("settlement", "1.1 mm"),),
        )  # fmt: skip
        try:
            with store.write_session() as session:
                made = record_inspection(session, command, actor="Noor", now=NOON)
        except errors:
            tries -= 1
            if tries < 0:
                raise
            time.sleep(0.1)
            continue
        say(made.id)
        done += 1
    store.close()
