"""One support as it is shown behind a link: a page to read and print, nothing more."""

from datetime import datetime
from html import escape

from flask import Response

from dashboard.components.brand import ICON
from dashboard.components.text import CAUTION, day
from monitor.domain.people import EntryKey
from monitor.errors import NotFound
from monitor.services.showing.support import SupportView, support
from monitor.store import Session
from monitor.store.records import SUPPORTS

_VISITS = 10


def shared_page(session: Session, key: EntryKey, now: datetime) -> Response:
    """The page behind a share; the session reaches no further than its support."""
    if key.support_id is None:
        raise NotFound("support", "shared")
    found = SUPPORTS.get(session, key.support_id)
    view = support(session, found.code, now)
    return Response(_page(view, key), content_type="text/html; charset=utf-8")


def _page(view: SupportView, key: EntryKey) -> str:
    title = f"{view.support.code}, {view.place.site.name}"
    return f"""<!DOCTYPE html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta name="robots" content="noindex">
<title>{escape(title)} · Underprop</title>
<link rel="icon" href="{ICON}">
<link rel="stylesheet" href="/assets/underprop.css">
</head>
<body><div class="book"><main>
<p class="dateline">{escape(view.place.tree.species)}, as known on
{escape(day(view.place.today))}</p>
<h1>{escape(title)}</h1>
{_standing(view)}
<h2>What the readings say</h2>
{_list(_series(view)) or "<p>There are no readings yet.</p>"}
<h2>Inspections</h2>
{_list(_visits(view)) or "<p>It was not inspected yet.</p>"}
<p class="quiet">{CAUTION}</p>
<p class="quiet">Shared by {escape(key.made_by)} to be read until
{escape(day(key.ends_at.date()))}.</p>
</main></div></body></html>"""


def _standing(view: SupportView) -> str:
    if view.standing is None:
        return "<p>It was not assessed yet.</p>"
    due = f"<p>{escape(view.due.sentence)}</p>" if view.due else ""
    head = f'<p class="lead">{escape(view.standing.standing.value.capitalize())}</p>'
    return head + _list(view.standing.reasons) + due


def _series(view: SupportView) -> list[str]:
    return [
        f"{one.label}: {one.outlook.sentence}"
        for one in view.series
        if one.outlook is not None
    ]


def _visits(view: SupportView) -> list[str]:
    newest = sorted(view.visits, key=lambda v: v.inspected_on, reverse=True)[:_VISITS]
    return [f"{day(one.inspected_on)}: {one.kind.value}" for one in newest]


def _list(lines: list[str] | tuple[str, ...]) -> str:
    items = "".join(f"<li>{escape(line)}</li>" for line in lines)
    return f"<ul>{items}</ul>" if items else ""
