"""The events of the demo, entered on the evening they happened."""

import csv
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

from monitor.services.planning.events import EventCommand, end_event, enter_event
from monitor.store import Session

FILE = "events.csv"
_OF_THE_COMMAND = (
    "kind",
    "name",
    "area",
    "around",
    "radius",
    "support",
    "size",
    "note",
)


@dataclass(frozen=True, slots=True)
class ToldEvent:
    """One row.

    Attributes
    ----------
    ended_on : None while it lasts
    """

    command: EventCommand
    ended_on: date | None


def told_events(folder: Path, today: date) -> list[ToldEvent]:
    """The events that have happened by that day, oldest first."""
    path = folder / FILE
    if not path.exists():
        return []
    with path.open(encoding="utf-8", newline="") as file:
        rows = [_told(row) for row in csv.DictReader(file)]
    past = [one for one in rows if one.command.happened_on <= today]
    return sorted(past, key=lambda one: one.command.happened_on)


def tell(session: Session, one: ToldEvent, *, actor: str, now: datetime) -> None:
    """Enter an event; what is in the record already is entered once."""
    made = enter_event(session, one.command, actor=actor, now=now)
    if one.ended_on is not None and made.known is None:
        end_event(
            session,
            str(made.event.id),
            ended_on=one.ended_on,
            actor=actor,
            now=now + (one.ended_on - one.command.happened_on) + timedelta(hours=1),
        )


def _told(row: dict[str, str]) -> ToldEvent:
    said = {name: row[name] for name in _OF_THE_COMMAND}
    ended = row["ended"]
    return ToldEvent(
        EventCommand(happened_on=date.fromisoformat(row["date"]), **said),
        date.fromisoformat(ended) if ended else None,
    )
