"""Checkpoints: making them, keeping them in the data folder, proofs for one record."""

from collections.abc import Mapping
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import Any

from monitor.domain.checkpoints import (
    FINGERPRINT_DIGITS,
    Checkpoint,
    from_text,
    to_text,
)
from monitor.domain.ledger import LedgerEntry, told
from monitor.errors import InvalidInput, NotFound
from monitor.services.keeping.version import program_version
from monitor.store import Session, ledger_nodes
from monitor.store.disk import write_through
from monitor.store.ledger_find import entries_about, leaf_hashes

PROOF_FORMAT = "underprop proof 1"
GROWTH_FORMAT = "underprop growth 1"
AT_MOST = 1000


def make_checkpoint(session: Session, *, now: datetime) -> Checkpoint:
    """What the ledger is now; its first entry names it."""
    head = ledger_nodes.head(session)
    leaves = list(leaf_hashes(session))
    marks = "".join(leaf[:FINGERPRINT_DIGITS] for leaf in leaves)
    origin = f"ledger {leaves[0][:16]}" if leaves else "empty ledger"
    made_at = now.isoformat(timespec="seconds")
    return Checkpoint(head, made_at, origin, program_version(), marks)


def keep_checkpoint(folder: Path, checkpoint: Checkpoint) -> Path:
    """Write a checkpoint under its size; the same one is not written twice."""
    path = folder / f"checkpoint-{checkpoint.head.size:09}.json"
    if not path.exists():
        write_through(path, to_text(checkpoint).encode())
    return path


def read_checkpoint(path: Path) -> Checkpoint:
    """A checkpoint from its file.

    Raises
    ------
    InvalidInput : it is not there or is none
    """
    try:
        return from_text(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as error:
        raise InvalidInput(
            f"The checkpoint {path} can not be read: {error}.", code="vfy-002"
        ) from error


def newest_checkpoint(folder: Path) -> Path | None:
    """The newest kept checkpoint."""
    found = sorted(folder.glob("checkpoint-*.json"))
    return found[-1] if found else None


def prove(session: Session, about: str, *, now: datetime) -> dict[str, Any]:
    """Everything a stranger needs to see that entries are in the ledger.

    Parameters
    ----------
    about : number of an entry, code of a support, or id of a record

    Raises
    ------
    NotFound : the ledger says nothing of it
    """
    found = entries_about(session, about.strip(), at_most=AT_MOST)
    if not found:
        raise NotFound("entry of the ledger about", about)
    head = ledger_nodes.head(session)
    return {
        "format": PROOF_FORMAT,
        "about": about.strip(),
        "made_at": now.isoformat(timespec="seconds"),
        "size": head.size,
        "root": head.root,
        "entries": [_proved(session, entry, head.size) for entry in found],
    }


def prove_growth(session: Session, older: Checkpoint) -> dict[str, Any]:
    """Proof that the ledger of today begins with the one of the checkpoint.

    Raises
    ------
    InvalidInput : the checkpoint is longer than the ledger
    """
    head = ledger_nodes.head(session)
    if older.head.size > head.size:
        raise InvalidInput(
            f"The checkpoint has {older.head.size} entries, the ledger {head.size}: "
            "entries are missing from the ledger.",
            code="vfy-003",
        )
    size = older.head.size
    path = ledger_nodes.consistency(session, size, head.size) if size else []
    return {
        "format": GROWTH_FORMAT,
        "old": asdict(older.head),
        "new": asdict(head),
        "path": path,
    }


def _proved(session: Session, entry: LedgerEntry, size: int) -> Mapping[str, Any]:
    path = ledger_nodes.inclusion(session, entry.change.seq, size)
    return {"entry": told(entry), "path": path}
