"""Looking after accounts: what the page “People” sends.

The gate lets only those by who look after accounts; the services ask once more.
"""

from collections.abc import Callable
from html import escape
from uuid import UUID

from flask import Flask, redirect, request
from werkzeug.wrappers import Response as AnyResponse

from dashboard import events_log
from dashboard.access import signed_in
from dashboard.context import AppContext
from dashboard.entry.door import door, secret_once
from monitor.domain.people import Account, KeyKind
from monitor.domain.rights import Right
from monitor.domain.vocabulary import Role
from monitor.errors import DeliveryError, InvalidInput, MonitorError
from monitor.services.access import NewAccount
from monitor.services.entry import invite, roles, second
from monitor.store import Session
from monitor.store.records import ACCOUNTS

PAGE = "/people"


def add_routes(server: Flask, context: AppContext) -> None:
    """Invite, give a role, reset, disable and enable."""
    _add_invitations(server, context)
    _add_changes(server, context)


def _add_invitations(server: Flask, context: AppContext) -> None:
    @server.post("/people/invite")
    def invite_person() -> AnyResponse:
        form = request.form
        actor, now = _actor(), context.clock.now()
        try:
            role = _role(form.get("role", ""))
            new = NewAccount(
                form.get("name", ""),
                form.get("email", ""),
                role,
                "",
                form.get("owner", ""),
            )
            with context.store.write_session() as session:
                account, path = invite.invite(session, new, actor=actor, now=now)
        except MonitorError as no:
            return _no(no)
        events_log.tell("invited", name=account.name)
        return _hand_over(context, account, KeyKind.INVITATION, path)

    @server.post("/people/<uuid:key>/reset")
    def reset(key: UUID) -> AnyResponse:
        stamp = _actor(), context.clock.now()
        try:
            with context.store.write_session() as session:
                account = ACCOUNTS.get(session, key)
                path = invite.link(session, account, KeyKind.RESET, by=stamp)
        except MonitorError as no:
            return _no(no)
        events_log.tell("reset given", name=account.name)
        return _hand_over(context, account, KeyKind.RESET, path)


def _add_changes(server: Flask, context: AppContext) -> None:
    @server.post("/people/<uuid:key>/role")
    def give_role(key: UUID) -> AnyResponse:
        form, stamp = request.form, (_actor(), context.clock.now())

        def change(session: Session, account: Account) -> None:
            role = _role(form.get("role", ""))
            owner = form.get("owner", "") if role is Role.OWNER else ""
            roles.change_role(session, account, role, owner=owner, by=stamp)

        return _changed(context, key, change)

    @server.post("/people/<uuid:key>/<action>")
    def act(key: UUID, action: str) -> AnyResponse:
        actor, now = _actor(), context.clock.now()

        def change(session: Session, account: Account) -> None:
            match action:
                case "disable":
                    roles.disable(session, account, actor=actor, now=now)
                case "enable":
                    roles.enable(session, account, actor=actor, now=now)
                case "without-second-factor":
                    second.take_off(session, account, actor=actor, now=now)
                case _:
                    raise InvalidInput("There is no such change of an account.")

        return _changed(context, key, change)


def _changed(
    context: AppContext, key: UUID, change: Callable[[Session, Account], None]
) -> AnyResponse:
    try:
        with context.store.write_session() as session:
            account = ACCOUNTS.get(session, key)
            change(session, account)
    except MonitorError as no:
        return _no(no)
    events_log.tell("account changed", name=account.name)
    return redirect(PAGE, code=303)


def _actor() -> str:
    """Name of who asks, who has to have the right."""
    here = signed_in()
    roles.require(here, Right.LOOK_AFTER_ACCOUNTS)
    return here.account.name


def _role(text: str) -> Role:
    try:
        return Role(text)
    except ValueError:
        raise InvalidInput(f"“{text[:20]}” is no role.", field="role") from None


def _hand_over(
    context: AppContext, account: Account, kind: KeyKind, path: str
) -> AnyResponse:
    """Send the link if it can be sent; else show it once to be handed over."""
    if invite.can_send(context.settings, account):
        try:
            invite.send_link(context.settings, context.clock, account, kind, path)
        except DeliveryError as error:
            events_log.tell("link not sent", name=account.name, why=error.code)
        else:
            words = f"<p>A link is on its way to {escape(account.name)}.</p>"
            return door("Sent", f'{words}<p><a href="{PAGE}">Back</a></p>')
    root = (context.settings.pages_url or request.url_root).rstrip("/")
    told = f"For {account.name}, to choose a password; it works once:"
    return secret_once("A link to hand over", told, root + path, back=PAGE)


def _no(error: MonitorError) -> AnyResponse:
    words = f'<p class="refusal" role="alert">{escape(error.message)}</p>'
    return door("Nothing was changed", f'{words}<p><a href="{PAGE}">Back</a></p>', 422)
