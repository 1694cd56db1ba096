"""One's own account: what its page sends. Nothing here reaches another's account."""

from html import escape
from uuid import UUID

import segno
from flask import Flask, redirect, request
from werkzeug.wrappers import Response as AnyResponse

from dashboard import events_log
from dashboard.access import signed_in
from dashboard.context import AppContext
from dashboard.entry.door import door, refusal, secret_once
from monitor.domain.people import Account, KeyKind, KeyScope
from monitor.domain.rights import Right
from monitor.errors import InvalidInput, NotAllowed
from monitor.services import access
from monitor.services.entry import keys, patience, second
from monitor.services.entry.keys import Wish
from monitor.services.entry.roles import require
from monitor.services.showing.support import find_support

PAGE = "/account"


def add_routes(server: Flask, context: AppContext) -> None:
    """Password, sign-ins, second factor, tokens and shares."""
    _add_password(server, context)
    _add_sign_ins(server, context)
    _add_second_factor(server, context)
    _add_keys(server, context)


def _add_password(server: Flask, context: AppContext) -> None:
    @server.get("/password")
    def password_form() -> AnyResponse:
        return door("New password", _password_form(""))

    @server.post("/password")
    def password() -> AnyResponse:
        new = request.form.get("new", "")
        try:
            account = _proved(context, request.form.get("old", ""))
            stamp = account.name, context.clock.now()
            with context.store.write_session() as session:
                keep = signed_in().sign_in
                access.change_password(session, account, new, keep=keep, by=stamp)
        except (NotAllowed, InvalidInput) as no:
            return door("New password", _password_form(no.message), 400)
        events_log.tell("password changed", name=account.name)
        return redirect(PAGE, code=303)


def _add_sign_ins(server: Flask, context: AppContext) -> None:
    @server.post("/account/sign-ins/<uuid:key>/end")
    def end_sign_in(key: UUID) -> AnyResponse:
        account, now = signed_in().account, context.clock.now()
        with context.store.write_session() as session:
            access.end_one(session, account, key, now)
        return redirect(PAGE, code=303)

    @server.post("/account/sign-ins/end")
    def end_others() -> AnyResponse:
        here, now = signed_in(), context.clock.now()
        with context.store.write_session() as session:
            access.end_all(session, here.account, here.sign_in, now)
        return redirect(PAGE, code=303)


def _add_second_factor(server: Flask, context: AppContext) -> None:
    @server.post("/account/second-factor")
    def begin() -> AnyResponse:
        account = signed_in().account
        with context.store.write_session() as session:
            secret = second.begin(session, account, context.seal)
        return _enrol_page(account, secret, "")

    @server.post("/account/second-factor/confirm")
    def confirm() -> AnyResponse:
        account, now = signed_in().account, context.clock.now()
        code = request.form.get("code", "")[:40]
        try:
            with context.store.write_session() as session:
                codes = second.confirm(session, account, code, now, context.seal)
        except InvalidInput as no:
            with context.store.read_session() as session:
                secret = second.begun(session, account, context.seal)
            if not secret:
                raise
            return _enrol_page(account, secret, no.message)
        events_log.tell("second factor added", name=account.name)
        return _codes_page(codes)

    @server.post("/account/second-factor/off")
    def take_off() -> AnyResponse:
        account = _proved(context, request.form.get("password", ""))
        now = context.clock.now()
        with context.store.write_session() as session:
            second.take_off(session, account, actor=account.name, now=now)
        events_log.tell("second factor taken off", name=account.name)
        return redirect(PAGE, code=303)


