"""Letting a name go while every fact and every proof stays.

Only columns that name a person change, and only while the newest entry of the ledger
says that an erasure has begun: the database refuses everything else.
"""

import json
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.domain.ledger import LedgerEntry, canonical, words_hash
from monitor.store import ledger
from monitor.store.ledger_rows import Key, note_written, rows_of, vouched_tables
from monitor.store.models import Base
from monitor.store.models.guards import EVIDENCE
from monitor.store.types import Words

_TABLES = Base.metadata.tables
_LEDGER = _TABLES["ledger"]
_OF_MASTER = {"account": ("name",), "party": ("name",), "event": ()}
_LET_GO_WITH = {"account": {"email": "", "password_hash": "", "is_active": False}}


@dataclass(frozen=True, slots=True)
class Name:
    """The name of a person and what stands in its place."""

    told: str
    instead: str


def names_somebody(session: Session, name: str) -> bool:
    """Whether the record names that person anywhere but in running text."""
    in_rows = any(
        session.execute(sa.select(table).where(column == name).limit(1)).first()
        for table, column in _columns()
    )
    in_ledger = sa.select(_LEDGER.c.seq).where(_LEDGER.c.actor == name).limit(1)
    return in_rows or session.execute(in_ledger).first() is not None


def names_in(session: Session) -> set[str]:
    """Every name of a person that stands in a column of its own."""
    actors = session.execute(sa.select(_LEDGER.c.actor).distinct()).scalars()
    found = set(actors)
    for _, column in _columns():
        found.update(session.execute(sa.select(column).distinct()).scalars())
    return {name for name in found if name}


def rename_rows(session: Session, name: Name) -> int:
    """Put the other name into every row; how many changed."""
    changed: set[Key] = set()
    for table, column in _columns():
        hit = column == name.told
        keys = session.execute(sa.select(*table.primary_key).where(hit)).fetchall()
        if not keys:
            continue
        values = {column.name: name.instead, **_LET_GO_WITH.get(table.name, {})}
        session.execute(sa.update(table).where(hit).values(**values))
        changed |= {(table.name, str(row[0])) for row in keys}
    _vouch_again(session, changed)
    return len(changed)


def redact_entries(session: Session, name: Name) -> dict[int, str]:
    """Put the other name into every entry and drop its salt.

    Returns
    -------
    Number of each entry, and the hash of the words that were left.
    """
    left, rows = {}, set()
    for entry in list(_entries_with(session, name.told)):
        change = entry.change
        said = json.loads(change.payload)
        better = replace(
            change,
            actor=name.instead if change.actor == name.told else change.actor,
            origin=change.origin.replace(name.told, name.instead),
            payload=canonical(_without(said, name)),
        )
        if better == change:
            continue
        session.execute(
            sa.update(_LEDGER)
            .where(_LEDGER.c.seq == change.seq)
            .values(
                actor=better.actor,
                origin=better.origin,
                payload=better.payload,
                salt="",
            )
        )
        left[change.seq] = words_hash(better)
        rows |= {(table, key) for table, key, _ in json.loads(entry.seal.rows)}
    _vouch_again(session, rows)
    return left


def mentions(session: Session, name: str) -> list[Key]:
    """Rows whose running text holds the name; a person has to look at these."""
    found = []
    for table in vouched_tables():
        texts = [c for c in table.c if isinstance(c.type, Words)]
        if not texts:
            continue
        hit = sa.or_(*(c.contains(name, autoescape=True) for c in texts))
        keys = session.execute(sa.select(*table.primary_key).where(hit))
        found += [(table.name, str(row[0])) for row in keys]
    return found


def _columns() -> Iterator[tuple[sa.Table, sa.Column[Any]]]:
    named = {**EVIDENCE, **_OF_MASTER}
    for table in vouched_tables():
        for name in named.get(table.name, ()):
            if isinstance(table.c[name].type, Words):
                yield table, table.c[name]


def _vouch_again(session: Session, rows: set[Key]) -> None:
    """Note rows as they are now for the next entry."""
    by_table: dict[str, list[str]] = defaultdict(list)
    for table_name, key in sorted(rows):
        by_table[table_name].append(key)
    for table_name, keys in by_table.items():
        table = _TABLES[table_name]
        for row in list(rows_of(session, table, keys)):
            note_written(session, table, dict(row))


def _entries_with(session: Session, name: str) -> Iterator[LedgerEntry]:
    quoted = json.dumps(name, ensure_ascii=False)
    hit = sa.or_(
        _LEDGER.c.actor == name,
        _LEDGER.c.payload.contains(quoted, autoescape=True),
        _LEDGER.c.origin.contains(name, autoescape=True),
    )
    rows = session.execute(sa.select(_LEDGER).where(hit).order_by(_LEDGER.c.seq))
    yield from (ledger.entry_of(row) for row in rows.mappings())


def _without(said: Any, name: Name) -> Any:  # noqa: ANN401 - JSON
    """The same JSON with the name, where it stands alone, replaced."""
    if isinstance(said, dict):
        return {key: _without(value, name) for key, value in said.items()}
    if isinstance(said, list):
        return [_without(value, name) for value in said]
    return name.instead if said == name.told else said
