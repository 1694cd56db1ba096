"""Calendars at secret addresses: the address is the key, so the gate lets them by."""

import re

from flask import Flask, Response, request
from werkzeug.wrappers import Response as AnyResponse

from dashboard.context import AppContext
from monitor.clock import local_date
from monitor.exchange.calendar_file import calendar_file
from monitor.services.planning.calendar import (
    calendar_secret,
    entries_of,
    feeds,
    is_token,
    token_of,
)

PREFIX = "/calendar/"
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
            entries = entries_of(session, scope, request.url_root, today=today)
        return Response(
            calendar_file(f"Underprop, {found.name}", entries),
            mimetype="text/calendar",
        )


def links(context: AppContext) -> list[tuple[str, str]]:
    """Name and path of every calendar."""
    secret = calendar_secret(context.settings.data_folder)
    with context.store.read_session() as session:
        return [
            (feed.name, f"{PREFIX}{feed.scope}/{token_of(secret, feed.scope)}.ics")
            for feed in feeds(session)
        ]
