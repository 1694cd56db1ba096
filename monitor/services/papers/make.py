"""Making a paper: choose, gather support by support, set."""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import islice

from monitor.reports.binding import Part
from monitor.reports.blocks import Block, Paper
from monitor.schedule.upkeep import WorkOwed
from monitor.services.papers.certificate import certificate_pages
from monitor.services.papers.contents import contents_pages
from monitor.services.papers.dossier import dossier_pages
from monitor.services.papers.field_sheet import field_sheet
from monitor.services.papers.files import files_of, is_there
from monitor.services.papers.fingerprint import fingerprint
from monitor.services.papers.moment import Moment, end_of
from monitor.services.papers.plain_page import plain_page
from monitor.services.papers.setting import SettingRoom, set_part
from monitor.services.papers.support_pages import Desk, support_pages
from monitor.services.papers.tags import tag_pages
from monitor.services.papers.wish import (
    ALL,
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
TOGETHER = 6
"""Supports of which the pages are set in one go; of more they are set in parts."""

PART = 15
"""Supports in a part."""

GATHERED, SET = 0.8, 0.95
"""Shares of the work that are done when all is gathered, and when all is set."""

_IN_ONE = frozenset({PaperKind.CERTIFICATE, PaperKind.TAGS})
"""Papers without pages of each support."""

_OF_WHAT_STANDS = frozenset(
    {PaperKind.CONDITION, PaperKind.FIELD_SHEET, PaperKind.TAGS}
)
Progress = Callable[[float, str], None]


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
    """A paper that was made.

    Attributes
    ----------
    about : what it speaks of, for the ledger; people by id
    known_at : what was recorded later is not in it; None for now
    """

    pdf: bytes
    file_name: str
    pages: int
    supports: int
    kind: PaperKind = PaperKind.CONDITION
    about: str = ""
    known_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class _Job:
    """A paper in the making; `paper` has its head, and no blocks yet."""

    desk: Desk
    wish: PaperWish
    found: Chosen
    paper: Paper
    progress: Progress


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
        job = _begun(desk, wish, progress)
        made, many = _set(job)
    progress(1.0, "done")
    name = _file_name(wish, moment)
    subject = job.found.subject
    return Made(made.pdf, name, made.pages, many, wish.kind, subject, moment.known_at)


def _begun(desk: Desk, wish: PaperWish, progress: Progress) -> _Job:
    day = desk.moment.at.date()
    if wish.kind is PaperKind.YEAR_PLAN:
        found = Chosen("All supports", (), ALL)
        title = f"Year plan of {day.isoformat()}"
    else:
        found = chosen(desk.session, wish, desk.moment)
        title = f"{wish.kind.value.capitalize()} of {found.about}"
    return _Job(desk, wish, found, Paper(title, AUTHOR, day, (), wish.size), progress)


def _set(job: _Job) -> tuple[Part, int]:
    wish, found = job.wish, job.found
    if wish.kind is PaperKind.YEAR_PLAN:
        return set_part(replace(job.paper, blocks=tuple(year_pages(job.desk)))), 0
    is_short = len(found.supports) <= TOGETHER or wish.kind in _IN_ONE
    return _in_one(job) if is_short else _in_parts(job)


def _in_one(job: _Job) -> tuple[Part, int]:
    told = list(_told(job))
    views = [view for view, _ in told]
    blocks = [block for _, pages in told for block in pages]
    job.progress(GATHERED, "setting")
    front = _front(job, views)
    return set_part(replace(job.paper, blocks=(*front, *blocks))), len(views)


def _in_parts(job: _Job) -> tuple[Part, int]:
    views: list[SupportView] = []
    told = _told(job)
    with SettingRoom() as room:
        while some := list(islice(told, PART)):
            views += [replace(view, series=()) for view, _ in some]  # they are told
            blocks = tuple(block for _, pages in some for block in pages)
            room.put(replace(job.paper, blocks=blocks, is_part=True))
        job.progress(GATHERED, f"setting {len(views)} supports")
        parts = room.parts()
        job.progress(SET, "binding")
        front = replace(job.paper, blocks=tuple(_front(job, views)), is_part=True)
        whole = [_with_contents(front, views, parts), *parts]
        pdf = room.bind(whole, job.paper.size)
    return Part(pdf, sum(part.pages for part in whole), ()), len(views)


def _with_contents(
    front: Paper, views: Sequence[SupportView], parts: Sequence[Part]
) -> Part:
    """The front and the contents, which have to know how many pages they fill."""
    begins, page = [], 1
    for part in parts:
        begins += [page + n for n in part.chapters]
        page += part.pages
    pages = 1
    while True:
        rows = [(view, pages + n) for view, n in zip(views, begins, strict=True)]
        made = set_part(replace(front, blocks=(*front.blocks, *contents_pages(rows))))
        if made.pages <= pages:
            return made
        pages = made.pages


def _told(job: _Job) -> Iterator[tuple[SupportView, list[Block]]]:
    """Each support with its pages, if it has any in this paper."""
    desk, kind, supports = job.desk, job.wish.kind, job.found.supports
    for n, file in enumerate(files_of(desk.session, supports, desk.moment)):
        view = file.view
        job.progress(GATHERED * n / len(supports), view.support.code)
        if kind in _OF_WHAT_STANDS and not is_there(view):
            continue
        if kind is PaperKind.FIELD_SHEET:
            yield view, field_sheet(desk, view)
        else:
            yield view, [] if kind in _IN_ONE else support_pages(desk, file)


def _front(job: _Job, views: Sequence[SupportView]) -> list[Block]:
    desk, wish = job.desk, job.wish
    match wish.kind:
        case PaperKind.CERTIFICATE:
            return certificate_pages(desk, views[0], wish.looked_on)
        case PaperKind.TAGS:
            return tag_pages(desk, job.found.about, views)
        case PaperKind.FIELD_SHEET:
            return []
        case PaperKind.DOSSIER:
            site = views[0].place.site if views else site_named(desk.session, wish.name)
            return dossier_pages(desk, site, views)
        case _:
            return plain_page(job.found.about, views, _works(desk, views), desk.moment)


def _works(desk: Desk, views: Sequence[SupportView]) -> tuple[WorkOwed, ...]:
    """Works by age; only of now, because they are reckoned from what is known now."""
    if desk.moment.is_past or not views:
        return ()
    keys = [view.support.id for view in views]
    return works_due(desk.session, keys, today=views[0].place.today)


def _file_name(wish: PaperWish, moment: Moment) -> str:
    words = f"{wish.kind.value} {wish.name or wish.scope.value} {moment.at.date()}"
    return re.sub(r"[^\w-]+", "-", words, flags=re.ASCII).strip("-").lower() + ".pdf"
