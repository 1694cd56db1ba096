"""Plan rounds from what is owed, around the rounds that were agreed already."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

from monitor.domain.places import Site
from monitor.domain.vocabulary import InspectionKind, MemberKind, Standing
from monitor.errors import InvalidInput
from monitor.schedule.round_task import (
    Arranged,
    Person,
    Pin,
    Stop,
    Task,
    working_days,
)
from monitor.schedule.rounds import Rounds, plan_rounds
from monitor.schedule.travel import Place, Travel, middle_of
from monitor.schedule.visit_minutes import (
    Minutes,
    PastVisit,
    Work,
    learn_minutes,
    minutes_of,
)
from monitor.services.planning.agreed import Agreed, standing_rounds
from monitor.services.planning.agreed_days import AgreedDays, Asked, agreed_days
from monitor.services.planning.round_closures import closures_by_support
from monitor.services.planning.site_hours import access_by_site
from monitor.services.planning.travel_table import (
    place_of,
    table_in_force,
    travel_by,
)
from monitor.services.recording.checks import plain
from monitor.store import Session, records
from monitor.store.overview import OverviewLine, overview

MOST_DAYS, MOST_PEOPLE, MOST_STOPS = 20, 12, 400
USUAL_KM_H = 25.0
PULLED_FORWARD_DAYS = 60
"""What falls due so soon may be done on the way; common practice, no source."""

WITHIN_REACH = frozenset({"climbing", "platform"})
"""One of these brings a person to a cable or rod."""


WEIGHTS = {
    Standing.HOLDING: 1.0,
    Standing.WATCH: 2.0,
    Standing.ACT: 4.0,
    Standing.MAKE_SAFE: 8.0,
}
"""What goes first when hours are short; own choice."""


@dataclass(frozen=True, slots=True)
class RoundWish:
    """What someone asks for.

    Attributes
    ----------
    days : working days, Monday to Friday
    first_on : first of them, None for the day after today
    travel : None for the table of the house at the usual speed
    start : code of the site where every day begins and ends; empty for the middle
    access : when a site is open [minute of the day], by site code; beats what the
        record says of the site
    again : agreed days that are planned anew, by person; what is pinned on them stays
    """

    people: tuple[Person, ...]
    days: int
    first_on: date | None = None
    start: str = ""
    travel: Travel | None = None
    access: tuple[tuple[str, tuple[int, int]], ...] = ()
    pins: tuple[Pin, ...] = ()
    arranged: tuple[Arranged, ...] = ()
    seed: int = 1
    again: tuple[tuple[str, date], ...] = ()


@dataclass(frozen=True, slots=True)
class RoundPlan:
    """A plan with what the record says of its visits.

    Attributes
    ----------
    lines : by code
    minutes : on site and where the number comes from, by code
    sites : by their code
    more_owed : visits beyond the most that are planned at once
    standing : every agreed round that was known when this was planned
    agreed : what of them bears on this plan
    """

    wish: RoundWish
    rounds: Rounds
    lines: dict[str, OverviewLine]
    minutes: dict[str, Minutes]
    sites: dict[str, Site]
    more_owed: int
    standing: tuple[Agreed, ...]
    agreed: AgreedDays


@dataclass(frozen=True, slots=True)
class Owing:
    """How much is owed, before anybody plans.

    Attributes
    ----------
    minutes : on site, without travel [min]
    """

    visits: int
    minutes: float
    until: date


def plan_of(session: Session, wish: RoundWish, *, today: date) -> RoundPlan:
    """Plan rounds for what is owed.

    Raises
    ------
    InvalidInput : too many days or people, or a site that is not in the record
    """
    _check(wish)
    first = wish.first_on or today + timedelta(days=1)
    days = working_days(first, wish.days)
    standing = standing_rounds(session, today)
    agreed = agreed_days(
        standing, Asked(wish.people, days, wish.pins, wish.arranged, wish.again)
    )
    lines = [line for line in _open_lines(session) if line.code not in agreed.taken]
    sites = {site.code: site for site in records.SITES.all(session)}
    learnt = learn_minutes(past_visits(session, lines))
    wanted, chosen = _chosen(lines, days[-1], _named(wish) | agreed.codes)
    minutes = _minutes(learnt, chosen)
    access = access_by_site(sites.values()) | {
        plain(code): hours for code, hours in wish.access
    }
    closed = closures_by_support(session, chosen, sites, days[0])
    stops = tuple(
        replace(
            _stop(line, sites[line.site_code], minutes[line.code].minutes),
            closures=closed[line.support_id],
            access=access.get(plain(line.site_code)),
            is_wanted=line.code in wanted,
        )
        for line in chosen
    )
    travel = wish.travel or travel_by(table_in_force(session), USUAL_KM_H)
    task = Task(
        stops, wish.people, days, _home(wish, sites, stops), travel, wish.pins,
        (*wish.arranged, *agreed.arranged), wish.seed,
    )  # fmt: skip
    return RoundPlan(
        wish, plan_rounds(task), {line.code: line for line in chosen}, minutes, sites,
        max(0, len(wanted) - MOST_STOPS), standing, agreed,
    )  # fmt: skip


def owing(session: Session, days: int, *, today: date) -> Owing:
    """What is owed within so many working days."""
    until = working_days(today + timedelta(days=1), days)[-1]
    lines = _open_lines(session)
    wanted, _ = _owed(lines, until)
    minutes = _minutes(learn_minutes(past_visits(session, lines)), wanted)
    return Owing(len(wanted), sum(m.minutes for m in minutes.values()), until)


def past_visits(session: Session, lines: list[OverviewLine]) -> list[PastVisit]:
    """Visits to these supports of which the device noted the time."""
    by_id = {line.support_id: line for line in lines}
    noted = records.INSPECTIONS.table.c.device_at.is_not(None)
    return [
        PastVisit(
            visit.inspector,
            by_id[visit.support_id].site_code,
            visit.device_at,
            visit.kind,
            by_id[visit.support_id].kinds,
        )
        for visit in records.INSPECTIONS.current(session, noted)
        if visit.device_at is not None
        and not visit.withdrawn
        and visit.support_id in by_id
    ]


def skills_for(
    kind: InspectionKind | None, members: tuple[MemberKind, ...]
) -> frozenset[str]:
    """What a visit needs of who goes: a detailed look at a cable or rod is climbed to.

    Common practice, no source.
    """
    is_high = any(member in (MemberKind.CABLE, MemberKind.ROD) for member in members)
    return WITHIN_REACH if kind is InspectionKind.DETAILED and is_high else frozenset()


def _open_lines(session: Session) -> list[OverviewLine]:
    return [
        line
        for line in overview(session)
        if line.removed_on is None and line.due_on is not None
    ]


def _check(wish: RoundWish) -> None:
    if not 1 <= wish.days <= MOST_DAYS:
        raise InvalidInput(
            f"Found {wish.days} days, expected 1 to {MOST_DAYS}.",
            field="days",
            code="rnd-004",
        )
    if not 1 <= len(wish.people) <= MOST_PEOPLE:
        raise InvalidInput(
            f"Found {len(wish.people)} people, expected 1 to {MOST_PEOPLE}.",
            field="people",
            code="rnd-005",
        )


def _owed(
    lines: list[OverviewLine], until: date
) -> tuple[list[OverviewLine], list[OverviewLine]]:
    """What is wanted by that day, and what may be done on the way to it."""
    ordered = sorted(lines, key=lambda line: (line.due_on or until, line.code))
    wanted = [line for line in ordered if (line.due_on or until) <= until]
    near = {line.site_code for line in wanted}
    soon = until + timedelta(days=PULLED_FORWARD_DAYS)
    rest = [
        line
        for line in ordered[len(wanted) :]
        if (line.due_on or until) <= soon
        and line.site_code in near
        and (line.opens_on or until) <= until
    ]
    return wanted, rest


def _chosen(
    lines: list[OverviewLine], until: date, named: frozenset[str]
) -> tuple[frozenset[str], list[OverviewLine]]:
    """Codes that are wanted, and what is planned: always what is named and open."""
    wanted, on_the_way = _owed(lines, until)
    chosen = (wanted + on_the_way)[:MOST_STOPS]
    there = {line.code for line in chosen}
    chosen += [
        line
        for line in lines
        if line.code in named - there and (line.opens_on or until) <= until
    ]
    return frozenset(line.code for line in wanted), chosen


def _named(wish: RoundWish) -> frozenset[str]:
    """Visits that somebody put somewhere by hand."""
    codes = {code for day in wish.arranged for code in day.codes}
    return frozenset(codes | {pin.code for pin in wish.pins})


def _minutes(
    learnt: dict[Work, Minutes], lines: list[OverviewLine]
) -> dict[str, Minutes]:
    return {
        line.code: minutes_of(
            line.due_kind or InspectionKind.ROUTINE, line.kinds, learnt
        )
        for line in lines
    }


def _stop(
    line: OverviewLine,
    site: Site,
    minutes: float,
) -> Stop:
    due_on = line.due_on or date.max
    return Stop(
        code=line.code,
        place=place_of(site),
        minutes=minutes,
        opens_on=min(line.opens_on or due_on, due_on),
        due_on=due_on,
        late_on=line.late_on or due_on,
        skills=skills_for(line.due_kind, line.kinds),
        weight=WEIGHTS[line.standing] if line.standing else 1.0,
    )


def _home(wish: RoundWish, sites: dict[str, Site], stops: tuple[Stop, ...]) -> Place:
    if not wish.start:
        return middle_of([stop.place for stop in stops])
    by_code = {plain(code): site for code, site in sites.items()}
    site = by_code.get(plain(wish.start))
    if site is None:
        raise InvalidInput(
            f"No site “{wish.start}” to start from; expected the code of a site.",
            field="start",
            code="rnd-006",
        )
    return place_of(site)
