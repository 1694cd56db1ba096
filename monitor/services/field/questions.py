"""What a person has to decide before a form from the field can be recorded."""

from dataclasses import asdict
from datetime import date, timedelta

from monitor.clock import local_date
from monitor.domain.field_tasks import TaskKind
from monitor.domain.vocabulary import InspectionKind
from monitor.errors import Conflict
from monitor.services.drafting.inspection import draft_inspection
from monitor.services.field.answers import Choice, Question
from monitor.services.field.form import Submission, clock_off, length
from monitor.services.field.tasks import Cause
from monitor.services.recording.checks import HEAD, Problem, Stamp, plain, spoken
from monitor.services.recording.commands import InspectionCommand
from monitor.services.recording.dossier import Dossier
from monitor.services.recording.record import review_inspection
from monitor.store import Session

SURE_OF_ANOTHER = "another look that day"
SURE_OF_DAY = "day"
SURE_OF_WORK = "after the work"
BEFORE_WORK = "before the work"


def question_of(
    session: Session, dossier: Dossier, submission: Submission, stamp: Stamp
) -> Question | None:
    """The first thing that a person has to decide, if there is one."""
    return (
        _of_clock(dossier, submission, stamp)
        or _of_problems(dossier, submission, stamp)
        or _of_work(dossier, submission)
        or _of_another(dossier, submission)
        or _of_doubts(session, submission, stamp)
    )


def _of_clock(
    dossier: Dossier, submission: Submission, stamp: Stamp
) -> Question | None:
    """Ask which day is right where a wrong clock chose the day."""
    command = submission.command
    off = clock_off(submission, stamp.now)
    if not off or command.device_at is None or SURE_OF_DAY in command.sure:
        return None
    by_device = local_date(command.device_at, dossier.timezone)
    true_day = local_date(command.device_at - off, dossier.timezone)
    if command.inspected_on != by_device or true_day == by_device:
        return None
    choices = [Choice(f"It was {spoken(true_day)}", _on(true_day))]
    if command.inspected_on <= local_date(stamp.now, dossier.timezone):
        sure = {"sure": [*sorted(command.sure), SURE_OF_DAY]}
        choices.append(Choice(f"It was {spoken(command.inspected_on)}", sure))
    way = "ahead" if off > timedelta(0) else "behind"
    return Question(
        "clock",
        f"The phone's clock is {length(off)} {way}. It dated this look "
        f"{spoken(by_device)}; by the right time it was {spoken(true_day)}. Which day "
        "was it?",
        tuple(choices),
    )


def _of_problems(
    dossier: Dossier, submission: Submission, stamp: Stamp
) -> Question | None:
    """Name what can not be recorded, and offer to record the rest."""
    command = submission.command
    problems = draft_inspection(dossier, command, stamp).problems
    if not problems:
        return None
    choices = [
        choice
        for choice in (_today(dossier, problems, stamp), _the_rest(command, problems))
        if choice
    ]
    said = " ".join(_in_words(command, problem) for problem in problems)
    return Question(
        "problems", f"{dossier.support.code} was not taken. {said}", tuple(choices)
    )


def _of_work(dossier: Dossier, submission: Submission) -> Question | None:
    """Ask whether work that the phone did not know of came before the look."""
    command = submission.command
    work = _unknown_work(dossier, submission)
    if not work or command.sure & {SURE_OF_WORK, BEFORE_WORK}:
        return None
    before = {
        "sure": [*sorted(command.sure), BEFORE_WORK],
        "note": f"{command.note}\nRead before the {work}.".strip(),
    }
    return Question(
        "work",
        f"{dossier.support.code} had work that this phone did not know of: the {work}. "
        "Were these readings taken after it?",
        (
            Choice("After it", {"sure": [*sorted(command.sure), SURE_OF_WORK]}),
            Choice("Before it; say so in the note", before),
        ),
    )


def _unknown_work(dossier: Dossier, submission: Submission) -> str:
    """Work done up to the day of the look and recorded after the round was stored."""
    since, on = submission.round_at, submission.command.inspected_on
    if since is None:
        return ""
    found = [
        f"{work.kind.value} of {spoken(work.done_on)}"
        for work in dossier.standing_works()
        if work.recorded_at > since and work.done_on <= on
    ]
    return " and the ".join(found)


