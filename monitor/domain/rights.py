"""What each role may do: one table.

A role that is not named beside a right does not have it. Reading is not in the table:
every account reads, an owner only what stands on the owner's own sites.
"""

from enum import StrEnum

from monitor.domain.vocabulary import Role

_ADMIN, _MANAGER, _PLANNER = Role.ADMINISTRATOR, Role.MANAGER, Role.PLANNER
_INSPECTOR, _AUDITOR = Role.INSPECTOR, Role.AUDITOR


class Right(StrEnum):
    """Something an account may be allowed to do."""

    SEE_EVERY_SITE = "see every site"
    RECORD = "record inspections, works, findings and photographs"
    KEEP_REGISTER = "enter and change sites, trees and supports"
    PLAN = "enter events, close sites, put inspections off, plan rounds"
    SET_POLICY = "adopt the duty-holder's intervals"
    SHARE = "give out a link to one support"
    TELL = "say who is told of what"
    LOOK_AFTER_ACCOUNTS = "make, invite, change and disable accounts"
    SEE_RUNNING = "see how this installation runs"


MAY: dict[Right, frozenset[Role]] = {
    Right.SEE_EVERY_SITE: frozenset(Role) - {Role.OWNER},
    Right.RECORD: frozenset({_ADMIN, _MANAGER, _PLANNER, _INSPECTOR}),
    Right.KEEP_REGISTER: frozenset({_ADMIN, _MANAGER, _PLANNER, _INSPECTOR}),
    Right.PLAN: frozenset({_ADMIN, _MANAGER, _PLANNER, _INSPECTOR}),
    Right.SET_POLICY: frozenset({_ADMIN, _MANAGER}),
    Right.SHARE: frozenset({_ADMIN, _MANAGER, _PLANNER}),
    Right.TELL: frozenset({_ADMIN, _MANAGER, _PLANNER, _INSPECTOR}),
    Right.LOOK_AFTER_ACCOUNTS: frozenset({_ADMIN}),
    Right.SEE_RUNNING: frozenset({_ADMIN, _MANAGER, _AUDITOR}),
}


def may(role: Role, right: Right) -> bool:
    """Whether the role has the right."""
    return role in MAY[right]


def rights_of(role: Role) -> tuple[Right, ...]:
    """Every right of a role, in the order of the table."""
    return tuple(right for right, roles in MAY.items() if role in roles)
