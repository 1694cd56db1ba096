"""A work as asked for, checked whole against one support. Nothing is written."""

from dataclasses import dataclass, field, replace
from datetime import date

from monitor.clock import local_date, new_id
from monitor.domain.findings import FINDINGS
from monitor.domain.inspections import (
    Closure,
    Finding,
    Segment,
    Work,
    starts_new_segment,
)
from monitor.domain.quantities import SERIES, SERIES_LABEL
from monitor.domain.supports import Member, Support
from monitor.domain.vocabulary import WorkKind
from monitor.services.checks import (
    Doubt,
    Problem,
    Stamp,
    near,
    one_of,
    plain,
    spoken,
    word,
)
from monitor.services.commands import WorkCommand
from monitor.services.dossier import Dossier
from monitor.services.draft_reading import member_named
from monitor.services.draft_visit import day_problems

ALL = "all"
NONE = "none"


@dataclass(slots=True)
class WorkDraft:
    """What would be written, and what stands against it.

    Attributes
    ----------
    work : None if it could not be made out
    is_known : whether the record holds the work already
    members, support : with the day of their removal, where the work removes them
    """

    work: Work | None = None
    is_known: bool = False
    segments: list[Segment] = field(default_factory=list)
    closures: list[Closure] = field(default_factory=list)
    members: list[Member] = field(default_factory=list)
    support: Support | None = None
    problems: list[Problem] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)


def draft_work(dossier: Dossier, command: WorkCommand, stamp: Stamp) -> WorkDraft:
    """Check a work against the support."""
    draft = WorkDraft()
    member = _head(draft, dossier, command, stamp)
    work = draft.work
    if work is None or draft.problems or draft.is_known:
        return draft
    touched = _touched(dossier, member, work.done_on)
    _add_segments(draft, dossier, command, touched)
    _add_closures(draft, dossier, command)
    if work.kind is WorkKind.REMOVAL or (command.successor and member):
        _remove(draft, dossier, touched)
    return draft


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


def finding_code(text: str) -> str:
    """Our code of a finding as typed, empty if it is not known."""
    wanted = plain(text)
    return next(
        (
            c.code
            for c in FINDINGS.values()
            if wanted in (plain(c.code), plain(c.label))
        ),
        "",
    )


def _head(
    draft: WorkDraft, dossier: Dossier, command: WorkCommand, stamp: Stamp
) -> Member | None:
    today = local_date(stamp.now, dossier.timezone)
    draft.problems += day_problems(dossier, "date", command.done_on, today)
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


def _touched(dossier: Dossier, member: Member | None, on: date) -> list[Member]:
    """The members a work is done on: one, or all that stood on that day."""
    if member is not None:
        return [member]
    return [
        m
        for m in dossier.members.values()
        if m.installed_on <= on and (m.removed_on is None or m.removed_on >= on)
    ]


def _add_segments(
    draft: WorkDraft, dossier: Dossier, command: WorkCommand, touched: list[Member]
) -> None:
    work = draft.work
    if work is None:
        return
    wanted = _series(draft, command)
    ids = {member.id for member in touched}
    begun = set()
    for mark in dossier.marks.values():
        if mark.member_id not in ids:
            continue
        for series, (first_on, _) in dossier.read_days(mark.id).items():
            usual = starts_new_segment(work.kind, series)
            if first_on < work.done_on and (
                usual if wanted is None else series in wanted
            ):
                begun.add(series)
                draft.segments.append(
                    Segment(
                        new_id(),
                        mark.id,
                        series,
                        work.done_on,
                        work.id,
                        work.recorded_at,
                    )
                )
    for series in sorted((wanted or set()) - begun):
        question = (
            f"{dossier.support.code}: {SERIES_LABEL[series]} is said to start anew on "
            f"{spoken(work.done_on)}, but was not read before that day"
        )
        key = f"restarts/{series}"
        draft.doubts.append(Doubt(key, "restarts", series, question))


def _series(draft: WorkDraft, command: WorkCommand) -> set[str] | None:
    """The series said to start anew; None for those usual for the work."""
    if command.restarts is None:
        return None
    found = set()
    for text in command.restarts:
        wanted = plain(text.replace("_", " "))
        if wanted == NONE:
            continue
        name = _SERIES.get(wanted)
        if name:
            found.add(name)
        else:
            hint = near(text, SERIES) or f": {', '.join(SERIES)}"
            draft.problems.append(Problem("restarts", text, f"a series{hint}"))
    return found


def _add_closures(draft: WorkDraft, dossier: Dossier, command: WorkCommand) -> None:
    work = draft.work
    if work is None:
        return
    open_now = [
        finding
        for finding in dossier.open_findings(work.done_on)
        if work.member_id is None or finding.member_id in (None, work.member_id)
    ]
    ended: dict[object, Finding] = {}
    for text in command.closes:
        code = finding_code(text)
        meant = [f for f in open_now if plain(text) == ALL or f.code == code]
        if not meant and plain(text) != ALL:
            standing = sorted({f.code for f in open_now})
            expected = f"an open finding of {dossier.support.code}"
            expected += f": {', '.join(standing)}" if standing else ", which has none"
            draft.problems.append(Problem("closes", text, expected))
        ended |= {finding.root_id: finding for finding in meant}
    draft.closures = [
        Closure(
            new_id(),
            f.root_id,
            work.done_on,
            work.id,
            work.kind.value,
            work.recorded_at,
        )
        for f in ended.values()
    ]


def _remove(draft: WorkDraft, dossier: Dossier, touched: list[Member]) -> None:
    """Let members end with the work, and the support with the last of them."""
    work = draft.work
    if work is None:
        return
    for member in touched:
        last_on = _last_read_on(dossier, member)
        if last_on is not None and last_on > work.done_on:
            expected = (
                f"a day from {spoken(last_on)}, when {member.code} was still read"
            )
            problem = Problem("date", work.done_on.isoformat(), expected)
            draft.problems.append(problem)
        elif member.removed_on is not None and member.removed_on != work.done_on:
            expected = f"{spoken(member.removed_on)} as recorded for {member.code}"
            problem = Problem("date", work.done_on.isoformat(), expected)
            draft.problems.append(problem)
        elif member.removed_on is None:
            gone = replace(member, removed_on=work.done_on, removal_note=work.note)
            draft.members.append(gone)
    gone_now = {member.id for member in draft.members}
    left = [
        m
        for m in dossier.members.values()
        if m.removed_on is None and m.id not in gone_now
    ]
    if work.kind is WorkKind.REMOVAL and not left and not dossier.support.removed_on:
        draft.support = replace(dossier.support, removed_on=work.done_on)


def _last_read_on(dossier: Dossier, member: Member) -> date | None:
    days = [
        last_on
        for mark in dossier.marks.values()
        if mark.member_id == member.id
        for _, last_on in dossier.read_days(mark.id).values()
    ]
    return max(days, default=None)


_SERIES = {plain(name.replace("_", " ")): name for name in SERIES} | {
    plain(label): name for name, label in SERIES_LABEL.items()
}
