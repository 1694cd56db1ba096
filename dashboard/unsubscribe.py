"""The way into the digests and out of them: works without signing in, for one person.

The address is the key. A look at it changes nothing, since mail scanners follow links;
the button on it, or the one click of a mail program (RFC 8058), ends the digests.
"""

import hmac
import re
from html import escape
from uuid import UUID

from flask import Flask, Response, make_response
from werkzeug.wrappers import Response as AnyResponse

from dashboard.components.brand import ICON
from dashboard.context import AppContext
from monitor.errors import NotFound
from monitor.services.notices.confirming import confirm, waiting
from monitor.services.notices.recipients import (
    SECRET_FILE,
    unsubscribe,
    unsubscribe_token,
)
from monitor.services.secret import own_secret

_ADDRESS = re.compile(
    r"/(unsubscribe|confirm)/[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}/[0-9a-f]{32}"
)
NONE = "There is no such address.", 404

Answer = AnyResponse | tuple[str, int]


def is_address(path: str) -> bool:
    """Whether it has the shape of such an address; the gate lets only these by."""
    return _ADDRESS.fullmatch(path) is not None


def add_routes(server: Flask, context: AppContext) -> None:
    """Serve the ways in and out to whoever holds the address."""
    _add_answers(server, context)

    @server.get("/unsubscribe/<uuid:person>/<token>")
    def ask(person: UUID, token: str) -> Answer:
        if not _is_key(context, person, token):
            return NONE
        return _page(
            "No more digests?",
            f'<form method="post" action="/unsubscribe/{person}/{escape(token)}">'
            '<button type="submit">Send no more digests</button></form>'
            '<p class="quiet">What can not wait is still told.</p>',
        )

    @server.post("/unsubscribe/<uuid:person>/<token>")
    def leave(person: UUID, token: str) -> Answer:
        if not _is_key(context, person, token):
            return NONE
        try:
            with context.store.write_session() as session:
                unsubscribe(session, person, now=context.clock.now())
        except NotFound:
            return NONE
        return _page(
            "No more digests",
            '<p>You get no more digests. <a href="/notices">Sign in</a> to have them '
            "again.</p>",
        )


def _is_key(context: AppContext, person: UUID, token: str) -> bool:
    secret = own_secret(context.settings.data_folder, SECRET_FILE)
    wanted = unsubscribe_token(secret, person)
    return hmac.compare_digest(wanted.encode(), token.encode())


def _add_answers(server: Flask, context: AppContext) -> None:
    """The link of the letter to a new address; it works once."""
    secret = own_secret(context.settings.data_folder, SECRET_FILE)

    @server.get("/confirm/<uuid:person>/<token>")
    def ask_confirmation(person: UUID, token: str) -> Answer:
        now = context.clock.now()
        try:
            with context.store.read_session() as session:
                waiting(session, person, token, secret, now=now)
        except NotFound:
            return NONE
        return _page(
            "Digests to this address?",
            f'<form method="post" action="/confirm/{person}/{escape(token)}">'
            '<button type="submit">Yes, send them here</button></form>'
            '<p class="quiet">If you did not ask for them, close this page.</p>',
        )

    @server.post("/confirm/<uuid:person>/<token>")
    def take_confirmation(person: UUID, token: str) -> Answer:
        now = context.clock.now()
        try:
            with context.store.write_session() as session:
                confirm(session, person, token, secret, now=now)
        except NotFound:
            return NONE
        return _page("Confirmed", "<p>The weekly digests come to this address.</p>")


def _page(title: str, body: str) -> Response:
    return make_response(
        f"""<!DOCTYPE html>
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
<body class="door">
<main>
<h1>{escape(title)}</h1>
{body}
</main>
</body>
</html>"""
    )