def _add_keys(server: Flask, context: AppContext) -> None:
    @server.post("/account/tokens")
    def make_token() -> AnyResponse:
        here, form = signed_in(), request.form
        try:
            scope = KeyScope(form.get("scope", "read"))
        except ValueError:
            raise InvalidInput("A token is for reading or recording.") from None
        if scope is KeyScope.RECORD:
            require(here, Right.RECORD)
        wish = Wish(KeyKind.TOKEN, form.get("label", ""), scope, _days(KeyKind.TOKEN))
        stamp = here.account.name, context.clock.now()
        with context.store.write_session() as session:
            _, secret = keys.make_key(session, here.account, wish, by=stamp)
        events_log.tell("token made", name=here.account.name)
        return secret_once("A token", "For your program:", secret, back=PAGE)

    @server.post("/account/shares")
    def share() -> AnyResponse:
        here = signed_in()
        require(here, Right.SHARE)
        days = _days(KeyKind.SHARE)
        stamp = here.account.name, context.clock.now()
        whole = context.store.within(here.reach)
        with whole.read_session() as session:
            found = find_support(session, request.form.get("code", "")[:100])
        wish = Wish(KeyKind.SHARE, found.code, KeyScope.READ, days, found.id)
        with context.store.write_session() as session:
            _, secret = keys.make_key(session, None, wish, by=stamp)
        events_log.tell("share made", name=here.account.name)
        root = context.settings.pages_url or request.url_root
        told = f"Whoever has this link reads {found.code}, without signing in:"
        return secret_once("A link", told, f"{root}shared/{secret}", back=PAGE)

    @server.post("/account/keys/<uuid:key>/revoke")
    def revoke(key: UUID) -> AnyResponse:
        account, now = signed_in().account, context.clock.now()
        with context.store.write_session() as session:
            keys.revoke(session, account, key, now)
        events_log.tell("key revoked", name=account.name)
        return redirect(PAGE, code=303)


def _proved(context: AppContext, password: str) -> Account:
    """The account behind the request, if its password is right once more."""
    name, now = signed_in().account.name, context.clock.now()
    known = {patience.account_key(f"{name} at home"): patience.FREE_TRIES}
    with context.store.write_session() as session:
        left = patience.take(session, known, now)
    patience.require_patience(left)
    try:
        with context.store.read_session() as session:
            account = access.check_password(session, name, password)
    except NotAllowed:
        raise NotAllowed(
            "The present password is not right. Try again.", code="acc-002"
        ) from None
    with context.store.write_session() as session:
        patience.forgive(session, known)
    return account


def _days(kind: KeyKind) -> int:
    text = request.form.get("days", "").strip()
    longest = keys.LASTS[kind].days
    if not (text.isascii() and text.isdecimal() and len(text) < 6):
        raise InvalidInput(f"Give a number of days from 1 to {longest}.", field="days")
    return int(text)


def _enrol_page(account: Account, secret: str, message: str) -> AnyResponse:
    picture = segno.make(second.address_of(account, secret), error="m")
    source = picture.svg_data_uri(scale=5, border=2, light="#fff")
    return door(
        "Add a second factor",
        f"""{refusal(message)}
<p>Let your authenticator read the picture, or type
<code>{escape(secret)}</code>.</p>
<p><img src="{escape(source)}" alt="The same as the letters and digits above"
 width="240" height="240"></p>
<form method="post" action="/account/second-factor/confirm">
<label for="code">The code it shows now</label>
<input id="code" name="code" inputmode="numeric" autocomplete="one-time-code" required>
<button type="submit">That is it</button>
</form>
<p class="quiet"><a href="{PAGE}">Not now</a></p>""",
        422 if message else 200,
    )


def _codes_page(codes: tuple[str, ...]) -> AnyResponse:
    items = "".join(f"<li><code>{escape(code)}</code></li>" for code in codes)
    return door(
        "Your second factor is on",
        "<p>Each of these codes stands in once for a lost authenticator. They are "
        f"shown <strong>this once</strong>: write them down.</p><ul>{items}</ul>"
        f'<p><a href="{PAGE}">I have them</a></p>',
    )


def _password_form(message: str) -> str:
    return f"""{refusal(message)}<form method="post" action="/password">
<label for="old">Present password</label>
<input id="old" name="old" type="password" autocomplete="current-password" required>
<label for="new">New password, 12 to 128 characters</label>
<input id="new" name="new" type="password" autocomplete="new-password"
 minlength="12" maxlength="128" required>
<button type="submit">Change it</button>
</form>
<p class="quiet">Every other browser you are signed in with is signed out.
<a href="{PAGE}">Back</a></p>"""
