"""What was built, found, done and written down on a support."""

import json

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.entries import entries, entry, headed
from dashboard.components.standing import grade_mark
from dashboard.components.tables import pairs, quiet_table
from dashboard.components.text import counted, day, listed, sentence
from monitor.domain.ledger import Change
from monitor.domain.ledger_times import time_flags
from monitor.services.showing.findings import FindingView
from monitor.services.showing.support import MemberView, SupportView


def findings_part(view: SupportView) -> Component:
    """Open findings in full, closed ones on request."""
    open_ones = [finding for finding in view.findings if finding.is_open]
    closed = [finding for finding in view.findings if not finding.is_open]
    parts: list[Component] = []
    if open_ones:
        parts.append(entries([_finding(finding) for finding in open_ones]))
    else:
        parts.append(html.P("No finding is open."))
    if closed:
        summary = html.Summary(sentence(counted(len(closed), "closed finding")))
        parts.append(html.Details([summary, entries([_finding(f) for f in closed])]))
    return headed("Findings", parts)


def built_part(view: SupportView) -> Component:
    """Every member with its as-built facts, as typed."""
    return headed("As built", [_member(part) for part in view.members])


def history_parts(view: SupportView) -> list[Component]:
    """Photos, looks, and the ledger."""
    parts = [_looks(view)]
    parts.append(_photos(view))
    parts.append(_ledger(view.changes))
    return parts


def _finding(finding: FindingView) -> html.Li:
    words = sentence(finding.label) + (f", {finding.member}" if finding.member else "")
    details = [f"Seen on {day(finding.seen_on)} by {finding.inspector}."]
    if finding.closed_on is not None:
        closing = f": {finding.closing}" if finding.closing else ""
        details.append(f"Closed on {day(finding.closed_on)}{closing}.")
    lines = [html.P(words)]
    if finding.note:
        lines.append(html.P(finding.note))
    lines.append(html.P(" ".join(details), className="quiet"))
    return entry(grade_mark(finding.grade), lines)


def _member(part: MemberView) -> Component:
    member = part.member
    life = f"since {day(member.installed_on)}"
    if member.removed_on is not None:
        life = f"{day(member.installed_on)} to {day(member.removed_on)}"
        if member.removal_note:
            life += f", {member.removal_note}"
    facts = [(sentence(fact.label), fact.given) for fact in part.facts]
    if member.bearing_deg is not None:
        facts.append(("Tilt + x points to", f"{member.bearing_deg:g}°"))
    if part.marks:
        facts.append(("Marks", listed([mark.code for mark in part.marks])))
    body = (
        pairs(facts, label=f"As-built facts of {member.code}")
        if facts
        else html.P("No as-built facts are recorded.", className="quiet")
    )
    name = f"{sentence(member.kind.value)} {member.code}"
    return html.Section([html.H3([name, html.Small(life)]), body], className="member")


def _looks(view: SupportView) -> Component:
    if not view.visits:
        return headed("Looks", [html.P("Nobody has looked yet.")])
    rows = [
        [
            day(visit.inspected_on),
            visit.kind.value,
            visit.inspector,
            visit.note + (f" (corrected: {visit.reason})" if visit.reason else ""),
        ]
        for visit in view.visits
    ]
    table = quiet_table(
        ["Day", "Kind", "Inspector", "Note"], rows, caption="Inspections, newest first"
    )
    if len(rows) <= 8:
        return headed("Looks", [table])
    summary = html.Summary(f"All {len(rows)} looks, newest first")
    return headed("Looks", [html.Details([summary, table])])


def _photos(view: SupportView) -> Component:
    address = f"/supports/{view.support.code}/photos"
    link = dcc.Link("All of them, to add to and to measure on", href=address)
    shown = [
        html.Figure(
            [
                html.Img(
                    src=f"/pictures/{photo.id}/small",
                    alt=photo.caption or "Photograph",
                ),
                html.Figcaption(
                    (f"{day(photo.taken_on)}: " if photo.taken_on else "")
                    + (photo.caption or "without a caption")
                ),
            ]
        )
        for photo in view.photos[-6:]
    ]
    return headed("Photos", [html.P(link), html.Div(shown, className="photo-row")])


def _ledger(changes: tuple[Change, ...]) -> Component:
    if not changes:
        return headed("Ledger", [html.P("The ledger holds nothing of it yet.")])
    rows = [
        [
            str(change.seq),
            day(change.recorded_at.date()),
            ", ".join((change.action, *time_flags(change))),
            change.actor,
            _gist(change.payload),
        ]
        for change in changes
    ]
    summary = html.Summary(
        f"{sentence(counted(len(rows), 'newest line', 'newest lines'))}, by number"
    )
    table = quiet_table(
        ["No.", "Written", "What", "By", "In short"], rows, caption="Ledger"
    )
    return headed("Ledger", [html.Details([summary, table])])


def _gist(payload: str) -> str:
    """The first words of what was written."""
    content = json.loads(payload)
    if not isinstance(content, dict):
        return str(content)[:80]
    inspection = content.get("inspection")
    if isinstance(inspection, dict):
        n = len(content.get("readings", []))
        return f"{inspection.get('inspected_on', '')}, {counted(n, 'reading')}"
    return ", ".join(
        f"{name} {value}" for name, value in content.items() if isinstance(value, str)
    )[:120]
