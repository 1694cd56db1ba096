"""`underprop event`: a storm or a blow, and who has to be looked at after it."""

from dataclasses import asdict
from datetime import date, datetime
from pathlib import Path

import click

from monitor.cli.context import CliContext
from monitor.cli.output import say
from monitor.clock import local_date
from monitor.domain.vocabulary import EventKind
from monitor.errors import InvalidInput
from monitor.exchange.tables import ReadOptions, read_sheet
from monitor.mechanics.screening import CAUTION
from monitor.services.planning.event_size import StationFile, station_file
from monitor.services.planning.events import (
    Draft,
    EventCommand,
    draft_event,
    end_event,
    enter_event,
    withdraw_event,
)
from monitor.services.recording.checks import spoken
from monitor.services.showing.events import CallLine, EventView
from monitor.services.showing.events import events as every_event
from monitor.store import Session, records

_DAY = click.DateTime(["%Y-%m-%d"])
_PATH = click.Path(path_type=Path)


@click.group("event")
def event() -> None:
    """Storms, ice, strikes, digs and floods that call for extra looks."""


@event.command("add")
@click.argument("kind", type=click.Choice([kind.value for kind in EventKind]))
@click.option("--on", "on", type=_DAY, help="Day it happened, YYYY-MM-DD.")
@click.option("--area", type=_PATH, help="GeoJSON file with a polygon.")
@click.option("--around", default="", help="Code of a site or support.")
@click.option("--radius", default="", help="Kilometres about it.")
@click.option("--support", default="", help="Code, if it met one support only.")
@click.option("--size", default="", help="With its unit: 95 km/h, 12 mm, VI.")
@click.option("--gusts", type=_PATH, help="CSV or XLSX of a station's gusts.")
@click.option("--column", default="", help="Heading of the gusts in that file.")
@click.option("--unit", default="", help="Of that column, if it does not say.")
@click.option("--sure", is_flag=True, help="The unit is right, however strong.")
@click.option("--name", default="")
@click.option("--note", default="")
@click.option("--dry-run", is_flag=True, help="Say who would be called.")
@click.pass_obj
def add(
    context: CliContext,
    kind: str,
    on: datetime | None,
    area: Path | None,
    around: str,
    radius: str,
    support: str,
    size: str,
    gusts: Path | None,
    column: str,
    unit: str,
    sure: bool,
    name: str,
    note: str,
    dry_run: bool,
) -> None:
    """Enter an event and raise the looks it calls for, in order of risk."""
    station = _station(context, gusts, (column, unit)) if gusts else None
    if station is not None:
        click.echo(station.in_words())
        _check_station(kind, station, size, sure=sure)
        size = f"{station.strongest_m_s:.3f} m/s"
    command = EventCommand(
        kind=kind,
        happened_on=on.date() if on else _day_of(station),
        name=name,
        area=_text_of(area) if area else "",
        around=around,
        radius=radius,
        support=support,
        size=size,
        note=note,
    )
    now = context.clock.now()
    if dry_run:
        with context.store.read_session() as session:
            draft = draft_event(session, command, now=now)
            codes = _codes(session)
        click.echo("Nothing was written (--dry-run).")
    else:
        with context.store.write_session() as session:
            draft = enter_event(session, command, actor=context.actor, now=now)
            codes = _codes(session)
    click.echo("\n".join(_told(draft, codes)))


