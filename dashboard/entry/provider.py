"""To the organisation's provider of sign-ins and back.

The way there is begun by a form of ours. The way back is an address that anybody may
call: it does nothing unless the browser brings the state it was given, unused. The
provider stands for the password and for no more: an account with a second factor is
asked for its code here, whatever the provider asked for.
"""

from flask import Flask, redirect, request
from werkzeug.wrappers import Response as AnyResponse

from dashboard import events_log
from dashboard.access import cookie_name
from dashboard.context import AppContext
from dashboard.entry.door import door, refusal
from dashboard.sign_in import delete_cookie, go_on, next_path, set_cookie
from monitor.errors import NotAllowed
from monitor.services.entry import openid, outsiders, patience

AGAIN = '<p><a href="/sign-in">Back to the sign-in</a></p>'
LASTS_S = int(openid.LASTS.total_seconds())


def add_routes(server: Flask, context: AppContext) -> None:
    """There and back."""

    @server.post("/sign-in/provider")
    def there() -> AnyResponse:
        if not openid.is_set(context.settings):
            return _refused(NotAllowed("There is no provider of sign-ins."), 404)
        try:
            address, state = _begun(context)
        except NotAllowed as no:
            return _refused(no)
        answer = redirect(address, code=303)
        set_cookie(answer, context, _name(context), state, seconds=LASTS_S)
        return answer

    @server.get("/sign-in/provider/back")
    def back() -> AnyResponse:
        if not openid.is_set(context.settings):
            return _refused(NotAllowed("There is no provider of sign-ins."), 404)
        try:
            answer = _came_back(context)
        except NotAllowed as no:
            answer = _refused(no)
        delete_cookie(answer, context, _name(context))
        return answer


def _begun(context: AppContext) -> tuple[str, str]:
    now = context.clock.now()
    with context.store.write_session() as session:
        left = patience.take(session, _keys(), now)
    patience.require_patience(left)
    provider = openid.provider_of(context.settings)
    with context.store.write_session() as session:
        return openid.begin(
            session, context.settings, provider, next_path=next_path(), now=now
        )


def _came_back(context: AppContext) -> AnyResponse:
    """Look at what the browser brings, then ask the provider, then let in."""
    now, settings = context.clock.now(), context.settings
    said = {name: request.args.get(name, "")[:4000] for name in request.args}
    cookie = request.cookies.get(_name(context), "")
    with context.store.write_session() as session:
        begun = openid.take(session, said.get("state", "")[:200], cookie[:200], now)
    if not said.get("code"):
        raise openid.wrong("no code")
    who = openid.outsider_of(settings, said, begun, now)
    with context.store.write_session() as session:
        creates = settings.openid_creates
        account = outsiders.account_of(session, who, now, creates=creates)
        patience.forgive(session, _keys())
    return go_on(context, account, begun.next_path)


def _refused(no: NotAllowed, status: int = 403) -> AnyResponse:
    why = "; ".join(getattr(no, "__notes__", ()))
    events_log.tell("provider refused", why=no.code, what=why)
    shown = 429 if no.code == "acc-003" else status
    return door("That did not work", refusal(no.message) + AGAIN, shown)


def _keys() -> dict[str, int]:
    """Beginnings are counted by address, so that nobody fills the record with them."""
    return patience.keys_for_address(f"provider {request.remote_addr or ''}")


def _name(context: AppContext) -> str:
    return f"{cookie_name(context)}-provider"
