"""Links that open one door: choosing a password, and looking at one shared support."""

import re
from html import escape

from flask import Flask, request
from werkzeug.wrappers import Response as AnyResponse

from dashboard import events_log
from dashboard.context import AppContext
from dashboard.entry.door import door, refusal
from dashboard.entry.shared_support import shared_page
from monitor.domain.people import EntryKey, KeyKind
from monitor.errors import InvalidInput, NotFound
from monitor.services.entry import keys
from monitor.store import Session
from monitor.store.reach import Reach

_ADDRESS = re.compile(r"/(?:welcome|shared)/[\w-]{43}")
CHOOSE = frozenset({KeyKind.INVITATION, KeyKind.RESET})
GONE = "This link is used up, too old or not one of ours. Ask for another."


def is_address(path: str) -> bool:
    """Whether it has the shape of such a link; the gate lets only these by."""
    return _ADDRESS.fullmatch(path) is not None


def add_routes(server: Flask, context: AppContext) -> None:
    """Looking at a link changes nothing: mail scanners follow links."""
    _add_welcome(server, context)
    _add_shared(server, context)


def _add_welcome(server: Flask, context: AppContext) -> None:
    @server.get("/welcome/<token>")
    def welcome(token: str) -> AnyResponse:
        try:
            with context.store.read_session() as session:
                keys.key_of(session, token, CHOOSE, context.clock.now())
        except NotFound:
            return _gone()
        return door("Choose a password", _form(token, ""))

    @server.post("/welcome/<token>")
    def choose(token: str) -> AnyResponse:
        password = request.form.get("password", "")
        try:
            with context.store.write_session() as session:
                account = keys.choose_password(
                    session, token, password, context.clock.now()
                )
        except InvalidInput as no:
            return door("Choose a password", _form(token, no.message), 422)
        except NotFound:
            return _gone()
        events_log.tell("password chosen by link", name=account.name)
        return door(
            "That is your password now",
            f"<p>Your name here is <strong>{escape(account.name)}</strong>.</p>"
            '<p><a href="/sign-in">Sign in</a></p>',
        )


def _add_shared(server: Flask, context: AppContext) -> None:
    @server.get("/shared/<token>")
    def shared(token: str) -> AnyResponse:
        now = context.clock.now()
        try:
            with context.store.read_session() as session:
                key = _share(session, token, context)
            limits = Reach(support_id=key.support_id)
            with context.store.within(limits).read_session() as session:
                page = shared_page(session, key, now)
        except NotFound:
            return _gone()
        if keys.wants_touch(key, now):
            with context.store.write_session() as session:
                keys.touch(session, key, now)
        return page


def _share(session: Session, token: str, context: AppContext) -> EntryKey:
    kinds = frozenset({KeyKind.SHARE})
    return keys.key_of(session, token, kinds, context.clock.now())


def _gone() -> AnyResponse:
    return door("There is nothing behind this link", f"<p>{GONE}</p>", 404)


def _form(token: str, message: str) -> str:
    return f"""{refusal(message)}<form method="post" action="/welcome/{escape(token)}">
<label for="password">Password, 12 to 128 characters</label>
<input id="password" name="password" type="password" autocomplete="new-password"
 minlength="12" maxlength="128" required autofocus>
<button type="submit">Take it</button>
</form>
<p class="quiet">Three or four words that do not belong together make a good one.</p>"""
