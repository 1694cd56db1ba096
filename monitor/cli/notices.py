"""`underprop notices`: who is told, what was told, and what did not arrive."""

from dataclasses import replace
from uuid import UUID

import click

from monitor.cli.context import CliContext
from monitor.cli.output import say
from monitor.domain.notices import WEEKDAYS, Notice, NoticeKind, NoticeLine, NoticeState
from monitor.errors import InvalidInput, MonitorError, NotFound
from monitor.services.notices import confirming, recipients
from monitor.services.notices.blank import blank
from monitor.services.notices.post import post_of
from monitor.services.notices.raising import raise_notices
from monitor.services.notices.recipients import Choices
from monitor.services.notices.sending import send_notices
from monitor.services.secret import own_secret
from monitor.store import outbox, records

MOST = 50


@click.group()
def notices() -> None:
    """Tell people what is owed, and look at what was told."""


@notices.command("tell")
@click.argument("name")
@click.option("--email", default="", help="Address to write to.")
@click.option("--webhook", default="", help="HTTPS address to post to instead.")
@click.option("--site", "sites", multiple=True, help="Answers for this site; repeat.")
@click.option(
    "--digest",
    type=click.Choice([*WEEKDAYS, "never"]),
    default="monday",
    show_default=True,
    help="Day of the weekly digest.",
)
@click.option("--at", default="07:00", show_default=True, help="Hour of the digest.")
@click.option("--zone", default="", help="Time zone; that of the settings if none.")
@click.option(
    "--quiet", default="21:00-06:00", show_default=True, help="Hours, or “never”."
)
@click.option(
    "--urgent/--no-urgent",
    "escalations",
    default=True,
    show_default=True,
    help="Whether to tell at once what can not wait.",
)
@click.option("--even-if-empty", "empty", is_flag=True, help="Tell empty weeks, too.")
@click.pass_obj
def tell(context: CliContext, /, name: str, zone: str, **typed: object) -> None:
    """Say how a person is told; what was chosen before is replaced."""
    choices = Choices(name, zone=zone or context.settings.timezone, **typed)  # type: ignore[arg-type]
    with context.store.write_session() as session:
        made = recipients.choose(
            session, choices, actor=context.actor, now=context.clock.now()
        )
    told = f"{made.name} is told by {made.channel.value}."
    if made.asked_at is not None:
        told += " Digests begin once the letter to the address was answered."
    click.echo(told)


@notices.command("confirm")
@click.argument("name")
@click.argument("code")
@click.pass_obj
def confirm(context: CliContext, name: str, code: str) -> None:
    """Take the code out of the letter to a new address as its answer."""
    secret = own_secret(context.settings.data_folder, recipients.SECRET_FILE)
    with context.store.write_session() as session:
        found = recipients.recipient_named(session, name)
        confirming.confirm(session, found.id, code, secret, now=context.clock.now())
    click.echo(f"The address of {found.name} is confirmed.")


@notices.command("stop")
@click.argument("name")
@click.pass_obj
def stop(context: CliContext, name: str) -> None:
    """Tell a person nothing more."""
    with context.store.write_session() as session:
        found = recipients.recipient_named(session, name)
        recipients.stop(session, found, actor=context.actor, now=context.clock.now())
    click.echo(f"{found.name} is told nothing more.")


@notices.command("people")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_obj
def people(context: CliContext, as_json: bool) -> None:
    """List who is told, and how they want it."""
    with context.store.read_session() as session:
        found = [
            recipients.choices_of(session, one)
            for one in recipients.recipients(session)
        ]
    say(found, as_json=as_json, text="\n".join(map(_in_words, found)) or "Nobody yet.")


@notices.command("list")
@click.option("--failed", is_flag=True, help="Only what could not be delivered.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_obj
def list_notices(context: CliContext, failed: bool, as_json: bool) -> None:
    """List what people were told, newest first, and what became of it."""
    with context.store.read_session() as session:
        found = (
            outbox.in_state(session, NoticeState.FAILED)[::-1]
            if failed
            else outbox.newest(session, MOST, None)
        )
        names = outbox.people(session)
    rows = [_row(notice, names) for notice in found]
    lines = [
        f"{r['raised_at']:%Y-%m-%d %H:%M}  {r['id']}  {r['to']}  {r['state']}  "
        f"{r['subject']}{'. ' + str(r['error']) if r['error'] else ''}"
        for r in rows
    ]
    say(rows, as_json=as_json, text="\n".join(lines) or "Nothing was told yet.")


@notices.command("send")
@click.pass_obj
def send(context: CliContext) -> None:
    """Raise what is owed telling, and send everything that waits."""
    with context.store.write_session() as session:
        raised = raise_notices(session, now=context.clock.now())
    post = post_of(context.settings, context.clock)
    click.echo(f"raised: {raised}; {send_notices(context.store, post, context.clock)}")


@notices.command("again")
@click.argument("notice_id", type=click.UUID)
@click.pass_obj
def again(context: CliContext, notice_id: UUID) -> None:
    """Try a notice that failed once more, as it was."""
    with context.store.write_session() as session:
        if not outbox.try_again(session, notice_id, context.clock.now()):
            raise NotFound("failed notice", str(notice_id))
    click.echo("It waits to be sent.")


@notices.command("test")
@click.argument("name")
@click.pass_obj
def test(context: CliContext, name: str) -> None:
    """Send a person a trial notice now, and say whether it was taken."""
    now = context.clock.now()
    post = post_of(context.settings, context.clock)
    with context.store.write_session() as session:
        person = recipients.recipient_named(session, name)
        trial = replace(
            blank(NoticeKind.TRIAL, "", "A trial notice", now),
            recipient_id=person.id,
            lines=(NoticeLine("", "This is a trial: notices reach you."),),
        )
        trial = replace(trial, key=f"{person.id} trial {trial.id}")
        outbox.add_new(session, [trial])
    if person.channel not in post.carriers:
        raise InvalidInput(
            "There is no mail server in the settings."
            if person.channel.value == "e-mail"
            else "There is no secret for webhooks in the settings.",
            code="ntc-009",
        )
    send_notices(context.store, post, context.clock)
    with context.store.read_session() as session:
        found = records.NOTICES.get(session, trial.id)
    if found.state is not NoticeState.SENT:
        raise MonitorError(f"It was not taken: {found.error}", code="ntc-010")
    click.echo(f"It was taken for {person.name}.")


def _row(notice: Notice, names: dict[UUID, str]) -> dict[str, object]:
    return {
        "id": notice.id,
        "raised_at": notice.raised_at,
        "to": names[notice.recipient_id] if notice.recipient_id else "fallback contact",
        "kind": notice.kind.value,
        "subject": notice.subject,
        "state": notice.state.value,
        "attempts": notice.attempts,
        "ended_at": notice.ended_at,
        "error": notice.error,
    }


def _in_words(one: Choices) -> str:
    sites = ", ".join(one.sites) or "all sites"
    urgent = "what can not wait at once" if one.escalations else "nothing at once"
    return (
        f"{one.name}: {one.email or 'webhook'}; {sites}; digest {one.digest} at "
        f"{one.at} {one.zone}; {urgent}; quiet {one.quiet}"
    )
