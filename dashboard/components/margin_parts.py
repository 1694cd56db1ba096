"""The margin of one member in words, drawing and tables."""

from collections.abc import Sequence
from urllib.parse import quote

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.drawings import drawing
from dashboard.components.tables import quiet_table
from dashboard.components.text import sentence
from dashboard.figures.margin_chart import MarginSetting, Years, margin_chart
from monitor.domain.percent import chance
from monitor.mechanics.review import Review
from monitor.services.assessing.arrays import later
from monitor.services.margins.member_margin import MemberMargin
from monitor.services.margins.told import margin_words, share
from monitor.units import show


def margin_address(code: str) -> str:
    """Where the margin of a support is told."""
    return f"/supports/{quote(code, safe='')}/margin"


def margin_link(code: str) -> Component:
    """The way there, from the page of the support."""
    link = dcc.Link(
        "What it carries, through the years", href=margin_address(code),
        className="action",
    )  # fmt: skip
    return html.P(link)


def member_part(margin: MemberMargin, review: Review) -> Component:
    """Everything that is told of one member."""
    known = margin.case.known
    heading = html.H2(sentence(known.label))
    if margin.refused:
        told: list[Component] = [
            html.P("No margin can be told."),
            html.Ul([html.Li(why) for why in margin.refused]),
        ]
    else:
        told = [html.P(margin_words(margin)), margin_drawing(margin), *_tables(margin)]
    return html.Section(
        [heading, *told, *_stands_on(margin), *_lacking(margin), *_reviewed(review)],
        className="part",
    )


def margin_drawing(
    margin: MemberMargin, what_if: MemberMargin | None = None
) -> Component:
    """The years as a drawing; a second margin beside the first if one is given."""
    asked = years_of(what_if) if what_if is not None else ()
    figure = margin_chart(
        years_of(margin), MarginSetting(margin.case.known.today, asked)
    )
    return drawing(
        figure,
        f"What {margin.case.known.label} carries over what is allowed, by year, with "
        "a 5 to 95 % fan ahead; the numbers are listed beneath.",
    )


def years_of(margin: MemberMargin) -> Years:
    """Day with low, middle and high, oldest first."""
    today = margin.case.known.today
    columns = zip(margin.years, margin.low, margin.use, margin.high, strict=True)
    return [(later(today, year), low, use, high) for year, low, use, high in columns]


def _tables(margin: MemberMargin) -> list[Component]:
    """Year by year, one table a method."""
    if margin.other is None or margin.other.refused:
        return [_years(margin, "Year by year")]
    return [_years(one, f"Year by year, by {one.by}") for one in (margin, margin.other)]


def _years(margin: MemberMargin, summary: str) -> Component:
    today = margin.case.known.today
    has_lean = any(margin.lean_mm_m)
    headings = [
        "Year",
        "5 %",
        "Half",
        "95 %",
        "Above 100 %",
        "Governs",
        "Metal",
        "Load",
    ]
    rows: list[list[str]] = []
    for n, year in enumerate(margin.years):
        row = [
            str(later(today, year).year),
            share(margin.low[n]),
            share(margin.use[n]),
            share(margin.high[n]),
            chance(margin.over_one[n]),
            margin.parts[n],
            show(margin.wall_mm[n], "mm"),
            show(margin.load_kn[n], "kN", digits=1),
        ]
        rows.append([*row, show(margin.lean_mm_m[n], "mm/m")] if has_lean else row)
    table = quiet_table(
        [*headings, "Lean"] if has_lean else headings, rows,
        caption=f"What {margin.case.known.label} carries by year, by {margin.by}",
    )  # fmt: skip
    return html.Details([html.Summary(summary), table])


def _stands_on(margin: MemberMargin) -> list[Component]:
    if not margin.inputs:
        return []
    rows = [
        [sentence(given.label), given.value, given.basis.value, given.why]
        for given in margin.inputs
    ]
    table = quiet_table(
        ["What", "Value", "How known", "By what"], rows,
        caption=f"What the margin of {margin.case.known.label} stands on",
    )  # fmt: skip
    parts: list[Component] = [html.H3("What it stands on"), table]
    for one in (margin, margin.other):
        if one is not None and not one.refused:
            taken = html.Ul([html.Li(text) for text in one.assumed])
            summary = html.Summary(f"{one.by}, and what it takes for granted")
            parts.append(html.Details([summary, html.P(f"{one.method}."), taken]))
    return parts


def _lacking(margin: MemberMargin) -> list[Component]:
    if not margin.missing:
        return []
    items = [html.Li(text) for text in margin.missing]
    return [html.H3("What is missing"), html.Ul(items)]


def _reviewed(review: Review) -> list[Component]:
    if not review.lines:
        return []
    rows: Sequence[Sequence[str]] = [
        [sentence(line.what), line.standing.value, line.reason, line.source]
        for line in review.lines
    ]
    table = quiet_table(
        ["What", "Stands", "Why", "Source"], rows, caption="As-built review"
    )
    note = "What a careful foreman looks at; none of it holds up the record."
    return [html.H3("As built, looked over"), html.P(note, className="quiet"), table]
