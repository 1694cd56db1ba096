"""The standing of a support: a word and a shape, tint only in support."""

from dash import html

from monitor.domain.vocabulary import Grade, Standing

UNKNOWN = "not assessed"


def slug(standing: Standing | None) -> str:
    """Name of the style of a standing, such as “make-safe”."""
    return (standing.value if standing else "unknown").replace(" ", "-")


def standing_mark(standing: Standing | None) -> html.Span:
    """Shape and word in a row."""
    word = standing.value if standing else UNKNOWN
    return html.Span(
        [html.Span(className=f"shape shape--{slug(standing)}"), word],
        className=f"standing standing--{slug(standing)}",
    )


def grade_mark(grade: Grade) -> html.Span:
    """The same shapes for the grade of a finding; a note is a plain word."""
    if grade is Grade.NOTE:
        return html.Span("note", className="standing")
    return standing_mark(Standing(grade.value))
