"""Calendars at secret addresses: the address is the key, so the gate lets them by."""

import re

from flask import Flask, Response, g, has_request_context, request
from werkzeug.wrappers import Response as AnyResponse

from dashboard.context import AppContext
from monitor.clock import local_date
from monitor.domain.vocabulary import Role
from monitor.exchange.calendar_file import calendar_file
from monitor.services.access import SignedIn
from monitor.services.planning.calendar import (
    Feed,
    calendar_secret,
    entries_of,
    feeds,
    is_token,
    token_of,
)

PREFIX = "/calendar/"
MAY_HAND_OUT = frozenset({Role.ADMINISTRATOR, Role.MANAGER, Role.PLANNER})
_ADDRESS = re.compile(r"/calendar/[0-9a-z-]{3,36}/[0-9a-f]{32}\.ics")

Answer = AnyResponse | tuple[str, int]


def is_address(path: str) -> bool:
    """Whether it has the shape of a calendar's address; the gate lets only these by.

    Anything looser would let the pages' own catch-all answer a stranger.
    """
    return _ADDRESS.fullmatch(path) is not None


def add_routes(server: Flask, context: AppContext) -> None:
    """Serve each calendar to whoever holds its address; anything else is not there."""

    @server.get(f"{PREFIX}<scope>/<token>.ics")
    def calendar(scope: str, token: str) -> Answer:
        secret = calendar_secret(context.settings.data_folder)
        if not is_token(secret, scope, token):
            return "There is no such calendar.", 404
        today = local_date(context.clock.now(), context.settings.timezone)
        with context.store.read_session() as session:
            found = {feed.scope: feed for feed in feeds(session)}.get(scope)
            if found is None:
                return "There is no such calendar.", 404
            root = context.settings.pages_url or request.url_root
            entries = entries_of(session, found, root, today=today)
        return Response(
            calendar_file(f"Underprop, {found.name}", entries),
            mimetype="text/calendar",
        )


def links(context: AppContext) -> list[tuple[str, str]]:
    """Name and path of every calendar that the person who asks may hand out.

    Whoever plans may hand out all of them, anybody else the own one only.
    """
    secret = calendar_secret(context.settings.data_folder)
    with context.store.read_session() as session:
        return [
            (feed.name, f"{PREFIX}{feed.scope}/{token_of(secret, feed.scope)}.ics")
            for feed in feeds(session)
            if _may_hand_out(feed)
        ]


def _may_hand_out(feed: Feed) -> bool:
    if not has_request_context():  # the shape of the page, before anybody asks
        return True
    here: SignedIn | None = g.get("signed_in")
    if here is None:
        return False
    return here.account.role in MAY_HAND_OUT or feed.person == here.account.name
