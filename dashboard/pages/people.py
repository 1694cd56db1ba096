"""Who may come in, and what they may do."""

from types import SimpleNamespace

from dash import Dash, html
from dash.development.base_component import Component
from flask import has_request_context

from dashboard.components.alerts import shown_as_alert
from dashboard.components.plain_forms import (
    choice_field,
    line_field,
    one_button,
    plain_form,
)
from dashboard.components.tables import Cell, quiet_table
from dashboard.components.text import counted, sentence
from dashboard.context import AppContext
from monitor.domain.people import Account
from monitor.domain.rights import Right, rights_of
from monitor.domain.vocabulary import Role
from monitor.services.showing.people import Person, owners, people

NAME, PATH = "people", "/people"
NEEDS = Right.LOOK_AFTER_ACCOUNTS
QUERY = ()
IDS = SimpleNamespace()

ROLES = tuple((role.value, sentence(role.value)) for role in Role)


def title() -> str:
    """Title of the page."""
    return "People"


@shown_as_alert
def layout(context: AppContext) -> Component:
    """Everybody, and the form that invites one more."""
    if not has_request_context():
        return html.Article()
    with context.store.read_session() as session:
        found, names = people(session), owners(session)
    active = sum(one.account.is_active for one in found)
    return html.Article(
        [
            html.H1(f"{sentence(counted(active, 'person', 'people'))} may sign in."),
            _table(found),
            html.Section(
                [html.H2("Invite somebody"), _invitation(), _owner_names(names)],
                className="part",
            ),
            html.Section(
                [html.H2("Give another role"), *_role_forms(found)], className="part"
            ),
            html.Section(
                [html.H2("What the roles may do"), _rights()], className="part"
            ),
        ]
    )


def register(app: Dash, context: AppContext) -> None:
    """Nothing moves here; the forms are plain."""


def _table(found: list[Person]) -> Component:
    rows: list[list[Cell]] = [
        [
            one.account.name,
            sentence(one.account.role.value)
            + (f" of {one.owner}" if one.owner else ""),
            _state(one),
            html.Div(_buttons(one.account, one.has_factor), className="line"),
        ]
        for one in found
    ]
    headings = ["Name", "Role", "State", "Change"]
    return quiet_table(headings, rows, caption="Accounts")


def _state(one: Person) -> str:
    if not one.account.is_active:
        return "disabled"
    if not one.account.password_hash:
        return "invited, no password yet"
    return "with a second factor" if one.has_factor else "with a password only"


def _buttons(account: Account, has_factor: bool) -> list[Component]:
    start = f"/people/{account.id}"
    if not account.is_active:
        return [one_button(f"{start}/enable", "Enable")]
    found: list[Component] = [
        one_button(f"{start}/reset", "Link for a new password"),
        one_button(f"{start}/disable", "Disable"),
    ]
    if has_factor:
        found.append(
            one_button(f"{start}/without-second-factor", "Take the second factor off")
        )
    return found


def _invitation() -> Component:
    return plain_form(
        "/people/invite",
        [
            line_field("Name", "people-name", "name"),
            line_field("E-mail address", "people-email", "email", hint="May be empty."),
            choice_field("Role", "people-role", "role", ROLES[::-1]),
            line_field(
                "Owner",
                "people-owner",
                "owner",
                hint="For an owner only: the name that the sites bear.",
            ),
        ],
        "Invite",
    )


def _owner_names(names: list[str]) -> Component:
    return html.P(
        f"Owners of sites: {'; '.join(names) or 'none yet'}.", className="hint"
    )


def _role_forms(found: list[Person]) -> list[Component]:
    return [
        html.Details(
            [
                html.Summary(one.account.name),
                plain_form(
                    f"/people/{one.account.id}/role",
                    [
                        choice_field(
                            "Role", f"people-role-{one.account.id}", "role", ROLES
                        ),
                        line_field("Owner", f"people-owner-{one.account.id}", "owner"),
                    ],
                    "Give it",
                ),
            ]
        )
        for one in found
        if one.account.is_active
    ]


def _rights() -> Component:
    rows: list[list[Cell]] = [
        [
            sentence(role.value),
            "; ".join(right.value for right in rights_of(role))
            or "read what stands on own sites",
        ]
        for role in Role
    ]
    return quiet_table(["Role", "May"], rows, caption="Roles and their rights")
