"""`underprop account`: who may sign in."""

import json

import click

from monitor.cli.context import CliContext
from monitor.domain.vocabulary import Role
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.services.entry import roles

_ROLES = [role.value for role in Role if role is not Role.OWNER]


@click.group()
def account() -> None:
    """Who may sign in."""


@account.command("add")
@click.argument("name")
@click.option("--email", default="", help="Where to reach the person.")
@click.option(
    "--role",
    type=click.Choice(_ROLES),
    default=Role.INSPECTOR.value,
    show_default=True,
    help="What the account is for.",
)
@click.password_option(help="Asked for if it is not given; 12 characters or more.")
@click.pass_obj
def add(context: CliContext, name: str, email: str, role: str, password: str) -> None:
    """Make an account."""
    new = NewAccount(name, email, Role(role), password)
    with context.store.write_session() as session:
        made = access.add_account(
            session, new, actor=context.actor, now=context.clock.now()
        )
    click.echo(f"{made.name} may sign in now, as {made.role.value}.")


@account.command("list")
@click.option("--json", "as_json", is_flag=True, help="For other programs.")
@click.pass_obj
def list_accounts(context: CliContext, as_json: bool) -> None:
    """Name every account."""
    with context.store.read_session() as session:
        found = access.accounts(session)
    rows = [
        {
            "name": one.name,
            "email": one.email,
            "role": one.role.value,
            "is_active": one.is_active,
        }
        for one in found
    ]
    if as_json:
        click.echo(json.dumps(rows, ensure_ascii=False))
        return
    if not rows:
        click.echo("No accounts yet; make one with “underprop account add NAME”.")
    for row in rows:
        state = "" if row["is_active"] else ", disabled"
        click.echo(f"{row['name']}: {row['role']}{state}")


@account.command("password")
@click.argument("name")
@click.password_option(help="Asked for if it is not given; 12 characters or more.")
@click.pass_obj
def password(context: CliContext, name: str, password: str) -> None:
    """Set a new password; every sign-in of the account ends."""
    with context.store.write_session() as session:
        found = access.account_named(session, name)
        access.change_password(
            session,
            found,
            password,
            keep=None,
            by=(context.actor, context.clock.now()),
        )
    click.echo(f"The password of {found.name} is changed; sign in again everywhere.")


@account.command("disable")
@click.argument("name")
@click.pass_obj
def disable(context: CliContext, name: str) -> None:
    """Let an account in no more; what it recorded stays."""
    with context.store.write_session() as session:
        found = access.account_named(session, name)
        roles.disable(session, found, actor=context.actor, now=context.clock.now())
    click.echo(f"{found.name} may sign in no more.")
