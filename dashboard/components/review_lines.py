"""The as-built review in rows."""

from dash import html
from dash.development.base_component import Component

from dashboard.components.tables import quiet_table
from dashboard.components.text import sentence
from monitor.mechanics.review import Review


def review_part(review: Review) -> list[Component]:
    """What a careful foreman looks at, and that none of it holds anything up."""
    if not review.lines:
        return [html.P("For this kind nothing is looked over.", className="quiet")]
    rows = [
        [sentence(line.what), line.standing.value, line.reason, line.source]
        for line in review.lines
    ]
    note = (
        "What a careful foreman looks at; none of it holds up the record, and all can "
        "be filled in later."
    )
    return [
        html.P(note, className="quiet"),
        quiet_table(
            ["What", "Stands", "Why", "Source"], rows, caption="As-built review"
        ),
    ]