def decided_in(
    dossier: Dossier, submission: Submission, stamp: Stamp
) -> tuple[Cause, ...]:
    """What a person decided at the tree that the office should see."""
    command, code = submission.command, dossier.support.code
    look = f"the look at {code} of {spoken(command.inspected_on)}"
    found = []
    off = clock_off(submission, stamp.now)
    if off:
        way = "ahead" if off > timedelta(0) else "behind"
        sentence = (
            f"The phone's clock was {length(off)} {way} for {look}. Is its day right?"
        )
        found.append(Cause(TaskKind.CLOCK, sentence, {"sure": sorted(command.sure)}))
    if SURE_OF_ANOTHER in command.sure:
        sentence = (
            f"Someone else was there as well on the day of {look}. Both are kept."
        )
        found.append(Cause(TaskKind.ANOTHER, sentence, {}))
    if BEFORE_WORK in command.sure:
        sentence = (
            f"The readings of {look} were taken before work of the same days; they may "
            "stand on the wrong side of a new baseline."
        )
        found.append(Cause(TaskKind.WORK, sentence, {}))
    return tuple(found)


def _of_another(dossier: Dossier, submission: Submission) -> Question | None:
    """Say that someone else looked that day; both looks stay if that is right."""
    command = submission.command
    if SURE_OF_ANOTHER in command.sure:
        return None
    others = sorted(
        {
            inspection.inspector
            for root in dossier.by_day.get(command.inspected_on, ())
            if not (inspection := dossier.inspections[root]).withdrawn
            and plain(inspection.inspector) != plain(command.inspector)
        }
    )
    if not others:
        return None
    who = " and ".join(others)
    return Question(
        "another",
        f"{who} looked at {dossier.support.code} on {spoken(command.inspected_on)} as "
        "well. Both looks can stand in the record; the worse one counts until a "
        "later look.",
        (Choice("Keep both", {"sure": [*sorted(command.sure), SURE_OF_ANOTHER]}),),
    )


def _of_doubts(
    session: Session, submission: Submission, stamp: Stamp
) -> Question | None:
    command = submission.command
    try:
        doubts = review_inspection(session, command, now=stamp.now)
    except Conflict as error:
        detailed = InspectionKind.DETAILED.value
        choices = (Choice("Record it as a detailed look", {"kind": detailed}),)
        is_open = plain(command.kind) != detailed
        return Question("repeated", error.message, choices if is_open else ())
    if not doubts:
        return None
    keys = sorted(command.sure | {doubt.key for doubt in doubts})
    said = " ".join(dict.fromkeys(doubt.question for doubt in doubts))
    return Question("doubts", said, (Choice("It is so, as written", {"sure": keys}),))


def _on(day: date) -> dict[str, object]:
    return {"inspected_on": day.isoformat()}


def _today(dossier: Dossier, problems: list[Problem], stamp: Stamp) -> Choice | None:
    """A look dated in the future can be dated today; it never moves dates silently."""
    today = local_date(stamp.now, dossier.timezone)
    dates = [p.found for p in problems if p.field == "date" and p.part == HEAD]
    if not dates or dates[0] <= today.isoformat():
        return None
    return Choice(f"It was today, {spoken(today)}", _on(today))


def _the_rest(command: InspectionCommand, problems: list[Problem]) -> Choice | None:
    """Record what fits; the words of what does not are kept in the note."""
    parts = {problem.part for problem in problems}
    count = len(command.readings)
    if HEAD in parts or len(parts) >= count + len(command.findings):
        return None
    readings = [asdict(c) for n, c in enumerate(command.readings) if n not in parts]
    findings = [
        asdict(c) for n, c in enumerate(command.findings, count) if n not in parts
    ]
    kept = "; ".join(_said(command, part) for part in sorted(parts))
    note = f"{command.note}\nNot taken as readings: {kept}.".strip()
    changes = {"readings": readings, "findings": findings, "note": note}
    return Choice("Record the rest, and keep this in the note", changes)


def _said(command: InspectionCommand, part: int) -> str:
    count = len(command.readings)
    if part >= count:
        finding = command.findings[part - count]
        return " ".join((finding.member, finding.code, finding.grade, finding.note))
    reading = command.readings[part]
    text = f"{reading.text} {reading.unit}".strip() or reading.answer
    return f"{reading.member} {reading.mark}, {reading.quantity} {text}"


def _in_words(command: InspectionCommand, problem: Problem) -> str:
    if problem.part == HEAD and problem.field == "date":
        on = spoken(command.inspected_on)
        return f"It is dated {on}; expected {problem.expected}."
    if problem.part == HEAD:
        return str(problem)
    return f"{_said(command, problem.part)}: expected {problem.expected}."
