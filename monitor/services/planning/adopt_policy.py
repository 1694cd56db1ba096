"""Trying a new policy, seeing what it would change, and adopting it."""

import json
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime
from typing import Any
from uuid import UUID

from monitor.clock import local_date, new_id
from monitor.domain.scheduling import PolicyVersion
from monitor.domain.vocabulary import Role
from monitor.errors import Conflict, InvalidInput, NotAllowed
from monitor.schedule.effect import Effect, effect
from monitor.schedule.policy import Policy
from monitor.schedule.policy_record import from_plain, to_plain
from monitor.services.assessing.assess import assess_all
from monitor.services.assessing.fleet import Fleet, load_fleet
from monitor.services.assessing.histories import histories, longest_interval_years
from monitor.services.planning.plan import margins_now, outlooks_of
from monitor.services.planning.policy import policy_in_force
from monitor.services.recording.ledger_values import values_of
from monitor.store import Session, records
from monitor.store.ledger import append

MAY_ADOPT = frozenset({Role.ADMINISTRATOR, Role.MANAGER})
UNTIL_ADOPTED = (
    "Looks that the readings ask for are worked out anew when it is adopted; they may "
    "bring single dates forward, never back."
)


def policy_from_text(text: str) -> Policy:
    """Read a policy from JSON, as `underprop policy show --json` prints it.

    Raises
    ------
    InvalidInput : naming what is missing, unknown or impossible
    """
    try:
        content = json.loads(text)
    except ValueError as error:
        raise InvalidInput(
            f"The policy is not JSON: {error}.", field="policy", code="pol-001"
        ) from None
    if not isinstance(content, dict):
        raise InvalidInput(
            "The policy is not a JSON object; start from “underprop policy show "
            "--json”.",
            field="policy",
            code="pol-001",
        )
    return from_plain(content)


def try_policy(session: Session, policy: Policy, *, now: datetime) -> Effect:
    """What a policy would change, beside the one in force; nothing is written."""
    before = policy_in_force(session)
    fleet = load_fleet(session)
    outlooks = outlooks_of(session, None)
    margins = margins_now(session, fleet, outlooks, now)
    longer = _longer(fleet, before, policy)
    return effect(
        before, policy, histories(fleet, outlooks, margins, longer), _latest(fleet, now)
    )


def adopt(
    session: Session, policy: Policy, *, reason: str, actor: str, now: datetime
) -> PolicyVersion:
    """Put a policy in force and work out anew what every support is owed.

    The version it carries is the one it was made from: if another one was adopted
    meanwhile, nobody's change is lost unseen. An actor without an account works at the
    console, where the whole record is in hand anyway.

    Raises
    ------
    NotAllowed : the account of the actor adopts no policy
    InvalidInput : no reason is given
    Conflict : it was made from an older version, or changes nothing
    """
    account = records.ACCOUNTS.find(session, name=actor)
    if account is not None and account.role not in MAY_ADOPT:
        raise NotAllowed("Only a manager or an administrator adopts a policy.")
    before = policy_in_force(session)
    if not reason.strip():
        raise InvalidInput(
            "Say why the policy is adopted; the reason stays with the version.",
            field="reason",
            code="pol-002",
        )
    if policy.version != before.version:
        raise Conflict(
            f"This was made from version {policy.version}, and version "
            f"{before.version} is in force now. Look at it and make the change anew.",
            code="pol-003",
        )
    if to_plain(policy) == to_plain(before) and records.POLICIES.count(session):
        raise Conflict(
            f"Version {before.version} says just this already; nothing was written.",
            code="pol-004",
        )
    made = _version(replace(policy, version=before.version + 1), reason, actor, now)
    records.POLICIES.add(session, [made])
    change = ("policy adopted", f"policy {made.version}", values_of(made))
    append(session, [change], actor=actor, now=now)
    if replace(policy, costs=before.costs) != before:  # prices move no date
        assess_all(session, now=now)
    return made


def plain_text(policy: Policy) -> str:
    """A policy as JSON that can be edited and read back."""
    return json.dumps(to_plain(policy), indent=2, ensure_ascii=False)


def _version(policy: Policy, reason: str, actor: str, now: datetime) -> PolicyVersion:
    content: Mapping[str, Any] = to_plain(policy)
    return PolicyVersion(
        id=new_id(),
        version=policy.version,
        name=policy.name,
        content=dict(content),
        reason=reason.strip(),
        adopted_by=actor,
        recorded_at=now,
    )


def _longer(fleet: Fleet, one: Policy, other: Policy) -> Policy:
    """Whichever lets the fleet go longer, so that no look is left out beforehand."""

    def years(policy: Policy) -> float:
        keys: list[UUID] = list(fleet.supports)
        return sum(longest_interval_years(fleet, key, policy) for key in keys)

    return max(one, other, key=years)


def _latest(fleet: Fleet, now: datetime) -> date:
    days = {local_date(now, site.timezone) for site in fleet.sites.values()}
    return max(days, default=now.date())
