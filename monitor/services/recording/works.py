"""Recording works: what was done, which series start anew, which findings it ends."""

from collections.abc import Iterable
from datetime import datetime

from monitor.clock import local_date
from monitor.domain.inspections import Work
from monitor.errors import Conflict
from monitor.services.drafting.member import Desk, add_member
from monitor.services.drafting.work import draft_work, work_key
from monitor.services.recording.addition import Addition
from monitor.services.recording.checks import Stamp, refuse, spoken
from monitor.services.recording.commands import MemberDraft, WorkCommand
from monitor.services.recording.dossier import Dossier, dossier_of
from monitor.services.recording.ledger_values import values_of, values_of_all
from monitor.services.recording.register import write_additions
from monitor.services.recording.work_effects import WorkDraft
from monitor.services.showing.register_view import view_register
from monitor.store import Session, records
from monitor.store.ledger import append
from monitor.store.stale import mark_stale


def record_work(
    session: Session, command: WorkCommand, *, actor: str, now: datetime
) -> Work:
    """Record a work with the segments it starts and the findings it ends.

    A removal ends its members, and the support with the last of them; a replacement
    with a `successor` ends one member and installs the next.

    Raises
    ------
    NotFound : no such support, naming the nearest codes
    InvalidInput : naming everything that is wrong; nothing is written
    Conflict : the record already holds this work, or the id with other content
    """
    stamp = Stamp(actor, now)
    dossier = dossier_of(session, command.support)
    draft = draft_work(dossier, command, stamp)
    if command.id and (stored := records.WORKS.find(session, id=command.id)):
        return _same(stored, draft)
    what = f"The work on {dossier.support.code}"
    refuse(what, draft.problems)
    if draft.work is None or draft.is_known:
        raise Conflict(
            f"{dossier.support.code} already has this work of "
            f"{spoken(command.done_on)}. Amend that one with a reason."
        )
    addition = _successor(session, dossier, command.successor, stamp)
    refuse(what, addition.problems)
    write_works(session, [(dossier, draft)], stamp)
    write_additions(session, [addition], stamp)
    return draft.work


def write_works(
    session: Session, drafts: Iterable[tuple[Dossier, WorkDraft]], stamp: Stamp
) -> None:
    """Write drafts in one go: rows, one ledger entry each, and the stale marks."""
    wanted = [(dossier, d) for dossier, d in drafts if d.work and not d.is_known]
    records.WORKS.add(session, [d.work for _, d in wanted if d.work])
    records.SEGMENTS.add(session, [s for _, d in wanted for s in d.segments])
    records.CLOSURES.add(session, [c for _, d in wanted for c in d.closures])
    for _, draft in wanted:
        for member in draft.members:
            records.MEMBERS.change(session, member)
        if draft.support:
            records.SUPPORTS.change(session, draft.support)
    changes = [_change(dossier, draft) for dossier, draft in wanted]
    append(session, changes, actor=stamp.actor, now=stamp.now)
    mark_stale(session, {dossier.support.id for dossier, _ in wanted}, stamp.now)


def _change(dossier: Dossier, draft: WorkDraft) -> tuple[str, str, object]:
    payload = {
        "work": values_of(draft.work),
        "segments": values_of_all(draft.segments),
        "closures": values_of_all(draft.closures),
        "members": values_of_all(draft.members),
        "supports": values_of_all([draft.support] if draft.support else []),
    }
    return "work recorded", f"support {dossier.support.code}", payload


def _same(stored: Work, draft: WorkDraft) -> Work:
    if draft.work is None or (work_key(stored), stored.note, stored.support_id) != (
        work_key(draft.work),
        draft.work.note,
        draft.work.support_id,
    ):
        raise Conflict(
            f"A work with the id {stored.id} is in the record with other content "
            f"({stored.kind.value}, {spoken(stored.done_on)}). Amend it with a reason."
        )
    return stored


def _successor(
    session: Session, dossier: Dossier, draft: MemberDraft | None, stamp: Stamp
) -> Addition:
    """The new member that takes the place of the one replaced."""
    view = view_register(session, [dossier.support.code])
    addition = Addition(labels=view.labels, support=dossier.support)
    if draft is not None:
        today = local_date(stamp.now, dossier.timezone)
        add_member(Desk(addition, view, stamp, today), dossier.support, draft, 0)
    return addition
