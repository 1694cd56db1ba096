"""Master data as it was: what changed in place since is taken back by the ledger.

Sites, trees, supports and members change in place; each revision left the old values
in the ledger. Other ways of changing them (completing a blank, a removal) are taken
back where the day alone tells.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import fields, replace
from datetime import date, datetime
from typing import Any, TypeVar
from uuid import UUID

from monitor.domain.ledger import Change
from monitor.domain.places import Site, Tree
from monitor.domain.supports import Member, Support
from monitor.store import Session
from monitor.store.history import changes_of

T = TypeVar("T", Site, Tree, Support, Member)
_ALL = 100_000
_REVISED = "record revised"


def revisions_since(
    session: Session, subjects: Iterable[str], at: datetime
) -> tuple[Change, ...]:
    """Revisions of these after an instant, newest first."""
    found = changes_of(session, list(subjects), at_most=_ALL)
    return tuple(c for c in found if c.action == _REVISED and c.recorded_at > at)


def as_it_was(record: T, revisions: Iterable[Change]) -> T:
    """The record before these revisions, given newest first."""
    for change in revisions:
        said = json.loads(change.payload) if change.payload else {}
        was, now = said.get("was") or {}, said.get("now") or {}
        if str(was.get("id")) == str(record.id):
            changed = {name for name in was if was.get(name) != now.get(name)}
            record = replace(record, **_values(record, was, changed))
    return record


def still_there(record: Member | Support, day: date) -> bool:
    """Whether it had not been removed by then."""
    return record.removed_on is None or record.removed_on > day


def before_removal(record: T, day: date) -> T:
    """Without a removal that came later."""
    if isinstance(record, Member) and still_there(record, day):
        return replace(record, removed_on=None, removal_note="")
    if isinstance(record, Support) and still_there(record, day):
        return replace(record, removed_on=None)
    return record


def _values(record: T, was: Mapping[str, Any], changed: set[str]) -> dict[str, Any]:
    """Old values with the types of the fields, as far as these are told."""
    known = {field.name for field in fields(record)} - {"id", "recorded_at"}
    values: dict[str, Any] = {}
    for name in changed & known:
        value, like = was[name], getattr(record, name)
        if value is not None and (name.endswith("_id") or isinstance(like, UUID)):
            value = UUID(str(value))
        elif value is not None and isinstance(like, date):
            value = date.fromisoformat(str(value)[:10])
        elif isinstance(like, str) and type(like) is not str and value is not None:
            value = type(like)(value)  # one of our words
        values[name] = value
    return values
