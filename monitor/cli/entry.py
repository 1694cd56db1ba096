"""More of `underprop account`: invitations, roles, resets, second factors."""

import click

from monitor.cli.account import account
from monitor.cli.context import CliContext
from monitor.domain.people import Account, KeyKind
from monitor.domain.vocabulary import Role
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.services.entry import invite, roles, second

_ROLES = click.Choice([role.value for role in Role])


@account.command("invite")
@click.argument("name")
@click.option("--email", default="", help="Where the link goes if mail is set up.")
@click.option("--role", type=_ROLES, default=Role.INSPECTOR.value, show_default=True)
@click.option("--owner", default="", help="For an owner: the name the sites bear.")
@click.option("--send", is_flag=True, help="Send the link by mail instead.")
@click.pass_obj
def invite_person(
    context: CliContext, name: str, email: str, role: str, owner: str, send: bool
) -> None:
    """Make an account whose person chooses a password by a link that works once."""
    new = NewAccount(name, email, Role(role), "", owner)
    now = context.clock.now()
    with context.store.write_session() as session:
        made, path = invite.invite(session, new, actor=context.actor, now=now)
    _hand_over(context, made, KeyKind.INVITATION, (path, send))


@account.command("reset")
@click.argument("name")
@click.option("--send", is_flag=True, help="Send the link by mail instead.")
@click.pass_obj
def reset(context: CliContext, name: str, send: bool) -> None:
    """Give out a link by which the person chooses a new password, once."""
    stamp = context.actor, context.clock.now()
    with context.store.write_session() as session:
        found = access.account_named(session, name)
        path = invite.link(session, found, KeyKind.RESET, by=stamp)
    _hand_over(context, found, KeyKind.RESET, (path, send))


@account.command("role")
@click.argument("name")
@click.argument("role", type=_ROLES)
@click.option("--owner", default="", help="For an owner: the name the sites bear.")
@click.pass_obj
def role(context: CliContext, name: str, role: str, owner: str) -> None:
    """Give an account another role; it holds from its next request."""
    stamp = context.actor, context.clock.now()
    with context.store.write_session() as session:
        found = access.account_named(session, name)
        roles.change_role(session, found, Role(role), owner=owner, by=stamp)
    click.echo(f"{found.name} is {role} now.")


@account.command("enable")
@click.argument("name")
@click.pass_obj
def enable(context: CliContext, name: str) -> None:
    """Let a disabled account in again, with its password."""
    with context.store.write_session() as session:
        found = access.account_named(session, name)
        roles.enable(session, found, actor=context.actor, now=context.clock.now())
    click.echo(f"{found.name} may sign in again.")


@account.command("without-second-factor")
@click.argument("name")
@click.pass_obj
def without_second_factor(context: CliContext, name: str) -> None:
    """Take the second factor off, for a person who lost it and the paper."""
    with context.store.write_session() as session:
        found = access.account_named(session, name)
        second.take_off(session, found, actor=context.actor, now=context.clock.now())
    click.echo(f"{found.name} signs in with the password only.")


def _hand_over(
    context: CliContext, person: Account, kind: KeyKind, link: tuple[str, bool]
) -> None:
    path, send = link
    if send:
        invite.send_link(context.settings, context.clock, person, kind, path)
        click.echo(f"A link is on its way to {person.name}.")
        return
    root = context.settings.pages_url.rstrip("/")
    click.echo(f"{person.name} chooses a password at {root}{path}")
    click.echo("It works once and is shown this once.")
