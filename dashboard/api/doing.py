"""What programs may have done beside inspections: one line an operation.

Each is the same use-case as behind the page, with the rights of the account. What is
sent twice is done once: a work by its id, an event by what it says, a correction and a
policy because the record refuses to be told again what it says already (409).
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from uuid import UUID

from flask import request
from flask_smorest import Blueprint  # type: ignore[import-untyped]

from dashboard.access import signed_in
from dashboard.api.asked import body_schema, command_of_request
from dashboard.api.operations import Operation, adds
from dashboard.api.shapes import schema_of
from dashboard.context import AppContext
from monitor.domain.events import Event
from monitor.domain.inspections import Inspection, Reading, Work
from monitor.domain.rights import Right
from monitor.domain.scheduling import DeferralEntry, PolicyVersion
from monitor.domain.supports import LimitOverride, Support
from monitor.errors import Conflict, InvalidInput, NotAllowed
from monitor.schedule.policy_record import from_plain
from monitor.services.assessing.limits import set_limit
from monitor.services.planning.adopt_policy import adopt
from monitor.services.planning.deferrals import (
    DeferralCommand,
    defer,
    withdraw_deferral,
)
from monitor.services.planning.event_changes import EventCorrection, correct_event
from monitor.services.planning.events import (
    EventCommand,
    end_event,
    enter_event,
    withdraw_event,
)
from monitor.services.recording import amend, amend_work, commands, works
from monitor.services.recording.checks import Stamp
from monitor.services.recording.register import register_supports
from monitor.store import Session, records


@dataclass(frozen=True, slots=True)
class EventEnd:
    """That an event is over; `event` is its name or id."""

    event: str
    ended_on: date


@dataclass(frozen=True, slots=True)
class EventWithdrawal:
    """That an event was entered in error; `event` is its name or id."""

    event: str
    reason: str


@dataclass(frozen=True, slots=True)
class DeferralWithdrawal:
    """That the newest deferral of a support no longer stands."""

    support: str
    reason: str


@dataclass(frozen=True, slots=True)
class PolicyAdoption:
    """The content of a policy as it was read, changed; with its version."""

    content: Mapping[str, Any]
    reason: str


@dataclass(frozen=True, slots=True)
class Deed:
    """Something that may be asked for.

    Attributes
    ----------
    act : does it, and gives what stands in the record now
    """

    name: str
    path: str
    says: str
    command: type[Any]
    answer: type[Any]
    act: Callable[[Session, Any, Stamp], object]
    right: Right = Right.RECORD


def add_doing(api: Blueprint, context: AppContext) -> None:
    """One address for each deed."""
    for deed in DEEDS:
        _add(api, context, deed)


def _add(api: Blueprint, context: AppContext, deed: Deed) -> None:
    what = Operation(
        deed.name,
        deed.path,
        deed.says,
        schema_of(deed.answer),
        method="POST",
        status=201,
        more={
            "requestBody": {
                "required": True,
                "content": {"application/json": {"schema": body_schema(deed.command)}},
            },
            "parameters": [_KEY] if deed.command is commands.WorkCommand else [],
        },
    )

    @adds(api, what)
    def done() -> object:
        if not signed_in().may(deed.right):
            raise NotAllowed(f"This key does not {deed.right.value}.", code="acc-004")
        command = _keyed(command_of_request(deed.command))
        stamp = Stamp(signed_in().account.name, context.clock.now())
        with context.store.write_session() as session:
            return deed.act(session, command, stamp)


_KEY = {
    "name": "Idempotency-Key",
    "in": "header",
    "schema": {"type": "string", "format": "uuid"},
}


def _keyed(command: Any) -> Any:  # noqa: ANN401 - any command
    """A work under the id of the Idempotency-Key."""
    key = request.headers.get("Idempotency-Key", "")
    if not key or not isinstance(command, commands.WorkCommand):
        return command
    try:
        given = UUID(key)
    except ValueError:
        raise _wrong_key("it is no UUID") from None
    if command.id not in (None, given):
        raise _wrong_key("the body names another id")
    return replace(command, id=given)


def _wrong_key(why: str) -> InvalidInput:
    return InvalidInput(
        f"Idempotency-Key: {why}.", field="Idempotency-Key", code="api-003"
    )


def _work(session: Session, command: commands.WorkCommand, stamp: Stamp) -> Work:
    try:
        return works.record_work(session, command, actor=stamp.actor, now=stamp.now)
    except Conflict as no:
        if command.id is None or records.WORKS.find(session, id=command.id) is None:
            raise
        raise InvalidInput(no.message, field="id", code=no.code) from no


def _event(session: Session, command: EventCommand, stamp: Stamp) -> Event:
    draft = enter_event(session, command, actor=stamp.actor, now=stamp.now)
    return draft.known or draft.event


def _event_again(session: Session, command: EventCorrection, stamp: Stamp) -> Event:
    draft = correct_event(session, command, actor=stamp.actor, now=stamp.now)
    return draft.known or draft.event


def _event_end(session: Session, command: EventEnd, stamp: Stamp) -> Event:
    actor, now, day = stamp.actor, stamp.now, command.ended_on
    return end_event(session, command.event, ended_on=day, actor=actor, now=now).event


def _event_gone(session: Session, command: EventWithdrawal, stamp: Stamp) -> Event:
    actor, now, why = stamp.actor, stamp.now, command.reason
    return withdraw_event(session, command.event, reason=why, actor=actor, now=now)


def _deferral(
    session: Session, command: DeferralCommand, stamp: Stamp
) -> DeferralEntry:
    return defer(session, command, actor=stamp.actor, now=stamp.now).entry


def _deferral_gone(
    session: Session, command: DeferralWithdrawal, stamp: Stamp
) -> DeferralEntry:
    code, why, actor, now = command.support, command.reason, stamp.actor, stamp.now
    return withdraw_deferral(session, code, reason=why, actor=actor, now=now).entry


def _support(session: Session, command: commands.SupportDraft, stamp: Stamp) -> Support:
    (key,) = register_supports(session, [command], actor=stamp.actor, now=stamp.now)
    return records.SUPPORTS.get(session, key)


def _limit(
    session: Session, command: commands.LimitCommand, stamp: Stamp
) -> LimitOverride:
    return set_limit(session, command, actor=stamp.actor, now=stamp.now)


def _reading(
    session: Session, command: commands.ReadingCorrection, stamp: Stamp
) -> Reading:
    return amend.correct_reading(session, command, actor=stamp.actor, now=stamp.now)


def _look(
    session: Session, command: commands.InspectionAmendment, stamp: Stamp
) -> Inspection:
    return amend.amend_inspection(session, command, actor=stamp.actor, now=stamp.now)


def _look_gone(
    session: Session, command: commands.InspectionAmendment, stamp: Stamp
) -> Inspection:
    return amend.withdraw_inspection(session, command, actor=stamp.actor, now=stamp.now)


def _work_again(
    session: Session, command: commands.WorkAmendment, stamp: Stamp
) -> Work:
    return amend_work.amend_work(session, command, actor=stamp.actor, now=stamp.now)


def _work_gone(session: Session, command: commands.WorkAmendment, stamp: Stamp) -> Work:
    return amend_work.withdraw_work(session, command, actor=stamp.actor, now=stamp.now)


def _policy(session: Session, command: PolicyAdoption, stamp: Stamp) -> PolicyVersion:
    made = from_plain(command.content)
    why = command.reason
    return adopt(session, made, reason=why, actor=stamp.actor, now=stamp.now)


DEEDS = (
    Deed("register_support", "/supports", "Register a support, or add to one",
         commands.SupportDraft, Support, _support, Right.KEEP_REGISTER),
    Deed("record_work", "/works", "Record a work",
         commands.WorkCommand, Work, _work),
    Deed("correct_reading", "/readings/corrections",
         "Put another value in the place of a reading, or withdraw it",
         commands.ReadingCorrection, Reading, _reading),
    Deed("amend_inspection", "/inspections/amendments",
         "Say something else of an inspection",
         commands.InspectionAmendment, Inspection, _look),
    Deed("withdraw_inspection", "/inspections/withdrawals",
         "Say that an inspection never happened",
         commands.InspectionAmendment, Inspection, _look_gone),
    Deed("amend_work", "/works/amendments", "Say something else of a work",
         commands.WorkAmendment, Work, _work_again),
    Deed("withdraw_work", "/works/withdrawals", "Say that a work was never done",
         commands.WorkAmendment, Work, _work_gone),
    Deed("set_limit", "/limits", "Set watch and act values of one series",
         commands.LimitCommand, LimitOverride, _limit),
    Deed("enter_event", "/events", "Enter an event and raise the looks it calls for",
         EventCommand, Event, _event, Right.PLAN),
    Deed("correct_event", "/events/corrections", "Set right an event",
         EventCorrection, Event, _event_again, Right.PLAN),
    Deed("end_event", "/events/ends", "Say that an event is over",
         EventEnd, Event, _event_end, Right.PLAN),
    Deed("withdraw_event", "/events/withdrawals",
         "Say that an event was entered in error",
         EventWithdrawal, Event, _event_gone, Right.PLAN),
    Deed("defer", "/deferrals", "Put off the inspection that is owed next",
         DeferralCommand, DeferralEntry, _deferral, Right.PLAN),
    Deed("withdraw_deferral", "/deferrals/withdrawals",
         "Take the newest deferral of a support back",
         DeferralWithdrawal, DeferralEntry, _deferral_gone, Right.PLAN),
    Deed("adopt_policy", "/policy",
         "Put a policy in force; refused (409) if it was made from an older version",
         PolicyAdoption, PolicyVersion, _policy, Right.SET_POLICY),
)  # fmt: skip