@event.command("list")
@click.option("--all", "everything", is_flag=True, help="Ended ones, too.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_obj
def list_events(context: CliContext, everything: bool, as_json: bool) -> None:
    """Name the events that are followed, and whom they still wait for."""
    with context.store.read_session() as session:
        found = every_event(session, context.clock.now())
    shown = [one for one in found if everything or _is_followed(one)]
    text = "\n".join(line for view in shown for line in _lines(view))
    rows = [
        {
            "event": view.event,
            "size": view.size,
            "struck": view.struck,
            "calls": [asdict(line) for line in view.lines],
        }
        for view in shown
    ]
    say(rows, as_json=as_json, text=text or "No event is being followed.")


@event.command("end")
@click.argument("name")
@click.option("--on", "on", type=_DAY, help="Day it ended; today if not said.")
@click.option("--withdraw", is_flag=True, help="It was entered in error.")
@click.option("--reason", default="", help="Why it is withdrawn.")
@click.pass_obj
def end(
    context: CliContext, name: str, on: datetime | None, withdraw: bool, reason: str
) -> None:
    """Say that an event is over; what nobody has looked at stays owed."""
    now, actor = context.clock.now(), context.actor
    if withdraw:
        with context.store.write_session() as session:
            gone = withdraw_event(session, name, reason=reason, actor=actor, now=now)
        click.echo(f"“{gone.name}” is withdrawn; its looks are owed no more.")
        return
    ended_on = on.date() if on else local_date(now, context.settings.timezone)
    with context.store.write_session() as session:
        ended = end_event(session, name, ended_on=ended_on, actor=actor, now=now)
        codes = _codes(session)
    click.echo(f"“{ended.event.name}” ended on {spoken(ended_on)}.")
    for call in ended.still_open:
        click.echo(
            f"  {codes[call.support_id]}  still open, by {spoken(call.done_by_on)}"
        )
    if not ended.still_open:
        click.echo("Everyone it called was looked at.")


def _station(context: CliContext, path: Path, said: tuple[str, str]) -> StationFile:
    sheet = read_sheet(path, ReadOptions(limit_mb=context.settings.upload_mb))
    column, unit = said
    return station_file(sheet, column=column, unit=unit)


def _check_station(kind: str, station: StationFile, size: str, *, sure: bool) -> None:
    if kind != EventKind.STORM or size:
        raise InvalidInput("A file of gusts goes with a storm, and without --size.")
    if station.doubt and not sure:
        raise InvalidInput(f"{station.doubt} If it is right, say --sure.", field="unit")


def _day_of(station: StationFile | None) -> date:
    if station is None or station.on is None:
        raise InvalidInput("Say on which day it happened, with --on.", field="on")
    return station.on


def _text_of(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise InvalidInput(f"{path} can not be read: {error}.", field="area") from None


def _codes(session: Session) -> dict[object, str]:
    return {support.id: support.code for support in records.SUPPORTS.all(session)}


def _told(draft: Draft, codes: dict[object, str]) -> list[str]:
    """Who is called, in order of risk."""
    name = draft.event.name
    if draft.known is not None:
        return [
            f"“{draft.known.name}” says the same already; nothing was raised twice."
        ]
    lines = [f"{name}: {len(draft.new)} supports are called to a look."]
    if draft.like:
        known = ", ".join(f"“{one.name}”" for one in draft.like)
        lines.append(f"Whom {known} of that day called already is not called again.")
    if draft.response.remark:
        lines.append(draft.response.remark)
    if draft.seen:
        lines.append(f"{draft.seen} others were looked at since it happened.")
    lines += [
        f"  {n}. {one.candidate.code}  {one.candidate.standing}, by "
        f"{spoken(one.look.done_by_on)}"
        for n, one in enumerate(draft.new, start=1)
    ]
    unplaced = ", ".join(codes[one.support_id] for one in draft.response.unplaced)
    if unplaced:
        lines.append(f"Where these stand was never noted, so decide: {unplaced}.")
    return [*lines, CAUTION]


def _is_followed(view: EventView) -> bool:
    return view.event.ended_on is None or bool(view.waiting)


def _lines(view: EventView) -> list[str]:
    one = view.event
    ended = f", ended on {spoken(one.ended_on)}" if one.ended_on else ""
    size = f", {view.size}" if view.size else ""
    waiting = view.waiting
    return [
        f"{one.name} ({one.kind}, {spoken(one.happened_on)}{size}{ended}): "
        f"{len(waiting)} of {len(view.lines)} still want a look.  [{one.id}]",
        *(f"  {line.code}  {_when(line)}" for line in waiting),
    ]


def _when(line: CallLine) -> str:
    late = "late, " if line.is_late else ""
    return f"{late}by {spoken(line.done_by_on)}  {line.standing}  {line.site}"
