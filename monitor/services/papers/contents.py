"""The contents of a long paper: each support, how it stands, and its page."""

from collections.abc import Sequence

from monitor.reports.blocks import Block, Chapter, Column, Grid
from monitor.schedule.calendar import counted
from monitor.services.papers.support_pages import place_words
from monitor.services.papers.wording import on
from monitor.services.showing.support import SupportView


def contents_pages(rows: Sequence[tuple[SupportView, int]]) -> list[Block]:
    """A line for each support.

    Parameters
    ----------
    rows : supports with the page on which theirs begin
    """
    if not rows:
        return []
    columns = (Column("Support", 1), Column("Stands at", 0.9), Column("Where", 3.6),
               Column("Page", 0.6, True))  # fmt: skip
    lines = tuple(
        (view.support.code, _word(view), place_words(view), str(page))
        for view, page in rows
    )
    day = on(rows[0][0].place.today)
    return [
        Chapter(("Contents", day), "By code, with the page", "Contents"),
        Grid(counted(len(rows), "support"), columns, lines),
    ]


def _word(view: SupportView) -> str:
    if view.support.removed_on is not None:
        return "removed"
    return view.standing.standing.value if view.standing else "not assessed"
