"""Tags to print and cut: the code in large letters, and a square that leads to it."""

from collections.abc import Sequence
from urllib.parse import quote

from monitor.reports.blocks import Block, Chapter, Tag, Tags
from monitor.reports.qr import square
from monitor.services.papers.support_pages import Desk
from monitor.services.papers.wording import counted, on
from monitor.services.showing.support import SupportView


def tag_pages(desk: Desk, about: str, views: Sequence[SupportView]) -> list[Block]:
    """A tag for each support."""
    day = on(desk.moment.at.date())
    title = f"{counted(len(views), 'tag')}."
    tags = tuple(_tag(desk, view) for view in views)
    return [Chapter((about, day), f"Tags, {about}", title), Tags(tags)]


def _tag(desk: Desk, view: SupportView) -> Tag:
    code, place = view.support.code, view.place
    pages = desk.mark.pages_url
    address = f"{pages}supports/{quote(code, safe='')}" if pages else code
    lines = (place.site.name, f"{place.tree.code}, {place.tree.species}", place.owner)
    return Tag(square(address), f"Square to scan: {address}", code, lines)
