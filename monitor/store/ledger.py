"""Writing and reading the append-only history.

Each entry vouches for the rows written with it: the repositories note what they write,
`append` takes the hashes into the entry that names the row, or into the last one.
"""

import re
import secrets
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextvars import ContextVar
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.domain.ledger import (
    SEALED_FORM,
    START,
    Change,
    LedgerEntry,
    Line,
    Seal,
    canonical,
    chain_hash,
    commitment,
    leaf_hash,
    leaf_of,
    row_hash,
)
from monitor.store.ledger_nodes import grow
from monitor.store.ledger_rows import Key, has_written, take_written
from monitor.store.models import LedgerRow

ORIGIN: ContextVar[str] = ContextVar("origin", default="")
"""From where the changes of this thread come, such as "pages 127.0.0.1"."""

_TABLE = LedgerRow.metadata.tables["ledger"]
_POSTGRES_LOCK = 7_405_214
_CHANGE_FIELDS = (
    "seq", "recorded_at", "actor", "action", "subject", "payload",
    "device_at", "origin", "reason",
)  # fmt: skip
_SEAL_FIELDS = {
    "form": "form", "row_hashes": "rows", "salt": "salt", "commitment": "commitment",
}  # fmt: skip
_HASHES = ("leaf_hash", "chain_hash")
_COLUMNS = [
    _TABLE.c[name]
    for name in (*_CHANGE_FIELDS, "leaf_hash", "chain_hash", *_SEAL_FIELDS)
]
_LINES = sa.select(
    *(
        sa.type_coerce(column, sa.Text) if column.name.endswith("_at") else column
        for column in _COLUMNS
    )
).order_by(_TABLE.c.seq)
_ID = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")
_STAMP = "ledger stamp"


def append(
    session: Session,
    changes: Iterable[tuple[str, str, object]],
    *,
    actor: str,
    now: datetime,
) -> None:
    """Chain changes to the history, in the transaction that makes them.

    Parameters
    ----------
    changes : (action, subject, payload) of each; the payload becomes canonical JSON
    """
    wanted = [
        (action, subject, canonical(said), said) for action, subject, said in changes
    ]
    if not wanted:
        return
    if session.get_bind().dialect.name == "postgresql":
        session.execute(sa.select(sa.func.pg_advisory_xact_lock(_POSTGRES_LOCK)))
    seq, previous = _last(session)
    shares = _shared_out(take_written(session), [text for _, _, text, _ in wanted])
    made = []
    for (action, subject, text, said), rows in zip(wanted, shares, strict=True):
        seq += 1
        change = Change(seq, now, actor, action, subject, text, origin=ORIGIN.get())
        entry = _sealed(_with_context(change, said), rows, previous)
        previous = entry.chain_hash
        made.append(entry)
    session.execute(sa.insert(_TABLE), [_row(entry) for entry in made])
    grow(session, made[0].change.seq, [entry.leaf_hash for entry in made])
    session.info[_STAMP] = (wanted[-1][1], actor, now)


def close(session: Session) -> None:
    """Vouch for rows that were written after the last entry of the transaction."""
    stamp = session.info.pop(_STAMP, None)
    if stamp is not None and has_written(session):
        subject, actor, now = stamp
        append(session, [("also written", subject, {})], actor=actor, now=now)
        session.info.pop(_STAMP)


def entries(
    session: Session, *, subject: str | None = None, after: int = 0
) -> Iterator[LedgerEntry]:
    """All entries in order, or those of one subject, or those after a number."""
    query = sa.select(*_COLUMNS).where(_TABLE.c.seq > after).order_by(_TABLE.c.seq)
    if subject is not None:
        query = query.where(_TABLE.c.subject == subject)
    with session.execute(query.execution_options(yield_per=5000)) as result:
        for row in result:
            yield _entry(row)


def lines(session: Session) -> Iterator[Line]:
    """All entries in order, as they are stored: nothing is made of their values."""
    with session.connection().execution_options(yield_per=5000).execute(_LINES) as all_:
        for row in all_:
            seq, at, *said = row
            times = _as_hashed(at), _device(said[4])
            yield Line._make((seq, times[0], *said[:4], times[1], *said[5:]))


