"""Signing in and out: plain forms that work without scripts.

Tries are counted before a password is looked at. A right password gives a browser its
sign-in, or, where the account has a second factor, five minutes to show a code.
"""

import hmac
from datetime import datetime
from html import escape
from urllib.parse import quote, urlsplit
from uuid import UUID

from flask import Flask, g, redirect, request
from werkzeug.wrappers import Response as AnyResponse

from dashboard import events_log
from dashboard.access import cookie_name, signed_in
from dashboard.context import AppContext
from dashboard.entry.door import door, refusal
from monitor.domain.people import Account
from monitor.errors import MonitorError, NotAllowed
from monitor.services import access
from monitor.services.access import Browser
from monitor.services.entry import openid, patience, second, warning
from monitor.services.entry.patience import Try
from monitor.services.secret import own_secret
from monitor.store.records import ACCOUNTS

HOME = "/"
HALF_LASTS_S = 300
SECRET_FILE = "sign-in.secret"
_NO_CODE = "That code is not right, or was used already. Wait for the next one."


def add_routes(server: Flask, context: AppContext) -> None:
    """Sign-in in one or two steps, and sign-out."""
    _add_first_step(server, context)
    _add_second_step(server, context)

    @server.post("/sign-out")
    def sign_out() -> AnyResponse:
        with context.store.write_session() as session:
            access.end_sign_in(session, signed_in(), context.clock.now())
        answer = redirect("/sign-in", code=303)
        delete_cookie(answer, context, cookie_name(context))
        return answer


def _add_first_step(server: Flask, context: AppContext) -> None:
    @server.get("/sign-in")
    def sign_in_form() -> AnyResponse:
        if g.signed_in is not None:
            return redirect(HOME)
        return door("Sign in", _sign_in_form(context, ""))

    @server.post("/sign-in")
    def sign_in() -> AnyResponse:
        try:
            account = _checked(context)
        except NotAllowed as no:
            return door("Sign in", _sign_in_form(context, no.message), _status(no))
        return go_on(context, account, next_path())


def go_on(context: AppContext, account: Account, to: str) -> AnyResponse:
    """After a password or its like: in, or to the code if there is a second factor."""
    with context.store.read_session() as session:
        needs_code = second.factor_of(session, account) is not None
    if not needs_code:
        return _entered(context, account, to)
    answer = redirect(f"/sign-in/code?next={quote(to, safe='')}", code=303)
    set_cookie(answer, context, _half_name(context), _half(context, account))
    return answer


def _add_second_step(server: Flask, context: AppContext) -> None:
    @server.get("/sign-in/code")
    def code_form() -> AnyResponse:
        if _half_account(context) is None:
            return redirect("/sign-in")
        return door("One more step", _code_form(next_path(), ""))

    @server.post("/sign-in/code")
    def code() -> AnyResponse:
        account = _half_account(context)
        if account is None:
            return redirect("/sign-in", code=303)
        try:
            _check_code(context, account)
        except NotAllowed as no:
            form = _code_form(next_path(), no.message)
            return door("One more step", form, _status(no))
        answer = _entered(context, account, next_path())
        delete_cookie(answer, context, _half_name(context))
        return answer


def _checked(context: AppContext) -> Account:
    """The account of a right name and password, or NotAllowed."""
    name, password = request.form.get("name", ""), request.form.get("password", "")
    device = request.cookies.get(_device_name(context), "")
    one = Try(name[:200], request.remote_addr or "", device)
    now = context.clock.now()
    with context.store.write_session() as session:
        keys = patience.keys_for(session, one)
        left = patience.take(session, keys, now)
    try:
        patience.require_patience(left)
        with context.store.read_session() as session:
            account = access.check_password(session, one.name, password)
    except NotAllowed as no:
        events_log.tell("sign-in refused", name=one.name, why=no.code)
        with context.store.write_session() as session:
            warning.warn_of_tries(session, one.name, now=now)
        raise
    with context.store.write_session() as session:
        patience.forgive(session, keys)
        return access.keep_hash_strong(session, account, password, now)


def _check_code(context: AppContext, account: Account) -> None:
    now = context.clock.now()
    keys = {patience.account_key(f"{account.id} code"): patience.FREE_TRIES}
    with context.store.write_session() as session:
        left = patience.take(session, keys, now)
    patience.require_patience(left)
    code = request.form.get("code", "")[:40]
    with context.store.write_session() as session:
        is_right = second.is_right(session, account, code, now, context.seal)
        if is_right:
            patience.forgive(session, keys)
    if not is_right:
        events_log.tell("second factor refused", name=account.name, why="acc-006")
        raise NotAllowed(_NO_CODE, code="acc-006")


