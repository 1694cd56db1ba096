"""A work as asked for, checked whole against one support. Nothing is written."""

from monitor.clock import local_date, new_id
from monitor.domain.inspections import Work
from monitor.domain.supports import Member
from monitor.domain.vocabulary import WorkKind
from monitor.services.drafting.reading import member_named
from monitor.services.drafting.visit import day_problems
from monitor.services.recording.checks import (
    Problem,
    Stamp,
    near,
    one_of,
    plain,
    spoken,
    too_long,
    word,
)
from monitor.services.recording.commands import WorkCommand
from monitor.services.recording.dossier import Dossier
from monitor.services.recording.work_effects import (
    WorkDraft,
    add_closures,
    add_segments,
    remove,
    touched,
)


def draft_work(dossier: Dossier, command: WorkCommand, stamp: Stamp) -> WorkDraft:
    """Check a work against the support."""
    draft = WorkDraft()
    member = _head(draft, dossier, command, stamp)
    work = draft.work
    if work is None or draft.problems or draft.is_known:
        return draft
    members = touched(dossier, member, work.done_on)
    add_segments(draft, dossier, command, members)
    add_closures(draft, dossier, command)
    if work.kind is WorkKind.REMOVAL or (command.successor and member):
        remove(draft, dossier, members)
    return draft


def by_whom(done_by: str) -> list[Problem]:
    """What is wrong with the name of who did a work."""
    if not done_by.strip():
        return [Problem("done by", "", "who did it, or “unknown”")]
    return too_long("done by", done_by)


def enter_work(dossier: Dossier, draft: WorkDraft) -> None:
    """Take a draft into the dossier, for the works drafted after it."""
    if draft.work is not None:
        dossier.add_work(draft.work)
    for segment in draft.segments:
        dossier.add_segment(segment)
    dossier.closed.update(closure.finding_id for closure in draft.closures)
    for member in draft.members:
        dossier.members[plain(member.code)] = member
    if draft.support is not None:
        dossier.support = draft.support


def _head(
    draft: WorkDraft, dossier: Dossier, command: WorkCommand, stamp: Stamp
) -> Member | None:
    today = local_date(stamp.now, dossier.timezone)
    draft.problems += day_problems(dossier, "date", command.done_on, today)
    draft.problems += by_whom(command.done_by) + too_long("note", command.note)
    kind = word(WorkKind, command.kind)
    if kind is None:
        hint = near(command.kind, [k.value for k in WorkKind])
        draft.problems.append(Problem("work", command.kind, one_of(WorkKind) + hint))
    member = member_named(dossier, command.member) if command.member else None
    if isinstance(member, Problem):
        draft.problems.append(member)
        return None
    if member is not None:
        draft.problems += _member_days(dossier, member, command)
    if kind is None or draft.problems:
        return None
    key = command.id or new_id()
    draft.work = Work(
        id=key,
        root_id=key,
        support_id=dossier.support.id,
        member_id=member.id if member else None,
        kind=kind,
        done_on=command.done_on,
        done_by=" ".join(command.done_by.split()),
        note=command.note.strip(),
        withdrawn=False,
        recorded_by=stamp.actor,
        recorded_at=stamp.now,
        supersedes_id=None,
    )
    _compare(draft, dossier, draft.work)
    return member


def _member_days(
    dossier: Dossier, member: Member, command: WorkCommand
) -> list[Problem]:
    name, on = f"{dossier.support.code} {member.code}", command.done_on
    if on < member.installed_on:
        expected = (
            f"a day from {spoken(member.installed_on)}, when {name} was installed"
        )
        return [Problem("date", on.isoformat(), expected)]
    if member.removed_on and on > member.removed_on:
        expected = f"a day up to {spoken(member.removed_on)}, when {name} was removed"
        return [Problem("date", on.isoformat(), expected)]
    return []


def _compare(draft: WorkDraft, dossier: Dossier, work: Work) -> None:
    """Whether the record holds this work, or says something else of it."""
    same = [
        versions
        for versions in dossier.work_versions.values()
        if any(work_key(version) == work_key(work) for version in versions)
    ]
    if any(version.note == work.note for versions in same for version in versions):
        draft.is_known = True
    elif standing := [v[-1] for v in same if not v[-1].withdrawn]:
        expected = f"“{standing[0].note}” as recorded; to change it, amend the work"
        draft.problems.append(Problem("note", work.note, expected))


def work_key(work: Work) -> tuple[object, ...]:
    """What makes two works the same one."""
    return work.member_id, work.kind, work.done_on, plain(work.done_by)
