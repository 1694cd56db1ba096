"""My account: sign-ins, second factor, tokens and shares of whoever is signed in."""

from datetime import datetime
from types import SimpleNamespace

from dash import Dash, dcc, html
from dash.development.base_component import Component
from flask import has_request_context

from dashboard.access import signed_in
from dashboard.components.alerts import shown_as_alert
from dashboard.components.plain_forms import (
    choice_field,
    line_field,
    one_button,
    password_field,
    plain_form,
)
from dashboard.components.tables import Cell, quiet_table
from dashboard.components.text import day, sentence
from dashboard.context import AppContext
from dashboard.viewers import whole_of
from monitor.clock import local_date
from monitor.domain.people import EntryKey, SignIn
from monitor.domain.rights import Right
from monitor.services.access import SignedIn, sign_ins_of
from monitor.services.entry import keys, second

NAME, PATH = "account", "/account"
QUERY = ()
IDS = SimpleNamespace()


def title() -> str:
    """Title of the page."""
    return "My account"


@shown_as_alert
def layout(context: AppContext) -> Component:
    """Who one is here, and everything that lets one in."""
    if not has_request_context():
        return html.Article()
    here, now = signed_in(), context.clock.now()
    account = here.account
    with whole_of(context.store).read_session() as session:
        browsers = sign_ins_of(session, account, now, idle=context.idle)
        given = keys.keys_of(session, account, now)
        has_factor = second.factor_of(session, account) is not None
        left = second.recovery_codes_left(session, account)
    return html.Article(
        [
            html.P(sentence(account.role.value), className="dateline"),
            html.H1(account.name),
            html.P(html.A("Change the password", href="/password")),
            html.P(html.A("Say that it is you", href="/account/prove?next=/account")),
            _factor(here, context, has_factor, left),
            _browsers(here, browsers, context),
            _keys(here, given, context),
        ]
    )


def register(app: Dash, context: AppContext) -> None:
    """Nothing moves here; the forms are plain."""


def _factor(
    here: SignedIn, context: AppContext, has_factor: bool, left: int
) -> Component:
    is_wanted = here.account.role.value in context.settings.second_factor_roles
    if not has_factor:
        words = (
            "This account needs a second factor before it may go on."
            if is_wanted
            else "A code from your phone beside the password keeps a stolen password "
            "worthless."
        )
        form = plain_form("/account/second-factor", [], "Add a second factor")
        return _part("Second factor", [html.P(words), form])
    words = f"It is on. Good codes on paper: {left}."
    off = plain_form(
        "/account/second-factor/off",
        [password_field("Present password", "account-password", "password")],
        "Take it off",
    )
    return _part("Second factor", [html.P(words), off])


def _browsers(here: SignedIn, found: list[SignIn], context: AppContext) -> Component:
    rows: list[list[Cell]] = [
        [
            _named(one.browser),
            one.address or "not known",
            _on(one.started_at, context),
            _on(one.seen_at, context),
            "this one"
            if here.sign_in is not None and one.id == here.sign_in.id
            else one_button(f"/account/sign-ins/{one.id}/end", "Sign out there"),
        ]
        for one in found
    ]
    headings = ["Browser", "From", "Signed in", "Last seen", "Change"]
    parts: list[Component] = [quiet_table(headings, rows, caption="Signed-in browsers")]
    if len(found) > 1:
        parts.append(one_button("/account/sign-ins/end", "Sign out everywhere else"))
    return _part("Where you are signed in", parts)


def _keys(here: SignedIn, given: list[EntryKey], context: AppContext) -> Component:
    rows: list[list[Cell]] = [
        [
            one.label or "without a name",
            f"{one.kind.value}, to {one.scope.value}",
            _on(one.ends_at, context),
            _on(one.used_at, context) if one.used_at else "never",
            one_button(f"/account/keys/{one.id}/revoke", "Revoke"),
        ]
        for one in given
    ]
    headings = ["For", "What", "Good until", "Last used", "Change"]
    parts: list[Component] = []
    if rows:
        parts.append(quiet_table(headings, rows, caption="Keys you gave out"))
    parts.append(html.H3("A token for a program"))
    parts.append(_token_form(here))
    if here.may(Right.SHARE):
        parts += [html.H3("A link to one support"), _share_form()]
    return _part("Keys you gave out", parts)


def _token_form(here: SignedIn) -> Component:
    scopes = [("read", "Read only")]
    if here.may(Right.RECORD):
        scopes.append(("record", "Read and record"))
    return plain_form(
        "/account/tokens",
        [
            line_field("What for", "account-token-label", "label"),
            choice_field("What it may do", "account-token-scope", "scope", scopes),
            _days("account-token-days", 90),
        ],
        "Make a token",
    )


def _share_form() -> Component:
    return plain_form(
        "/account/shares",
        [
            line_field("Support", "account-share-code", "code", hint="Its code."),
            _days("account-share-days", 14),
        ],
        "Make a link",
    )


def _days(key: str, value: int) -> Component:
    box = dcc.Input(
        id=key, name="days", type="text", inputMode="numeric", value=str(value)
    )
    return html.Div(
        [html.Label("Good for so many days", htmlFor=key), box], className="field"
    )


def _part(heading: str, parts: list[Component]) -> Component:
    return html.Section([html.H2(heading), *parts], className="part")


def _on(at: datetime, context: AppContext) -> str:
    return day(local_date(at, context.settings.timezone))


def _named(browser: str) -> str:
    """What a browser says it is, shortened to what people call it."""
    names = ("Edg", "OPR", "Firefox", "Chrome", "Safari")
    return next((n for n in names if n in browser), browser[:40] or "not known")
