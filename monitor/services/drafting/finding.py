"""One finding as typed, checked against the support it is meant for."""

from dataclasses import replace

from monitor.clock import new_id
from monitor.domain.findings import FINDINGS
from monitor.domain.inspections import Finding
from monitor.domain.vocabulary import Grade
from monitor.services.drafting.draft import Draft
from monitor.services.drafting.reading import member_named
from monitor.services.recording.checks import Problem, near, one_of, plain, word
from monitor.services.recording.commands import FindingCommand
from monitor.services.recording.dossier import Dossier


def add_finding(
    draft: Draft, dossier: Dossier, command: FindingCommand, part: int
) -> None:
    """Put a finding into the draft, or what is wrong with it."""
    code = _BY_CODE.get(plain(command.code))
    if code is None:
        hint = near(command.code, _BY_CODE) or f": {', '.join(FINDINGS)}"
        expected = f"a finding code{hint}"
        draft.problems.append(Problem("finding", command.code, expected, part))
        return
    grade = word(Grade, command.grade) if command.grade else code.usual_grade
    if grade is None:
        problem = Problem("grade", command.grade, one_of(Grade), part)
        draft.problems.append(problem)
        return
    member = member_named(dossier, command.member) if command.member else None
    if isinstance(member, Problem):
        draft.problems.append(replace(member, part=part))
        return
    key = new_id()
    visit = draft.inspection
    finding = Finding(
        id=key,
        root_id=key,
        inspection_id=visit.root_id,
        member_id=member.id if member else None,
        code=code.code,
        grade=grade,
        note=command.note.strip(),
        recorded_at=visit.recorded_at,
        supersedes_id=None,
    )
    _settle_finding(draft, dossier, finding, part)


def _settle_finding(
    draft: Draft, dossier: Dossier, finding: Finding, part: int
) -> None:
    key = finding.inspection_id, finding.member_id, finding.code
    here = [f for f in draft.findings.values() if (f.member_id, f.code) == key[1:]]
    versions = dossier.findings.get(key, []) or here
    if not versions:
        draft.findings[part] = finding
    elif any((v.grade, v.note) == (finding.grade, finding.note) for v in versions):
        draft.known.add(part)
    else:
        last = versions[-1]
        expected = f"“{last.grade.value}” with the note “{last.note}” as recorded"
        found = f"{finding.code}, {finding.grade.value}, {finding.note}"
        draft.problems.append(Problem("finding", found, expected, part))


_BY_CODE = {
    plain(name): code for code in FINDINGS.values() for name in (code.code, code.label)
}
