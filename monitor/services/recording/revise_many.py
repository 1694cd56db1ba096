"""One change to many supports at once: looked at first, then written together.

Each support has its own entry in the ledger, as if it had been revised alone.
"""

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from monitor.clock import local_date
from monitor.domain.places import Party, Tree
from monitor.domain.supports import Support
from monitor.errors import InvalidInput
from monitor.services.drafting.member import Desk
from monitor.services.drafting.support import support_values
from monitor.services.recording.addition import Addition
from monitor.services.recording.amend import require_reason
from monitor.services.recording.checks import Stamp, plain, refuse
from monitor.services.recording.commands import SiteDraft, SupportDraft, TreeDraft
from monitor.services.recording.ledger_values import values_of, values_of_all
from monitor.services.showing.register_view import RegisterView
from monitor.store import Session, records
from monitor.store.ledger import append
from monitor.store.lookup import all_in
from monitor.store.stale import mark_stale

AT_ONCE = 500
"""So many supports may be changed together; own choice, so that a slip stays small."""

FIELDS = {
    "occupancy": "occupancy",
    "consequence": "consequence",
    "target": "target",
    "installer": "installer_id",
    "interval": "interval_months",
    "note": "note",
}
"""What may be changed of many, and the field of a support that holds it."""


@dataclass(frozen=True, slots=True)
class ManyRevision:
    """One field of these supports, as it is to be.

    Attributes
    ----------
    codes : of the supports
    field : name in `FIELDS`
    text : as typed; an interval in months, or with its unit
    """

    codes: tuple[str, ...]
    field: str
    text: str
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Revised:
    """A support as it was and as it would be, and the field in words."""

    was: Support
    better: Support
    before: str
    after: str

    @property
    def is_change(self) -> bool:
        """Whether anything changes."""
        return self.was != self.better


def review_revision(
    session: Session, command: ManyRevision, *, now: datetime
) -> tuple[Revised, ...]:
    """What would change, support by support; nothing is written.

    Raises
    ------
    InvalidInput : naming what is wrong
    """
    revised, _ = _revised(session, command, Stamp("", now))
    return revised


def revise_many(
    session: Session, command: ManyRevision, *, actor: str, now: datetime
) -> tuple[Revised, ...]:
    """Change them all, or none; returns those that changed.

    Raises
    ------
    InvalidInput : naming what is wrong; nothing is written
    """
    require_reason(command.reason)
    revised, parties = _revised(session, command, Stamp(actor, now))
    changed = tuple(one for one in revised if one.is_change)
    if not changed:
        raise InvalidInput("All of them say so already; nothing is to be changed.")
    records.PARTIES.add(session, parties)
    for one in changed:
        records.SUPPORTS.change(session, one.better)
    entries = [
        (
            "record revised",
            f"support {one.was.code}",
            {
                "now": values_of(one.better),
                "was": values_of(one.was),
                "parties": values_of_all(parties if n == 0 else []),
                "reason": command.reason.strip(),
            },
        )
        for n, one in enumerate(changed)
    ]
    append(session, entries, actor=actor, now=now)
    mark_stale(session, [one.was.id for one in changed], now)
    return changed


def _revised(
    session: Session, command: ManyRevision, stamp: Stamp
) -> tuple[tuple[Revised, ...], list[Party]]:
    _check(command)
    supports = all_in(session, records.SUPPORTS, "code", command.codes)
    trees = all_in(session, records.TREES, "id", (s.tree_id for s in supports))
    by_id = {tree.id: tree for tree in trees}
    parties = {p.id: p for p in records.PARTIES.all(session)}
    view = RegisterView(parties={plain(p.name): p for p in parties.values()})
    addition = Addition(labels={p.id: p.name for p in parties.values()})
    desk = Desk(addition, view, stamp, local_date(stamp.now, "UTC"))
    found = [_one(desk, command, one, by_id[one.tree_id]) for one in supports]
    refuse("The change", addition.problems[:1])  # the same is wrong of each
    names = {key: party.name for key, party in parties.items()}
    names |= {party.id: party.name for party in addition.parties}
    return tuple(_in_words(was, new, command.field, names) for was, new in found), (
        addition.parties
    )


def _check(command: ManyRevision) -> None:
    if command.field not in FIELDS:
        expected = ", ".join(FIELDS)
        raise InvalidInput(
            f"“{command.field}” can not be changed of many at once; these can: "
            f"{expected}.",
            field="field",
        )
    if not command.text.strip():
        raise InvalidInput("Say what it is to be; blanks say nothing.", field="text")
    if not command.codes:
        raise InvalidInput("No support fits, so there is nothing to change.")
    if len(command.codes) > AT_ONCE:
        raise InvalidInput(
            f"{len(command.codes)} supports are more than the {AT_ONCE} that can be "
            "changed together; narrow the search.",
        )


def _one(
    desk: Desk, command: ManyRevision, was: Support, tree: Tree
) -> tuple[Support, Support]:
    said: dict[str, Any] = {command.field: command.text}  # checked by `FIELDS`
    draft = SupportDraft(was.code, SiteDraft(""), TreeDraft(""), (), **said)
    values: dict[str, Any] = support_values(desk, draft, tree)
    if desk.addition.problems:
        return was, was
    column = FIELDS[command.field]
    return was, replace(was, **{column: values[column]})


def _in_words(
    was: Support, better: Support, field: str, names: dict[UUID, str]
) -> Revised:
    before, after = (
        _spoken(getattr(one, FIELDS[field]), field, names) for one in (was, better)
    )
    return Revised(was, better, before, after)


def _spoken(value: object, field: str, names: dict[UUID, str]) -> str:
    if value in (None, ""):
        return ""
    if isinstance(value, UUID):
        return names[value]
    return f"{value} months" if field == "interval" else str(value)
