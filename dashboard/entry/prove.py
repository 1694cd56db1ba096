"""Saying once more that it is you, before what can do lasting harm.

A browser that was left open is somebody's, but perhaps not its owner's any more. The
gate asks for a password or a code at most ten minutes old before roles, links, tokens
and second factors change; `require_sure` asks the same inside a callback.
"""

from html import escape

from flask import Flask, redirect, request
from werkzeug.wrappers import Response as AnyResponse

from dashboard import events_log
from dashboard.access import PROVE, signed_in
from dashboard.context import AppContext
from dashboard.entry.door import door, refusal
from dashboard.sign_in import next_path
from monitor.errors import NotAllowed
from monitor.services import access
from monitor.services.entry import patience, second

_WRONG = "That is neither your password nor a code that is good now. Try again."


def add_routes(server: Flask, context: AppContext) -> None:
    """The form, and its answer."""

    @server.get(PROVE)
    def prove_form() -> AnyResponse:
        return door("Is it still you?", _form(""))

    @server.post(PROVE)
    def prove() -> AnyResponse:
        try:
            _check(context, request.form.get("proof", ""))
        except NotAllowed as no:
            status = 429 if no.code == "acc-003" else 403
            return door("Is it still you?", _form(no.message), status)
        return redirect(next_path(), code=303)


def _check(context: AppContext, proof: str) -> None:
    here, now = signed_in(), context.clock.now()
    keys = {patience.account_key(f"{here.account.id} again"): patience.FREE_TRIES}
    with context.store.write_session() as session:
        left = patience.take(session, keys, now)
    patience.require_patience(left)
    is_right = access.is_password_of(here.account, proof)
    with context.store.write_session() as session:
        is_right = is_right or second.is_right(
            session, here.account, proof[:40], now, context.seal
        )
        if is_right:
            access.prove(session, here, now)
            patience.forgive(session, keys)
    if not is_right:
        events_log.tell("proof refused", name=here.account.name)
        raise NotAllowed(_WRONG, code="acc-026")
    events_log.tell("proved again", name=here.account.name)


def _form(message: str) -> str:
    return f"""{refusal(message)}<p>What you are about to do can not be taken back
easily. After this, do it once more.</p>
<form method="post" action="{PROVE}">
<input type="hidden" name="next" value="{escape(next_path())}">
<label for="proof">Your password, or a code of your authenticator</label>
<input id="proof" name="proof" type="password" autocomplete="current-password"
 required autofocus>
<button type="submit">It is me</button>
</form>
<p class="quiet">You sign in by your organisation only? Sign out and in again; that
counts as well. <a href="/account">Back</a></p>"""
