"""Corrections and withdrawals of works, each with its reason."""

from dataclasses import replace
from datetime import datetime

from monitor.clock import new_id
from monitor.domain.inspections import Work
from monitor.domain.vocabulary import WorkKind
from monitor.errors import InvalidInput, NotFound
from monitor.services.drafting.work import by_whom
from monitor.services.recording.amend import require_reason
from monitor.services.recording.checks import plain, refuse, spoken, too_long
from monitor.services.recording.commands import WorkAmendment
from monitor.services.recording.dossier import Dossier, dossier_of
from monitor.services.recording.ledger_values import values_of
from monitor.store import Session, records
from monitor.store.ledger import append
from monitor.store.stale import mark_stale


def amend_work(
    session: Session, command: WorkAmendment, *, actor: str, now: datetime
) -> Work:
    """Say something else of who did a work, or of its note.

    Another day or kind is another work: withdraw the one and record the other.

    Raises
    ------
    NotFound, InvalidInput : naming what is missing or wrong; nothing is written
    """
    dossier = dossier_of(session, command.support)
    was = _work(dossier, command)
    done_by = was.done_by if command.new_done_by is None else command.new_done_by
    note = was.note if command.new_note is None else command.new_note
    if (done_by, note) == (was.done_by, was.note):
        raise InvalidInput("Nothing would change; say what is to be amended.")
    problems = too_long("note", note)
    if command.new_done_by is not None:
        problems += by_whom(done_by)
    refuse(f"The amendment of {dossier.support.code}", problems)
    entry = replace(_heir(was, actor, now), done_by=done_by, note=note)
    _write(session, dossier, was, entry, command.reason)
    return entry


def withdraw_work(
    session: Session, command: WorkAmendment, *, actor: str, now: datetime
) -> Work:
    """Say that a work was never done; its segments and closures no longer count.

    Members that it removed stand again.

    Raises
    ------
    NotFound, InvalidInput : naming what is missing or wrong; nothing is written
    """
    dossier = dossier_of(session, command.support)
    was = _work(dossier, command)
    entry = replace(_heir(was, actor, now), withdrawn=True)
    _write(session, dossier, was, entry, command.reason)
    if was.kind is WorkKind.REMOVAL:
        _reinstate(session, dossier, was)
    return entry


def _work(dossier: Dossier, command: WorkAmendment) -> Work:
    """The one work that is meant."""
    require_reason(command.reason)
    code = dossier.support.code
    member = dossier.members.get(plain(command.member))
    found = [
        w
        for w in dossier.standing_works()
        if w.done_on == command.on
        and (not command.kind or plain(w.kind.value) == plain(command.kind))
        and (not command.member or (member and w.member_id == member.id))
    ]
    if not found:
        days = sorted({w.done_on for w in dossier.standing_works()})
        hint = f"Works: {', '.join(map(spoken, days))}." if days else ""
        raise NotFound("work", f"{code}, {spoken(command.on)}", hint=hint)
    if len(found) > 1:
        said = ", ".join(w.kind.value for w in found)
        raise InvalidInput(
            f"{code} has {len(found)} works of {spoken(command.on)}: {said}. Say "
            "which, by kind and member.",
            field="kind",
        )
    return found[0]


def _heir(was: Work, actor: str, now: datetime) -> Work:
    return replace(
        was, id=new_id(), recorded_by=actor, recorded_at=now, supersedes_id=was.id
    )


def _write(
    session: Session, dossier: Dossier, was: Work, entry: Work, reason: str
) -> None:
    records.WORKS.add(session, [entry])
    action = "work withdrawn" if entry.withdrawn else "work amended"
    payload = {"work": values_of(entry), "was": values_of(was), "reason": reason}
    change = (action, f"support {dossier.support.code}", payload)
    append(session, [change], actor=entry.recorded_by, now=entry.recorded_at)
    mark_stale(session, [dossier.support.id], entry.recorded_at)


def _reinstate(session: Session, dossier: Dossier, was: Work) -> None:
    """Let what ended with the work stand again."""
    for member in dossier.members.values():
        meant = was.member_id in (None, member.id)
        if meant and member.removed_on == was.done_on:
            standing = replace(member, removed_on=None, removal_note="")
            records.MEMBERS.change(session, standing)
    if dossier.support.removed_on == was.done_on:
        records.SUPPORTS.change(session, replace(dossier.support, removed_on=None))