def _entered(context: AppContext, account: Account, to: str) -> AnyResponse:
    """Begin a sign-in under a new token; one this browser had before ends."""
    now = context.clock.now()
    browser = Browser(
        request.remote_addr or "", request.user_agent.string, context.longest
    )
    with context.store.write_session() as session:
        if g.signed_in is not None:
            access.end_sign_in(session, g.signed_in, now)
        token = access.start_sign_in(session, account, now, browser=browser)
        shown = request.cookies.get(_device_name(context), "")
        device = patience.remember_device(session, account, shown, now)
    events_log.tell("signed in", name=account.name)
    answer = redirect(to, code=303)
    seconds = int(context.longest.total_seconds())
    set_cookie(answer, context, cookie_name(context), token, seconds=seconds)
    lasts = int(patience.DEVICE_LASTS.total_seconds())
    set_cookie(answer, context, _device_name(context), device, seconds=lasts)
    return answer


def _half(context: AppContext, account: Account) -> str:
    """A word of ours that the password was right, good for five minutes.

    It is bound to the password, so that a new one ends it.
    """
    at = int(context.clock.now().timestamp())
    return f"{account.id}.{at}.{_seal(context, account, at)}"


def _half_account(context: AppContext) -> Account | None:
    parts = request.cookies.get(_half_name(context), "").split(".")
    if len(parts) != 3 or not (parts[1].isascii() and parts[1].isdecimal()):
        return None
    try:
        with context.store.read_session() as session:
            account = ACCOUNTS.get(session, UUID(parts[0]))
    except (ValueError, MonitorError):
        return None
    at = int(parts[1][:12])
    is_ours = hmac.compare_digest(
        _seal(context, account, at).encode(), parts[2].encode()
    )
    is_fresh = 0 <= _seconds(context.clock.now()) - at < HALF_LASTS_S
    return account if is_ours and is_fresh and account.is_active else None


def _seal(context: AppContext, account: Account, at: int) -> str:
    secret = own_secret(context.settings.data_folder, SECRET_FILE)
    said = f"{account.id} {at} {account.password_hash}".encode()
    return hmac.new(secret, said, "sha256").hexdigest()


def _seconds(now: datetime) -> int:
    return int(now.timestamp())


def next_path() -> str:
    """Where to go after signing in: a path of ours, never an outside address."""
    wanted = request.values.get("next", HOME)
    try:
        parts = urlsplit(wanted)
    except ValueError:
        return HOME
    is_plain = wanted.isprintable() and "\\" not in wanted
    is_ours = wanted.startswith("/") and not wanted.startswith(("//", "/_"))
    is_local = not parts.netloc and not parts.scheme
    return wanted if is_plain and is_ours and is_local else HOME


def set_cookie(
    answer: AnyResponse,
    context: AppContext,
    name: str,
    value: str,
    *,
    seconds: int = HALF_LASTS_S,
) -> None:
    """Give a browser a cookie that scripts and other sites do not get."""
    is_tls = context.settings.is_tls
    answer.set_cookie(
        name, value, max_age=seconds, secure=is_tls, httponly=True, samesite="Lax"
    )


def delete_cookie(answer: AnyResponse, context: AppContext, name: str) -> None:
    """Take a cookie back."""
    secure = context.settings.is_tls
    answer.delete_cookie(name, secure=secure, httponly=True, samesite="Lax")


def _half_name(context: AppContext) -> str:
    return f"{cookie_name(context)}-half"


def _device_name(context: AppContext) -> str:
    return f"{cookie_name(context)}-device"


def _status(no: NotAllowed) -> int:
    return 429 if no.code == "acc-003" else 403


def _sign_in_form(context: AppContext, message: str) -> str:
    hidden = f'<input type="hidden" name="next" value="{escape(next_path())}">'
    return f"""{refusal(message)}{_provider_form(context, hidden)}
<form method="post" action="/sign-in">
{hidden}
<label for="name">Name</label>
<input id="name" name="name" autocomplete="username" required autofocus>
<label for="password">Password</label>
<input id="password" name="password" type="password"
 autocomplete="current-password" required>
<button type="submit">Sign in</button>
</form>
<p class="quiet">No account yet, or no password? Whoever looks after this installation
sends a link.</p>"""


def _provider_form(context: AppContext, hidden: str) -> str:
    """The button to the organisation's provider, if there is one."""
    if not openid.is_set(context.settings):
        return ""
    label = escape(context.settings.openid_label)
    return f"""<form method="post" action="/sign-in/provider">{hidden}
<button type="submit">{label}</button></form>
<p class="quiet">Or with the password you chose here:</p>"""


def _code_form(to: str, message: str) -> str:
    return f"""{refusal(message)}<form method="post" action="/sign-in/code">
<input type="hidden" name="next" value="{escape(to)}">
<label for="code">Code of your authenticator, or one from your paper</label>
<input id="code" name="code" autocomplete="one-time-code" required autofocus>
<button type="submit">Go on</button>
</form>
<p class="quiet"><a href="/sign-in">Start again</a></p>"""
