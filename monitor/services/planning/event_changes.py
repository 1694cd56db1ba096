"""Setting right an event that was entered wrongly: both entries stay in the ledger."""

from dataclasses import dataclass
from datetime import datetime

from monitor.errors import Conflict, InvalidInput
from monitor.services.planning.event_calls import event_named
from monitor.services.planning.events import (
    Draft,
    EventCommand,
    draft_event,
    enter_event,
    withdraw_event,
)
from monitor.store import Session


@dataclass(frozen=True, slots=True)
class EventCorrection:
    """What an event should have said.

    Attributes
    ----------
    event : name or id of the one that is wrong
    reason : what was wrong with it
    """

    event: str
    command: EventCommand
    reason: str


def correct_event(
    session: Session, correction: EventCorrection, *, actor: str, now: datetime
) -> Draft:
    """Withdraw an event and enter what it should have said, in one step.

    Looks made since it happened count for the right one as well.

    Raises
    ------
    NotFound, InvalidInput : no such event, no reason, or what is wrong with the new one
    Conflict : the new one says just the same
    """
    was, command = event_named(session, correction.event), correction.command
    if not correction.reason.strip():
        raise InvalidInput(
            "Say what was wrong with the event.", field="reason", code="evt-014"
        )
    draft = draft_event(session, command, now=now)
    is_known = draft.known is not None and draft.known.id == was.id
    if is_known and draft.event.name == was.name:
        raise Conflict(f"“{was.name}” says just this already.", code="evt-015")
    withdraw_event(session, str(was.id), reason=correction.reason, actor=actor, now=now)
    return enter_event(session, command, actor=actor, now=now)
