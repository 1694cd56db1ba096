"""Parts of `underprop plan` that keep, list and take back agreed rounds."""

from datetime import date
from pathlib import Path

from monitor.cli.context import CliContext
from monitor.cli.output import say
from monitor.clock import local_date
from monitor.domain.rounds import TravelTable
from monitor.errors import InvalidInput, NotFound
from monitor.exchange.tables import ReadOptions, read_sheet
from monitor.exchange.travel_file import TravelFile
from monitor.schedule.calendar import counted, in_words
from monitor.schedule.round_task import clock
from monitor.services.planning.agreed import (
    Agreed,
    day_key,
    standing_rounds,
    take_back,
)
from monitor.services.planning.agreeing import agree
from monitor.services.planning.round_words import parse_again
from monitor.services.planning.rounds import RoundPlan
from monitor.services.planning.travel_table import (
    checked,
    keep_table,
    table_in_force,
)


def keep_plan(context: CliContext, made: RoundPlan, today: date) -> str:
    """Keep a plan as agreed rounds, and say what came of it."""
    now = context.clock.now()
    with context.store.write_session() as session:
        done = agree(session, made, today=today, actor=context.actor, now=now)
    back = sum(one.withdrawn for one in done.written)
    return (
        f"Agreed: {counted(len(done.written) - back, 'round')} kept, {done.same} as "
        f"they stood, {back} taken back."
    )


def say_agreed(
    context: CliContext, taken_back: str, reason: str, *, as_json: bool
) -> None:
    """List agreed rounds from today on, after one was taken back if that is asked."""
    today = local_date(context.clock.now(), context.settings.timezone)
    if taken_back:
        _take_back(context, taken_back, reason)
    with context.store.read_session() as session:
        found = standing_rounds(session, today)
    text = "\n".join(map(_line, found)) or "No round is agreed."
    say([_row(one) for one in found], as_json=as_json, text=text)


def ways_of(
    context: CliContext, path: Path | None, *, keeps: bool
) -> TravelTable | TravelFile | None:
    """The table of ways of a file, kept if that is asked; without one that in force."""
    if path is None:
        if keeps:
            raise InvalidInput("Name a table with --travel to keep it.", field="travel")
        with context.store.read_session() as session:
            return table_in_force(session)
    sheet = read_sheet(path, ReadOptions(limit_mb=context.settings.upload_mb))
    if not keeps:
        with context.store.read_session() as session:
            return checked(session, sheet)
    with context.store.write_session() as session:
        return keep_table(session, sheet, actor=context.actor, now=context.clock.now())


def _take_back(context: CliContext, taken_back: str, reason: str) -> None:
    keys = [day_key(*each) for each in parse_again(taken_back)]
    with context.store.write_session() as session:
        standing = {one.key: one for one in standing_rounds(session, date.min)}
        for key in keys:
            if key not in standing:
                raise NotFound("agreed round", f"{key[0]}@{key[1]}")
            take_back(
                session,
                standing[key].round.root_id,
                reason=reason,
                actor=context.actor,
                now=context.clock.now(),
            )


def _line(one: Agreed) -> str:
    agreed = one.round
    stops = ", ".join(
        f"{clock(stop.begins_min)} {code}{' (pinned)' if stop.is_pinned else ''}"
        for stop, code in zip(one.stops, one.codes, strict=True)
    )
    return (
        f"{agreed.planned_on:%A} {in_words(agreed.planned_on)}, {agreed.person}: "
        f"{clock(agreed.leaves_min)} to {clock(agreed.back_min)}; {stops}"
    )


def _row(one: Agreed) -> dict[str, object]:
    agreed = one.round
    return {
        "id": agreed.root_id,
        "person": agreed.person,
        "on": agreed.planned_on,
        "version": agreed.version,
        "leaves": clock(agreed.leaves_min),
        "back": clock(agreed.back_min),
        "agreed_by": agreed.recorded_by,
        "stops": [
            {
                "support": code,
                "begins": clock(stop.begins_min),
                "ends": clock(stop.ends_min),
                "travel_min": stop.travel_min,
                "pinned": stop.is_pinned,
            }
            for stop, code in zip(one.stops, one.codes, strict=True)
        ],
    }
