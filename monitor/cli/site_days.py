"""`underprop site`: days a site is closed, and how a crown is wanted for a look."""

from datetime import datetime

import click

from monitor.cli.context import CliContext
from monitor.services.planning.site_days import (
    ClosureCommand,
    close_site,
    keep_holidays,
    wish_crown,
)
from monitor.services.planning.site_hours import keep_hours
from monitor.services.recording.checks import spoken

_DAY = click.DateTime(["%Y-%m-%d"])


@click.group("site")
def site() -> None:
    """When a site can be visited, and in which state its crowns are wanted."""


@site.command("close")
@click.argument("code")
@click.option("--from", "first", type=_DAY, required=True, help="First day closed.")
@click.option("--to", "last", type=_DAY, required=True, help="Last day closed.")
@click.option("--reason", required=True, help="Shown where a date is moved by it.")
@click.pass_obj
def close(
    context: CliContext, code: str, first: datetime, last: datetime, reason: str
) -> None:
    """Note days a client keeps a site closed; dues move out of them in time."""
    command = ClosureCommand(code, first.date(), last.date(), reason)
    with context.store.write_session() as session:
        closed = close_site(
            session, command, actor=context.actor, now=context.clock.now()
        )
    click.echo(
        f"{code} is closed from {spoken(closed.first_on)} to {spoken(closed.last_on)}: "
        f"{closed.reason}."
    )


@site.command("crown")
@click.argument("support")
@click.argument("state", default="")
@click.pass_obj
def crown(context: CliContext, support: str, state: str) -> None:
    """Wish a crown “in leaf” or “leafless” for looks; say nothing to take it back."""
    now = context.clock.now()
    with context.store.write_session() as session:
        wish = wish_crown(session, support, state, actor=context.actor, now=now)
    said = f"wanted {wish.state}" if wish.state else "wanted in any state"
    click.echo(f"The crown over {support} is {said} when someone looks.")


@site.command("holidays")
@click.argument("code")
@click.argument("region", default="")
@click.pass_obj
def holidays(context: CliContext, code: str, region: str) -> None:
    """Keep the public holidays of a region, such as DE or GB-SCT; say nothing for none.

    No visit of the site is planned on them, unless the policy says so.
    """
    now = context.clock.now()
    with context.store.write_session() as session:
        kept = keep_holidays(session, code, region, actor=context.actor, now=now)
    region = kept.holiday_region
    said = f"the public holidays of {region}" if region else "no public holidays"
    click.echo(f"{kept.code} keeps {said}.")


@site.command("hours")
@click.argument("code")
@click.argument("hours", default="")
@click.pass_obj
def hours(context: CliContext, code: str, hours: str) -> None:
    """Keep when one can get in, such as 10:00-15:00; say nothing for any time.

    Rounds are planned within these hours.
    """
    now = context.clock.now()
    with context.store.write_session() as session:
        kept = keep_hours(session, code, hours, actor=context.actor, now=now)
    click.echo(f"{kept.code} is open {kept.access_hours or 'at any time'}.")
