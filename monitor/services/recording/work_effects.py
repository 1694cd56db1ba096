"""What a work does to the record: series start anew, findings and members end."""

from dataclasses import dataclass, field, replace
from datetime import date

from monitor.clock import new_id
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
from monitor.services.recording.checks import Doubt, Problem, near, plain, spoken
from monitor.services.recording.commands import WorkCommand
from monitor.services.recording.dossier import Dossier

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


def touched(dossier: Dossier, member: Member | None, on: date) -> list[Member]:
    """The members a work is done on: one, or all that stood on that day."""
    if member is not None:
        return [member]
    return [
        m
        for m in dossier.members.values()
        if m.installed_on <= on and (m.removed_on is None or m.removed_on >= on)
    ]


def add_segments(
    draft: WorkDraft, dossier: Dossier, command: WorkCommand, members: list[Member]
) -> None:
    """Let series start anew that were read before the work: the usual or those said."""
    work = draft.work
    if work is None:
        return
    wanted = _series(draft, command)
    ids = {member.id for member in members}
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


def add_closures(draft: WorkDraft, dossier: Dossier, command: WorkCommand) -> None:
    """End the findings that the work is said to end."""
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
        code = _finding_code(text)
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


def remove(draft: WorkDraft, dossier: Dossier, members: list[Member]) -> None:
    """Let members end with the work, and the support with the last of them."""
    work = draft.work
    if work is None:
        return
    for member in members:
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


def _finding_code(text: str) -> str:
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


_SERIES = {plain(name.replace("_", " ")): name for name in SERIES} | {
    plain(label): name for name, label in SERIES_LABEL.items()
}
