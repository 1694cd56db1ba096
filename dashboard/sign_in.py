"""Signing in and out, and a new password: plain forms that work without scripts."""

from html import escape
from urllib.parse import urlsplit

from flask import Flask, Response, g, make_response, redirect, request
from werkzeug.wrappers import Response as AnyResponse

from dashboard.access import cookie_name, signed_in
from dashboard.components.brand import ICON
from dashboard.context import AppContext
from monitor.errors import InvalidInput, NotAllowed
from monitor.services import access
from monitor.services.throttle import FREE_TRIES

HOME = "/"
FREE_TRIES_PER_ADDRESS = 50
"""Many people may sit behind one address."""


def add_routes(server: Flask, context: AppContext) -> None:
    """Sign-in, sign-out, password and health."""
    server.add_url_rule("/healthz", view_func=healthz)
    _add_sign_in(server, context)
    _add_password(server, context)


def healthz() -> tuple[str, int]:
    """For whoever watches the process."""
    return "ok", 200


def _add_sign_in(server: Flask, context: AppContext) -> None:
    @server.get("/sign-in")
    def sign_in_form() -> AnyResponse:
        if g.signed_in is not None:
            return redirect(HOME)
        return _page("Sign in", _sign_in_form(_next_path(), ""), 200)

    @server.post("/sign-in")
    def sign_in() -> AnyResponse:
        try:
            token = _enter(context)
        except NotAllowed as no:
            status = 429 if no.code == "acc-003" else 403
            return _page("Sign in", _sign_in_form(_next_path(), no.message), status)
        answer = redirect(_next_path(), code=303)
        answer.set_cookie(
            cookie_name(context),
            token,
            max_age=access.LONGEST,
            secure=context.settings.secure_cookie,
            httponly=True,
            samesite="Lax",
            path="/",
        )
        return answer

    @server.post("/sign-out")
    def sign_out() -> AnyResponse:
        with context.store.write_session() as session:
            access.end_sign_in(session, signed_in(), context.clock.now())
        answer = redirect("/sign-in", code=303)
        answer.delete_cookie(
            cookie_name(context), path="/", secure=context.settings.secure_cookie
        )
        return answer


def _add_password(server: Flask, context: AppContext) -> None:
    @server.get("/password")
    def password_form() -> AnyResponse:
        return _page("New password", _password_form(""), 200)

    @server.post("/password")
    def password() -> AnyResponse:
        try:
            _change_password(context)
        except (NotAllowed, InvalidInput) as no:
            return _page("New password", _password_form(no.message), 400)
        return redirect(HOME, code=303)


def _enter(context: AppContext) -> str:
    """Check name and password and begin a sign-in; the token is returned."""
    name, password = request.form.get("name", ""), request.form.get("password", "")
    now = context.clock.now()
    keys = {
        f"{name.casefold()}|{request.remote_addr}": FREE_TRIES,
        f"@{request.remote_addr}": FREE_TRIES_PER_ADDRESS,
    }
    for key, free_tries in keys.items():
        context.throttle.require_patience(key, now, free_tries=free_tries)
    try:
        with context.store.read_session() as session:
            account = access.check_password(session, name, password)
    except NotAllowed:
        for key in keys:
            context.throttle.note_wrong(key, now)
        raise
    for key in keys:
        context.throttle.forget(key)
    with context.store.write_session() as session:
        return access.start_sign_in(session, account, now)


def _change_password(context: AppContext) -> None:
    here, now = signed_in(), context.clock.now()
    old, new = request.form.get("old", ""), request.form.get("new", "")
    key = f"{here.account.name.casefold()}|password"
    context.throttle.require_patience(key, now)
    try:
        with context.store.read_session() as session:
            account = access.check_password(session, here.account.name, old)
    except NotAllowed:
        context.throttle.note_wrong(key, now)
        raise NotAllowed("The present password is not right. Try again.") from None
    with context.store.write_session() as session:
        access.change_password(
            session, account, new, keep=here.sign_in, by=(account.name, now)
        )


def _next_path() -> str:
    """Where to go after signing in: a path of ours, never an outside address."""
    wanted = request.values.get("next", HOME)
    parts = urlsplit(wanted)
    is_ours = wanted.startswith("/") and not wanted.startswith(("//", "/\\", "/_"))
    return wanted if is_ours and not parts.netloc and not parts.scheme else HOME


def _page(title: str, body: str, status: int) -> Response:
    html = f"""<!DOCTYPE html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>{escape(title)} · Underprop</title>
<link rel="icon" href="{ICON}">
<link rel="stylesheet" href="/assets/underprop.css">
</head>
<body class="door">
<main>
<p class="door-mark"><span class="brand-drawing" aria-hidden="true"></span></p>
<p class="door-name">Underprop</p>
<p class="door-line">The long memory and the watch for supports under trees.</p>
<h1>{escape(title)}</h1>
{body}
</main>
</body>
</html>"""
    return make_response(html, status)


def _sign_in_form(next_path: str, refusal: str) -> str:
    return f"""{_refusal(refusal)}<form method="post" action="/sign-in">
<input type="hidden" name="next" value="{escape(next_path)}">
<label for="name">Name</label>
<input id="name" name="name" autocomplete="username" required autofocus>
<label for="password">Password</label>
<input id="password" name="password" type="password"
 autocomplete="current-password" required>
<button type="submit">Sign in</button>
</form>
<p class="quiet">No account yet? Whoever looks after this installation makes one.</p>"""


def _password_form(refusal: str) -> str:
    return f"""{_refusal(refusal)}<form method="post" action="/password">
<label for="old">Present password</label>
<input id="old" name="old" type="password" autocomplete="current-password" required>
<label for="new">New password, 12 characters or more</label>
<input id="new" name="new" type="password" autocomplete="new-password"
 minlength="12" required>
<button type="submit">Change it</button>
</form>
<p class="quiet">Every other browser you are signed in with is signed out.
<a href="/">Back</a></p>"""


def _refusal(message: str) -> str:
    return f'<p class="refusal" role="alert">{escape(message)}</p>' if message else ""
