"""Days a site is closed, holidays it keeps, and how a crown is wanted for a look."""

from dataclasses import dataclass, replace
from datetime import date, datetime
from uuid import UUID

from monitor.clock import new_id
from monitor.domain.places import Site
from monitor.domain.scheduling import CrownWish, SiteClosure
from monitor.domain.vocabulary import LeafState
from monitor.errors import Conflict, InvalidInput, NotFound
from monitor.schedule.closures import Blackout
from monitor.schedule.leaf import LeafWish
from monitor.schedule.public_holidays import checked_region
from monitor.services.planning.plan import plan
from monitor.services.recording.checks import one_of, word
from monitor.services.recording.ledger_values import values_of
from monitor.services.showing.support import find_support
from monitor.store import Session, records
from monitor.store.ledger import append

LEAF_OUT, LEAF_FALL = "04-20", "11-10"
"""When crowns come into leaf and are bare again, north of the tropics; common practice,
no source."""


@dataclass(frozen=True, slots=True)
class ClosureCommand:
    """Days a client keeps a site closed, both included."""

    site: str
    first_on: date
    last_on: date
    reason: str


def close_site(
    session: Session, command: ClosureCommand, *, actor: str, now: datetime
) -> SiteClosure:
    """Note a closure and move what is due out of it, where that can be done in time.

    Raises
    ------
    NotFound : no site has that code
    InvalidInput : it ends before it begins, or no reason is given
    Conflict : just this is in the record
    """
    site = site_named(session, command.site)
    reason = " ".join(command.reason.split())
    if not reason:
        raise InvalidInput(
            "Say why the site is closed.", field="reason", code="day-001"
        )
    blackout = Blackout(command.first_on, command.last_on, reason)
    table = records.SITE_CLOSURES.table.c
    for one in records.SITE_CLOSURES.current(session, table.site_id == site.id):
        if blackout == Blackout(one.first_on, one.last_on, one.reason):
            raise Conflict("The record holds this closure already.", code="day-002")
    closure = SiteClosure(
        id=new_id(),
        site_id=site.id,
        first_on=command.first_on,
        last_on=command.last_on,
        reason=reason,
        withdrawn=False,
        recorded_by=actor,
        recorded_at=now,
        supersedes_id=None,
    )
    records.SITE_CLOSURES.add(session, [closure])
    change = ("site closed", f"site {site.code}", values_of(closure))
    append(session, [change], actor=actor, now=now)
    _plan_site(session, site, now)
    return closure


def reopen_site(
    session: Session, closure_id: UUID, *, reason: str, actor: str, now: datetime
) -> SiteClosure:
    """Take a closure back; what was moved out of it may come back.

    Raises
    ------
    NotFound : no such closure stands
    InvalidInput : no reason is given
    """
    standing = {closure.id: closure for closure in standing_closures(session)}
    if closure_id not in standing:
        raise NotFound("closure", str(closure_id))
    if not reason.strip():
        raise InvalidInput(
            "Say why the site is open after all.", field="reason", code="day-004"
        )
    was = standing[closure_id]
    back = replace(
        was,
        id=new_id(),
        withdrawn=True,
        reason=" ".join(reason.split()),
        recorded_by=actor,
        recorded_at=now,
        supersedes_id=was.id,
    )
    records.SITE_CLOSURES.add(session, [back])
    site = records.SITES.get(session, was.site_id)
    change = ("site opened again", f"site {site.code}", values_of(back))
    append(session, [change], actor=actor, now=now)
    _plan_site(session, site, now)
    return back


def standing_closures(session: Session) -> list[SiteClosure]:
    """Closures that were not taken back, by their first day."""
    found = [c for c in records.SITE_CLOSURES.current(session) if not c.withdrawn]
    return sorted(found, key=lambda c: (c.first_on, c.last_on, c.id))


def keep_holidays(
    session: Session, code: str, region: str, *, actor: str, now: datetime
) -> Site:
    """Plan no visit of a site on the public holidays of a region; empty for none.

    Raises
    ------
    NotFound : no site has that code
    InvalidInput : the country, or the part of it, is not known
    """
    site = site_named(session, code)
    kept = replace(site, holiday_region=checked_region(region))
    if kept == site:
        return site
    records.SITES.change(session, kept)
    change = ("holidays kept", f"site {site.code}", {"region": kept.holiday_region})
    append(session, [change], actor=actor, now=now)
    _plan_site(session, kept, now)
    return kept


def site_named(session: Session, code: str) -> Site:
    """The site of that code.

    Raises
    ------
    NotFound : there is none
    """
    word = code.strip()
    site = records.SITES.find(session, code=word) or records.SITES.find(
        session, code=word.upper()
    )
    if site is None:
        raise NotFound("site", code)
    return site


def wish_crown(
    session: Session, code: str, state: str, *, actor: str, now: datetime
) -> CrownWish:
    """Wish a crown in leaf or leafless for the looks at a support; empty takes it back.

    Raises
    ------
    NotFound : no such support, naming the nearest
    InvalidInput : no such state, or one too short to plan for
    """
    support = find_support(session, code)
    wanted = word(LeafState, state) if state.strip() else None
    if wanted is None and state.strip():
        raise InvalidInput(
            f"Found “{state}”, expected {one_of(LeafState)}.",
            field="state",
            code="day-003",
        )
    if wanted is not None:
        LeafWish(wanted)
    table = records.CROWN_WISHES.table.c
    before = records.CROWN_WISHES.current(session, table.support_id == support.id)
    wish = CrownWish(
        id=new_id(),
        support_id=support.id,
        state=wanted,
        leaf_out=LEAF_OUT,
        leaf_fall=LEAF_FALL,
        recorded_by=actor,
        recorded_at=now,
        supersedes_id=before[0].id if before else None,
    )
    records.CROWN_WISHES.add(session, [wish])
    change = ("crown wished", f"support {support.code}", values_of(wish))
    append(session, [change], actor=actor, now=now)
    plan(session, [support.id], now=now)
    return wish


def standing_wishes(session: Session) -> list[CrownWish]:
    """Wishes for a crown that were not taken back."""
    found = records.CROWN_WISHES.current(session)
    return [wish for wish in found if wish.state is not None]


def _plan_site(session: Session, site: Site, now: datetime) -> None:
    trees = records.TREES.all(session, records.TREES.table.c.site_id == site.id)
    column = records.SUPPORTS.table.c.tree_id
    there = records.SUPPORTS.all(session, column.in_([tree.id for tree in trees]))
    plan(session, [support.id for support in there], now=now)
