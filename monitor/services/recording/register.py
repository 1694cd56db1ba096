"""Registering supports with their sites, trees, members, facts and marks."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from monitor.domain.places import Site, Tree
from monitor.domain.supports import Member, Support
from monitor.services.drafting.support import draft_support
from monitor.services.recording.addition import Addition
from monitor.services.recording.checks import Stamp, plain, refuse
from monitor.services.recording.commands import SupportDraft
from monitor.services.recording.ledger_values import values_of_all
from monitor.services.showing.register_view import view_register
from monitor.store import Session, records
from monitor.store.ledger import append
from monitor.store.repository import Repository
from monitor.store.stale import mark_stale


def register_supports(
    session: Session,
    drafts: Sequence[SupportDraft],
    *,
    actor: str,
    now: datetime,
    timezone: str = "UTC",
) -> tuple[UUID, ...]:
    """Register supports, or add to them; returns their ids in order.

    What the record already says may be said again; blanks are filled in; anything that
    contradicts the record is refused. Sites, trees and parties are made as needed.

    Parameters
    ----------
    timezone : of new sites that name none

    Raises
    ------
    InvalidInput : naming everything that is wrong; nothing is written
    """
    stamp = Stamp(actor, now)
    view = view_register(session, [draft.code for draft in drafts])
    additions = []
    for draft in drafts:
        addition = draft_support(view, draft, stamp, timezone=timezone)
        refuse(f"The support “{draft.code}”", addition.problems)
        view.take(addition)
        additions.append(addition)
    write_additions(session, additions, stamp)
    return tuple(view.supports[plain(draft.code)].id for draft in drafts)


def write_additions(
    session: Session, additions: Iterable[Addition], stamp: Stamp
) -> None:
    """Write what was drafted: rows, a ledger entry for each, the stale marks."""
    wanted = [addition for addition in additions if addition.changes_record]
    records.PARTIES.add(session, [p for a in wanted for p in a.parties])
    records.SITES.add(session, [s for a in wanted for s in a.sites])
    records.TREES.add(session, [t for a in wanted for t in a.trees])
    records.STEM_DIAMETERS.add(session, [s for a in wanted for s in a.stems])
    records.SUPPORTS.add(session, [s for a in wanted for s in a.supports])
    records.MEMBERS.add(session, [m for a in wanted for m in a.members])
    records.FACTS.add(session, [f for a in wanted for f in a.facts])
    records.MARKS.add(session, [m for a in wanted for m in a.marks])
    for record in (f for a in wanted for f in a.filled):
        write_changed(session, record)
    append(session, [_change(a) for a in wanted], actor=stamp.actor, now=stamp.now)
    mark_stale(session, {a.support.id for a in wanted if a.support}, stamp.now)


def write_changed(session: Session, record: Site | Tree | Support | Member) -> None:
    """Write changed master data in its place."""
    _REPOSITORIES[type(record)].change(session, record)


def _change(addition: Addition) -> tuple[str, str, object]:
    payload = {
        name: values_of_all(getattr(addition, name))
        for name in _KINDS
        if getattr(addition, name)
    }
    action = "support registered" if addition.supports else "support added to"
    code = addition.support.code if addition.support else ""
    return action, f"support {code}", payload


_KINDS = (
    "parties",
    "sites",
    "trees",
    "stems",
    "supports",
    "members",
    "facts",
    "marks",
    "filled",
)
_REPOSITORIES: Mapping[type, Repository[Any]] = {
    Site: records.SITES,
    Tree: records.TREES,
    Support: records.SUPPORTS,
    Member: records.MEMBERS,
}
