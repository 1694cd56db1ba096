"""`underprop policy`: when the duty-holder wants to look, as data."""

from pathlib import Path

import click

from monitor.cli.context import CliContext
from monitor.cli.output import say
from monitor.errors import InvalidInput
from monitor.schedule.effect import Effect
from monitor.schedule.policy import Cell, Key, Policy
from monitor.services.planning.adopt_policy import (
    UNTIL_ADOPTED,
    adopt,
    plain_text,
    policy_from_text,
    try_policy,
)
from monitor.services.planning.policy import Adopted, policy_in_force, version, versions
from monitor.services.recording.checks import spoken

SHOWN = 20
_PATH = click.Path(path_type=Path)


@click.group("policy")
def policy() -> None:
    """How long a support may go unseen, by version."""


@policy.command("show")
@click.option("--version", "number", type=click.IntRange(1), help="An older one.")
@click.option("--json", "as_json", is_flag=True, help="As JSON, to edit and try.")
@click.pass_obj
def show(context: CliContext, number: int | None, as_json: bool) -> None:
    """Print the policy in force with its sources, and name its older versions."""
    with context.store.read_session() as session:
        every = versions(session)
        shown = version(session, number) if number else every[0]
    if as_json:
        click.echo(plain_text(shown.policy))
        return
    click.echo("\n".join([_who(shown), *_table(shown.policy), "", "Versions:"]))
    for one in every:
        click.echo(f"  {_who(one)}")


@policy.command("try")
@click.argument("file", type=_PATH)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_obj
def try_file(context: CliContext, file: Path, as_json: bool) -> None:
    """Say what the policy in FILE would change; nothing is written."""
    with context.store.read_session() as session:
        effect = try_policy(session, _read(file), now=context.clock.now())
    say(effect, as_json=as_json, text="\n".join(_told(effect)))


@policy.command("adopt")
@click.argument("file", type=_PATH)
@click.option("--reason", required=True, help="Kept with the version.")
@click.pass_obj
def adopt_file(context: CliContext, file: Path, reason: str) -> None:
    """Put the policy in FILE in force and work out what is owed anew."""
    wanted, now = _read(file), context.clock.now()
    with context.store.write_session() as session:
        before = policy_in_force(session)
        effect = try_policy(session, wanted, now=now)
        made = adopt(session, wanted, reason=reason, actor=context.actor, now=now)
    click.echo(
        f"Version {made.version} is in force in place of version {before.version}. "
        f"{effect.in_words()}"
    )


def _read(path: Path) -> Policy:
    try:
        return policy_from_text(path.read_text(encoding="utf-8-sig"))
    except (OSError, UnicodeDecodeError) as error:
        raise InvalidInput(f"{path} can not be read: {error}.", field="file") from None


def _who(one: Adopted) -> str:
    said = f"Version {one.policy.version}, “{one.policy.name}”"
    if one.recorded_at is None:
        return f"{said}: the proposal this program comes with; edit it and adopt it."
    when = spoken(one.recorded_at.date())
    return f"{said}: adopted by {one.adopted_by} on {when}: {one.reason}"


def _table(policy: Policy) -> list[str]:
    lines = []
    for name, table in (("seen", policy.routine), ("within reach", policy.detailed)):
        lines.append(f"Longest time until it is {name} again:")
        lines += [f"  {_cell(key, cell)}" for key, cell in table.items()]
    return lines


def _cell(key: Key, cell: Cell) -> str:
    kind, occupancy, consequence = key
    return (
        f"{kind}, {occupancy} use, {consequence}: {cell.interval.in_words()} "
        f"({cell.source})"
    )


def _told(effect: Effect) -> list[str]:
    lines = [effect.in_words()]
    lines += [
        f"  {one.code}  {one.months_before:g} to {one.months_after:g} months, due "
        f"{spoken(one.due_before)} before, {spoken(one.due_after)} after"
        for one in effect.changes[:SHOWN]
    ]
    if len(effect.changes) > SHOWN:
        lines.append(f"  and {len(effect.changes) - SHOWN} more")
    return [*lines, UNTIL_ADOPTED]