def _as_hashed(at: str | datetime) -> str:
    """An instant of the database in the letters it was hashed in."""
    text = at if isinstance(at, str) else at.astimezone(UTC).isoformat()
    return text.replace(".000000", "", 1)


def _device(at: str | datetime | None) -> str | None:
    return None if at is None else _as_hashed(at)


def entry_of(row: Mapping[Any, Any]) -> LedgerEntry:
    """The entry that a row of the ledger holds."""
    return _entry([row[column.name] for column in _COLUMNS])


def _entry(row: Sequence[Any]) -> LedgerEntry:
    changed = len(_CHANGE_FIELDS)
    leaf, chain, *seal = row[changed:]
    return LedgerEntry(Change(*row[:changed]), leaf, chain, Seal(*seal))


def first_broken(session: Session) -> int | None:
    """Number of the first entry that does not fit what it was, or None if all do.

    A quick look: an entry whose words were erased fits by its commitment. Whether that
    was by right, and whether the rows fit their entries, is for `underprop verify`.
    """
    previous, expected_seq = START, 1
    for line in lines(session):
        previous = chain_hash(previous, line.leaf_hash)
        is_next = line.seq == expected_seq and line.chain_hash == previous
        if not is_next or not (is_whole(line) or is_erased(line)):
            return expected_seq
        expected_seq += 1
    return None


def is_whole(line: Line) -> bool:
    """Whether every word of an entry fits its leaf hash."""
    if leaf_of(line) != line.leaf_hash:
        return False
    if line.form != SEALED_FORM:
        return True
    return bool(line.salt) and commitment(line, line.salt) == line.commitment


def is_erased(line: Line) -> bool:
    """Whether the words of an entry were let go and only its commitment stayed."""
    is_sealed = line.form == SEALED_FORM and not line.salt
    return is_sealed and leaf_of(line) == line.leaf_hash


def _sealed(change: Change, rows: Mapping[Key, str], previous: str) -> LedgerEntry:
    salt = secrets.token_hex(16)
    hashes = [[*key, row_hash(salt, *key, said)] for key, said in rows.items()]
    made = commitment(change, salt)
    seal = Seal(SEALED_FORM, canonical(hashes), salt, made)
    leaf = leaf_hash(change, seal)
    return LedgerEntry(change, leaf, chain_hash(previous, leaf), seal)


def _shared_out(rows: Mapping[Key, str], texts: list[str]) -> list[dict[Key, str]]:
    """Each row with the first entry that names it, else with the last entry."""
    shares: list[dict[Key, str]] = [{} for _ in texts]
    if len(texts) == 1:
        return [dict(rows)]
    named: dict[str, int] = {}
    for place, text in enumerate(texts):
        for key in _ID.findall(text):
            named.setdefault(key, place)
    for (table, key), said in rows.items():
        shares[named.get(key, len(texts) - 1)][table, key] = said
    return shares


def _with_context(change: Change, said: object) -> Change:
    """The change with the reason and the time of the device that its payload tells."""
    told = [said] if isinstance(said, Mapping) else []
    told += [
        part for whole in told for part in whole.values() if isinstance(part, Mapping)
    ]
    reason = next((str(p["reason"]) for p in told if p.get("reason")), "")
    device_at = next((p["device_at"] for p in told if p.get("device_at")), None)
    if not isinstance(device_at, datetime):
        device_at = None
    return replace(change, reason=reason, device_at=device_at)


def _last(session: Session) -> tuple[int, str]:
    query = sa.select(_TABLE.c.seq, _TABLE.c.chain_hash).order_by(_TABLE.c.seq.desc())
    row = session.execute(query.limit(1)).first()
    return (row.seq, row.chain_hash) if row else (0, START)


def _row(entry: LedgerEntry) -> dict[str, object]:
    values = {name: getattr(entry.change, name) for name in _CHANGE_FIELDS}
    values |= {name: getattr(entry.seal, f) for name, f in _SEAL_FIELDS.items()}
    return {**values, "leaf_hash": entry.leaf_hash, "chain_hash": entry.chain_hash}
