"""The duty-holder's policy: which version is in force, and every one there was."""

from dataclasses import dataclass
from datetime import datetime

from monitor.domain.scheduling import PolicyVersion
from monitor.errors import NotFound
from monitor.schedule.default_policy import default_policy
from monitor.schedule.policy import Policy
from monitor.schedule.policy_record import from_plain
from monitor.store import Session, records


@dataclass(frozen=True, slots=True)
class Adopted:
    """One version of the policy.

    Attributes
    ----------
    adopted_by, reason : empty for the proposal that the program comes with
    recorded_at : None for that proposal
    """

    policy: Policy
    reason: str
    adopted_by: str
    recorded_at: datetime | None


def policy_in_force(session: Session) -> Policy:
    """The newest version that was adopted; the proposal if there is none."""
    return versions(session)[0].policy


def versions(session: Session) -> tuple[Adopted, ...]:
    """Every version, newest first; the last one is the proposal, version 1."""
    stored = sorted(records.POLICIES.all(session), key=lambda one: -one.version)
    return (*(_adopted(one) for one in stored), Adopted(default_policy(), "", "", None))


def version(session: Session, number: int) -> Adopted:
    """One version.

    Raises
    ------
    NotFound : there is no such version
    """
    for one in versions(session):
        if one.policy.version == number:
            return one
    newest = policy_in_force(session).version
    raise NotFound("policy version", str(number), hint=f"The newest is {newest}.")


def _adopted(stored: PolicyVersion) -> Adopted:
    return Adopted(
        from_plain(stored.content), stored.reason, stored.adopted_by, stored.recorded_at
    )
