"""`underprop account`: who may sign in."""

import json

import click

from monitor.cli.context import CliContext
from monitor.domain.vocabulary import Role
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.services.entry import roles
from monitor.services.entry.second_person import agree
from monitor.services.keeping import erase as erasing
from monitor.services.keeping.erasures import note_erasure

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


_SECOND = click.option(
    "--second", required=True, help="Another administrator, whose password is asked."
)
_PASSWORD = click.option(
    "--second-password",
    prompt="Password of the second person",
    hide_input=True,
    help="Asked for if it is not given.",
)
_BECAUSE = click.option("--because", required=True, help="Kept with the change.")


@account.command("erase")
@click.argument("name")
@_BECAUSE
@click.option("--basis", required=True, help="The law or contract it rests on.")
@_SECOND
@_PASSWORD
@click.pass_obj
def erase(
    context: CliContext,
    name: str,
    because: str,
    basis: str,
    second: str,
    second_password: str,
) -> None:
    """Let a person's name go everywhere; facts, ledger and proofs stay."""
    person = (second, second_password)
    request = erasing.Request(name, because, basis)
    now = context.clock.now()
    with context.store.write_session() as session:
        agree(session, person, "an erasure", actor=context.actor, now=now)
        done = erasing.erase(session, request, actor=context.actor, now=now)
        note_erasure(context.settings.backups, request, done, now)
    click.echo(
        f"“{done.instead}” stands in its place in {done.rows} rows and {done.entries} "
        "entries. Backups and archives made before still hold the name; a backup that "
        "is restored is rid of it again."
    )
    for row in done.mentions:
        click.echo(f"Its running text still holds the name, look at it: {row}")


@account.command("hold")
@click.argument("name")
@_BECAUSE
@click.pass_obj
def hold(context: CliContext, name: str, because: str) -> None:
    """Forbid the erasure of a name, for a claim or an inquiry."""
    by = (context.actor, context.clock.now())
    with context.store.write_session() as session:
        erasing.place_hold(session, name, reason=because, by=by)
    click.echo(f"{name} stays in the record until the hold is released.")


@account.command("release")
@click.argument("name")
@_BECAUSE
@_SECOND
@_PASSWORD
@click.pass_obj
def release(
    context: CliContext, name: str, because: str, second: str, second_password: str
) -> None:
    """Release a legal hold."""
    by = (context.actor, context.clock.now())
    person = (second, second_password)
    with context.store.write_session() as session:
        agree(session, person, "the release of a hold", actor=by[0], now=by[1])
        erasing.release_hold(session, name, reason=because, by=by)
    click.echo(f"{name} may be erased again.")
