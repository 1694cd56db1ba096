"""`underprop defer`: look later, with a reason and a name."""

from datetime import datetime

import click

from monitor.cli.context import CliContext
from monitor.errors import InvalidInput
from monitor.services.planning.deferrals import (
    DeferralCommand,
    defer,
    in_words,
    withdraw_deferral,
)


@click.command("defer")
@click.argument("code")
@click.option(
    "--until", "until", type=click.DateTime(["%Y-%m-%d"]), help="The day to look."
)
@click.option("--reason", required=True, help="Kept, and shown wherever it is due.")
@click.option("--name", default="", help="Who answers for it; you if not said.")
@click.option("--withdraw", is_flag=True, help="Take the newest deferral back.")
@click.pass_obj
def defer_inspection(
    context: CliContext,
    code: str,
    until: datetime | None,
    reason: str,
    name: str,
    withdraw: bool,
) -> None:
    """Put off the inspection of a support; the limit is half an interval."""
    if withdraw == (until is not None):
        raise InvalidInput("Say either --until or --withdraw.", field="until")
    now, actor = context.clock.now(), context.actor
    with context.store.write_session() as session:
        if until is None:
            put_off = withdraw_deferral(
                session, code, reason=reason, actor=actor, now=now
            )
        else:
            command = DeferralCommand(code, until.date(), reason, name or actor)
            put_off = defer(session, command, actor=actor, now=now)
    said = in_words(put_off.entry) if until else "The deferral is taken back."
    click.echo(said)
    if put_off.due is not None:
        click.echo(put_off.due.sentence)
