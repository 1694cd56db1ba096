"""Making a paper: choose, gather support by support, set."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from monitor.reports.blocks import Block, Paper
from monitor.reports.typeset import typeset
from monitor.schedule.upkeep import WorkOwed
from monitor.services.papers.certificate import certificate_pages
from monitor.services.papers.dossier import dossier_pages
from monitor.services.papers.files import files_of, is_there
from monitor.services.papers.fingerprint import fingerprint
from monitor.services.papers.moment import Moment, end_of
from monitor.services.papers.plain_page import plain_page
from monitor.services.papers.support_pages import Desk, support_pages
from monitor.services.papers.wish import (
    Chosen,
    PaperKind,
    PaperWish,
    check_wish,
    chosen,
    site_named,
)
from monitor.services.papers.year_pages import year_pages
from monitor.services.planning.works import works_due
from monitor.services.showing.support import SupportView
from monitor.store import Store
from monitor.store.photos import PhotoFiles

AUTHOR = "Underprop"
GATHERED = 0.6
"""Share of the work that is done when all is gathered and the setting begins."""

Progress = Callable[[float, str], None]
_PAGES = re.compile(rb"/Type\s*/Page\b")


@dataclass(frozen=True, slots=True)
class House:
    """Where papers take their facts from.

    Attributes
    ----------
    store : as far as the reader may see
    whole : all of it, for the head of the ledger
    pages_url : address of the pages as people reach them, empty if there is none
    """

    store: Store
    whole: Store
    files: PhotoFiles
    pages_url: str


@dataclass(frozen=True, slots=True)
class Made:
    """A paper that was made."""

    pdf: bytes
    file_name: str
    pages: int
    supports: int


def make_paper(
    house: House, wish: PaperWish, now: datetime, progress: Progress = lambda *_: None
) -> Made:
    """Make one paper from the record; it reads and writes nothing.

    Parameters
    ----------
    progress : told the share that is done, and the present step in words

    Raises
    ------
    InvalidInput : the wish can not be met
    NotFound : nothing of that name
    """
    check_wish(wish)
    moment = end_of(wish.known_on, now=now) if wish.known_on else Moment(now)
    with house.whole.read_session() as session:
        mark = fingerprint(session, house.pages_url)
    with house.store.read_session() as session:
        is_whole = wish.kind is PaperKind.DOSSIER
        desk = Desk(session, house.files, moment, mark, is_whole)
        paper, many = _gathered(desk, wish, progress)
    progress(GATHERED, f"setting {many} supports" if many else "setting")
    pdf = typeset(paper)
    progress(1.0, "done")
    return Made(pdf, _file_name(wish, moment), len(_PAGES.findall(pdf)), many)


def _gathered(desk: Desk, wish: PaperWish, progress: Progress) -> tuple[Paper, int]:
    day = desk.moment.at.date()
    if wish.kind is PaperKind.YEAR_PLAN:
        title = f"Year plan of {day.isoformat()}"
        return Paper(title, AUTHOR, day, tuple(year_pages(desk)), wish.size), 0
    found = chosen(desk.session, wish, desk.moment)
    views: list[SupportView] = []
    parts: list[Block] = []
    for n, file in enumerate(files_of(desk.session, found.supports, desk.moment)):
        view = file.view
        progress(GATHERED * n / len(found.supports), view.support.code)
        if wish.kind is PaperKind.CONDITION and not is_there(view):
            continue
        views.append(view)
        if wish.kind is not PaperKind.CERTIFICATE:
            parts += support_pages(desk, file)
    blocks = (*_front(desk, wish, found, views), *parts)
    title = f"{wish.kind.value.capitalize()} of {found.about}"
    return Paper(title, AUTHOR, day, blocks, wish.size), len(views)


def _front(
    desk: Desk, wish: PaperWish, found: Chosen, views: Sequence[SupportView]
) -> list[Block]:
    match wish.kind:
        case PaperKind.CERTIFICATE:
            return certificate_pages(desk, views[0], wish.looked_on)
        case PaperKind.DOSSIER:
            site = views[0].place.site if views else site_named(desk.session, wish.name)
            return dossier_pages(desk, site, views)
        case _:
            return plain_page(found.about, views, _works(desk, views), desk.moment)


def _works(desk: Desk, views: Sequence[SupportView]) -> tuple[WorkOwed, ...]:
    """Works by age; only of now, because they are reckoned from what is known now."""
    if desk.moment.is_past or not views:
        return ()
    keys = [view.support.id for view in views]
    return works_due(desk.session, keys, today=views[0].place.today)


def _file_name(wish: PaperWish, moment: Moment) -> str:
    words = f"{wish.kind.value} {wish.name or wish.scope.value} {moment.at.date()}"
    return re.sub(r"[^\w-]+", "-", words, flags=re.ASCII).strip("-").lower() + ".pdf"
