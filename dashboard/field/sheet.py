"""The field sheet of one support: the same fields as the form, for a pencil."""

from html import escape

from dashboard.components.text import between, day, sentence
from monitor.domain.findings import FINDINGS
from monitor.domain.quantities import QUANTITIES
from monitor.domain.vocabulary import Grade, InspectionKind, LeafState
from monitor.services.field.expected import FieldMark, FieldReading
from monitor.services.field.rounds import FieldMember, FieldSupport
from monitor.units import show

_EMPTY_FINDINGS = 3
_EMPTY_READINGS = 2


def sheet_of(support: FieldSupport) -> str:
    """One page for one support."""
    marks = "".join(
        _mark(member, mark) for member in support.members for mark in member.marks
    )
    return f"""<section class="sheet">
<header><h2>{escape(support.code)}</h2>
<p>{escape(_where(support))}</p>
<p>{escape(support.due_sentence)}</p>
{_line("Access", support.access_note)}{_standing(support)}</header>
<p class="blanks">{_blank("Day")}{_blank("Name")}{_blank("Air, °C")}</p>
<p>{_boxes("Kind", [kind.value for kind in InspectionKind])}</p>
<p>{_boxes("Leaves", [leaf.value for leaf in LeafState])}</p>
<table>
<thead><tr><th>Read at</th><th>What</th><th>Last</th><th>Expected</th>
<th>Now, with unit</th><th>Once more</th><th>With</th><th>Why not</th></tr></thead>
<tbody>{marks}{"".join(_empty_row(8) for _ in range(_EMPTY_READINGS))}</tbody>
</table>
<p class="small">Why not: R could not reach, N not measured; and the reason. An empty
line says nothing.</p>
{_findings(support)}
<p class="blanks">{_blank("Work needed, and how soon")}</p>
<p class="blanks tall">{_blank("Note")}</p>
<p class="blanks">{_blank("Photographs, numbers")}{_blank("Signed")}</p>
<ul class="small">{"".join(f"<li>{escape(line)}</li>" for line in support.cautions)}
</ul>
</section>"""


def _where(support: FieldSupport) -> str:
    return f"{support.site}, {support.tree}, {support.species}. {support.reason}"


def _standing(support: FieldSupport) -> str:
    if not support.standing:
        return ""
    reasons = " ".join(support.standing_reasons[:2])
    return f"<p>Standing: <b>{escape(support.standing)}</b>. {escape(reasons)}</p>"


def _mark(member: FieldMember, mark: FieldMark) -> str:
    where = f"{member.code}, {mark.code}"
    return "".join(_reading(where, reading) for reading in mark.readings)


def _reading(where: str, reading: FieldReading) -> str:
    quantity = QUANTITIES[reading.quantity]
    last, expected = "", ""
    if reading.value is not None and reading.on is not None:
        last = f"{show(reading.value, quantity.unit)}, {day(reading.on)}"
    if reading.low is not None and reading.high is not None:
        expected = between(reading.low, reading.high, quantity.unit)
    cells = (
        escape(where),
        f"{escape(sentence(quantity.label))}<br><i>{escape(quantity.sign)}</i>",
        escape(last),
        escape(expected),
        "",
        "",
        escape(reading.method),
        "",
    )
    return "<tr>" + "".join(f"<td>{cell}</td>" for cell in cells) + "</tr>"


def _findings(support: FieldSupport) -> str:
    known = "".join(
        f"<li>{escape(f.label)}, {escape(f.grade)}, seen {day(f.seen_on)}. "
        f"{escape(f.note)}</li>"
        for f in support.findings
    )
    codes = ", ".join(finding.label for finding in FINDINGS.values())
    grades = " ".join(f"☐ {grade.value}" for grade in Grade)
    rows = "".join(
        f"<tr><td></td><td></td><td>{grades}</td><td></td></tr>"
        for _ in range(_EMPTY_FINDINGS)
    )
    return f"""<h3>Findings</h3>
<ul class="small">{known}</ul>
<table><thead><tr><th>On</th><th>What</th><th>Grade</th><th>Words, photograph</th></tr>
</thead><tbody>{rows}</tbody></table>
<p class="small">{escape(sentence(codes))}.</p>"""


def _line(name: str, text: str) -> str:
    return f"<p>{name}: {escape(text)}</p>" if text else ""


def _blank(name: str) -> str:
    return f'<span class="blank">{escape(name)}</span>'


def _boxes(name: str, words: list[str]) -> str:
    return f"{name}: " + " ".join(f"☐ {escape(word)}" for word in words)


def _empty_row(cells: int) -> str:
    return "<tr>" + "<td></td>" * cells + "</tr>"
