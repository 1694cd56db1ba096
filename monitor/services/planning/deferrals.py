"""Putting an inspection off: with a reason, a name and a limit, in plain sight."""

from dataclasses import dataclass, replace
from datetime import date, datetime

from monitor.clock import local_date, new_id
from monitor.domain.conclusions import Due
from monitor.domain.scheduling import DeferralEntry
from monitor.domain.supports import Support
from monitor.errors import Conflict, InvalidInput, NotFound
from monitor.schedule.deferral import check_deferral
from monitor.schedule.due import reasons
from monitor.schedule.history import FULL_KINDS, Deferral
from monitor.schedule.reason import Reason
from monitor.services.assessing.fleet import load_fleet
from monitor.services.assessing.histories import histories
from monitor.services.planning.plan import margins_now, outlooks_of, plan
from monitor.services.planning.policy import policy_in_force
from monitor.services.recording.checks import spoken
from monitor.services.recording.ledger_values import values_of
from monitor.services.showing.support import find_support
from monitor.store import Session, records
from monitor.store.ledger import append


@dataclass(frozen=True, slots=True)
class DeferralCommand:
    """A decision to look later.

    Attributes
    ----------
    support : code on the tag
    name : who answers for it
    """

    support: str
    until_on: date
    reason: str
    name: str


@dataclass(frozen=True, slots=True)
class PutOff:
    """What was decided, and what is owed now: another rule may ask sooner."""

    entry: DeferralEntry
    due: Due | None


def defer(
    session: Session, command: DeferralCommand, *, actor: str, now: datetime
) -> PutOff:
    """Put off the inspection that is owed next on a support.

    Raises
    ------
    NotFound : no such support, naming the nearest
    InvalidInput : reason or name is missing, the rule can not be put off, or the day is
        no later than it is due or beyond the limit
    """
    support = _in_service(find_support(session, command.support))
    governs, today = _governing(session, support, now)
    deferral = Deferral(
        governs.due_on,
        command.until_on,
        " ".join(command.reason.split()),
        " ".join(command.name.split()),
        today,
    )
    check_deferral(deferral, governs)
    entry = DeferralEntry(
        id=new_id(),
        support_id=support.id,
        rule=governs.rule,
        from_on=deferral.from_on,
        until_on=deferral.until_on,
        reason=deferral.reason,
        name=deferral.name,
        given_on=today,
        withdrawn=False,
        recorded_by=actor,
        recorded_at=now,
        supersedes_id=None,
    )
    return _write(session, support, entry, ("inspection deferred", actor, now))


def withdraw_deferral(
    session: Session, code: str, *, reason: str, actor: str, now: datetime
) -> PutOff:
    """Take the newest deferral of a support back.

    Raises
    ------
    NotFound : no such support, or nothing of it is put off
    InvalidInput : no reason is given
    """
    support = find_support(session, code)
    standing = standing_deferrals(session, support)
    if not standing:
        raise NotFound("deferral of", support.code)
    if not reason.strip():
        raise InvalidInput(
            "Say why the deferral is taken back.", field="reason", code="def-002"
        )
    back = replace(
        standing[-1],
        id=new_id(),
        withdrawn=True,
        reason=reason.strip(),
        recorded_by=actor,
        recorded_at=now,
        supersedes_id=standing[-1].id,
    )
    return _write(session, support, back, ("deferral withdrawn", actor, now))


def standing_deferrals(session: Session, support: Support) -> list[DeferralEntry]:
    """Deferrals of a support in force, oldest first; a full inspection ends them."""
    column = records.DEFERRALS.table.c.support_id
    found = records.DEFERRALS.current(session, column == support.id)
    visits = records.INSPECTIONS.current(
        session, records.INSPECTIONS.table.c.support_id == support.id
    )
    full = [v.inspected_on for v in visits if not v.withdrawn and v.kind in FULL_KINDS]
    last = max(full, default=date.min)
    standing = [one for one in found if not one.withdrawn and last < one.given_on]
    return sorted(standing, key=lambda one: (one.recorded_at, one.id))


def in_words(entry: DeferralEntry) -> str:
    """Who put what off, until when and why."""
    return (
        f"Put off from {spoken(entry.from_on)} to {spoken(entry.until_on)} by "
        f"{entry.name} on {spoken(entry.given_on)}: {entry.reason.rstrip('.')}."
    )


def _governing(
    session: Session, support: Support, now: datetime
) -> tuple[Reason, date]:
    """The rule that governs a support now, and the day at its site."""
    fleet = load_fleet(session, [support.id])
    outlooks = outlooks_of(session, [support.id])
    margins = margins_now(session, fleet, outlooks, now)
    policy = policy_in_force(session)
    history = next(histories(fleet, outlooks, margins, policy))
    today = local_date(now, fleet.sites[support.id].timezone)
    return reasons(history, policy, today)[0], today


def _write(
    session: Session,
    support: Support,
    entry: DeferralEntry,
    stamp: tuple[str, str, datetime],
) -> PutOff:
    action, actor, now = stamp
    records.DEFERRALS.add(session, [entry])
    change = (action, f"support {support.code}", values_of(entry))
    append(session, [change], actor=actor, now=now)
    dues = plan(session, [support.id], now=now)
    return PutOff(entry, dues[0] if dues else None)


def _in_service(support: Support) -> Support:
    if support.removed_on is not None:
        raise Conflict(
            f"{support.code} was removed on {spoken(support.removed_on)}; nothing is "
            "owed on it.",
            code="def-001",
        )
    return support
