"""`underprop record` and `underprop amend`: one entry, and a later word on it."""

from dataclasses import replace
from datetime import datetime
from typing import BinaryIO

import click

from monitor.cli.context import CliContext
from monitor.domain.vocabulary import Answer, InspectionKind, WorkKind
from monitor.errors import InvalidInput
from monitor.services.recording.amend import (
    amend_inspection,
    correct_reading,
    withdraw_inspection,
)
from monitor.services.recording.amend_work import amend_work, withdraw_work
from monitor.services.recording.checks import spoken
from monitor.services.recording.commands import (
    InspectionAmendment,
    ReadingCorrection,
    Revision,
    WorkAmendment,
)
from monitor.services.recording.json_commands import inspection_from_json
from monitor.services.recording.record import record_inspection
from monitor.services.recording.revise import revise

_DAY = click.DateTime(["%Y-%m-%d"])
_REASON = click.option("--reason", required=True, help="Kept with the change.")


@click.command("record")
@click.argument("file", type=click.File("rb"))
@click.option("--sure", multiple=True, help="Key of a question you have an answer to.")
@click.pass_obj
def record(context: CliContext, file: BinaryIO, sure: tuple[str, ...]) -> None:
    """Record one inspection from a JSON file, or from - for standard input."""
    limit = context.settings.upload_mb * 1_000_000
    content = file.read(limit + 1)
    if len(content) > limit:
        raise InvalidInput(
            f"More than {context.settings.upload_mb} MB is no inspection."
        )
    try:
        command = inspection_from_json(content.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise InvalidInput("The file is not UTF-8; save it as UTF-8.") from error
    command = replace(command, sure=command.sure | set(sure))
    now = context.clock.now()
    with context.store.write_session() as session:
        visit = record_inspection(session, command, actor=context.actor, now=now)
    click.echo(
        f"{command.support}: {visit.kind.value} inspection of "
        f"{spoken(visit.inspected_on)} by {visit.inspector} is in the record with "
        f"{len(command.readings)} readings and {len(command.findings)} findings "
        f"({visit.id})."
    )


@click.group("amend")
def amend() -> None:
    """Correct or withdraw an entry. The original stays readable."""


@amend.command("reading")
@click.argument("support")
@click.argument("quantity")
@click.option("--date", "on", type=_DAY, required=True, help="Day it was read.")
@click.option("--value", help="The right value, with its unit.")
@click.option("--withdraw", is_flag=True, help="There is no right value.")
@click.option("--member", default="")
@click.option("--mark", default="")
@click.option("--repeat", default=1, show_default=True)
@click.option("--inspector", default="", help="If two people read it on that day.")
@_REASON
@click.pass_obj
def amend_reading(
    context: CliContext,
    on: datetime,
    value: str | None,
    withdraw: bool,
    support: str,
    quantity: str,
    member: str,
    mark: str,
    repeat: int,
    inspector: str,
    reason: str,
) -> None:
    """Put another value in the place of a reading."""
    if withdraw == (value is not None):
        raise InvalidInput("Say either --value or --withdraw.", field="value")
    text = Answer.WITHDRAWN.value if value is None else value
    command = ReadingCorrection(
        support=support,
        on=on.date(),
        quantity=quantity,
        text=text,
        reason=reason,
        member=member,
        mark=mark,
        repeat=repeat,
        inspector=inspector,
    )
    with context.store.write_session() as session:
        reading = correct_reading(
            session, command, actor=context.actor, now=context.clock.now()
        )
    stands = reading.given or reading.answer.value
    click.echo(f"{command.support}, {spoken(command.on)}: “{stands}” stands now.")


@amend.command("inspection")
@click.argument("support")
@click.option("--date", "on", type=_DAY, required=True, help="Day it was made.")
@click.option("--withdraw", is_flag=True, help="It never happened.")
@click.option("--inspector", default="", help="If there are two of that day.")
@click.option("--kind", default="", help="If there are two of that day.")
@click.option("--new-date", "new_on", type=_DAY)
@click.option("--new-inspector")
@click.option("--new-kind", type=click.Choice(list(InspectionKind)))
@click.option("--new-air")
@click.option("--new-leaf")
@click.option("--new-note")
@_REASON
@click.pass_obj
def amend_visit(
    context: CliContext,
    on: datetime,
    withdraw: bool,
    support: str,
    inspector: str,
    kind: str,
    new_on: datetime | None,
    new_inspector: str | None,
    new_kind: str | None,
    new_air: str | None,
    new_leaf: str | None,
    new_note: str | None,
    reason: str,
) -> None:
    """Say something else of an inspection; its readings move with it."""
    command = InspectionAmendment(
        support=support,
        on=on.date(),
        reason=reason,
        inspector=inspector,
        kind=kind,
        new_on=new_on.date() if new_on else None,
        new_inspector=new_inspector,
        new_kind=new_kind,
        new_air=new_air,
        new_leaf=new_leaf,
        new_note=new_note,
    )
    act = withdraw_inspection if withdraw else amend_inspection
    with context.store.write_session() as session:
        act(session, command, actor=context.actor, now=context.clock.now())
    done = "withdrawn" if withdraw else "amended"
    click.echo(f"{command.support}: the inspection of {spoken(command.on)} is {done}.")


@amend.command("work")
@click.argument("support")
@click.option("--date", "on", type=_DAY, required=True, help="Day it was done.")
@click.option("--withdraw", is_flag=True, help="It was never done.")
@click.option("--kind", type=click.Choice(list(WorkKind)), default=None)
@click.option("--member", default="")
@click.option("--new-done-by")
@click.option("--new-note")
@_REASON
@click.pass_obj
def amend_done_work(
    context: CliContext,
    on: datetime,
    withdraw: bool,
    support: str,
    kind: str | None,
    member: str,
    new_done_by: str | None,
    new_note: str | None,
    reason: str,
) -> None:
    """Say something else of a work, or that it was never done."""
    command = WorkAmendment(
        support=support,
        on=on.date(),
        reason=reason,
        kind=kind or "",
        member=member,
        new_done_by=new_done_by,
        new_note=new_note,
    )
    act = withdraw_work if withdraw else amend_work
    with context.store.write_session() as session:
        act(session, command, actor=context.actor, now=context.clock.now())
    done = "withdrawn" if withdraw else "amended"
    click.echo(f"{command.support}: the work of {spoken(command.on)} is {done}.")


@amend.command("record")
@click.argument("kind", type=click.Choice(["site", "tree", "support", "member"]))
@click.argument("code")
@click.argument("field")
@click.argument("text")
@_REASON
@click.pass_obj
def amend_record(
    context: CliContext, kind: str, code: str, field: str, text: str, reason: str
) -> None:
    """Change what is registered: V-1, V-1/T1, S-0142 or S-0142/P1, one field."""
    command = Revision(kind, code, field, text, reason)
    with context.store.write_session() as session:
        revise(session, command, actor=context.actor, now=context.clock.now())
    click.echo(f"{code}: {field} is “{text}” now.")
