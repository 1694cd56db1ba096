"""What the record said on a past day: facts as they stood, conclusions worked out anew.

Readings, findings, works and as-built facts come as they were recorded by then, without
later corrections. How it stood and what was owed is not kept from day to day; it is
worked out from those facts for that day, by the present method and the numbers that
the fleet has taught until now, under the policy that was in force. The paper says so.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID

from monitor.domain.conclusions import Due, Outlook, SupportStanding
from monitor.domain.standing import MarginWord
from monitor.domain.supports import Support
from monitor.schedule.policy import Policy
from monitor.services.assessing.assess import standings
from monitor.services.assessing.calibrate import numbers_in_force
from monitor.services.assessing.fleet import Fleet, load_fleet
from monitor.services.assessing.histories import longest_interval_years
from monitor.services.assessing.outlooks import outlooks_of_series
from monitor.services.assessing.series import SeriesTable, series_of
from monitor.services.margins.fleet import fleet_margins
from monitor.services.margins.margins import word_of
from monitor.services.margins.member_margin import MemberMargin
from monitor.services.papers.earlier import (
    as_it_was,
    before_removal,
    revisions_since,
)
from monitor.services.papers.moment import Moment
from monitor.services.planning.plan import due_list, outlooks_of
from monitor.services.planning.policy import versions
from monitor.store import Session, records

HOW_KNOWN = (
    "Facts stand as they were recorded by then, later corrections left out. How "
    "supports stood and what was owed is worked out anew from those facts for that "
    "day, by the present method and with the numbers the fleet has taught until now, "
    "under the policy then in force; what was concluded at the time may have differed."
)


@dataclass(frozen=True, slots=True)
class Known:
    """Supports as known at a moment, with the conclusions for it.

    Attributes
    ----------
    fleet : records as known
    outlooks, standings, dues, margins : by support
    """

    fleet: Fleet
    outlooks: dict[UUID, list[Outlook]]
    standings: dict[UUID, SupportStanding]
    dues: dict[UUID, Due]
    margins: dict[UUID, list[MemberMargin]]


def known_supports(session: Session, moment: Moment) -> list[Support]:
    """Supports that were in the record at that moment, by code."""
    found = records.SUPPORTS.current(session, known_at=moment.known_at)
    return sorted(found, key=lambda support: support.code)


def known_at(session: Session, support_ids: Sequence[UUID], moment: Moment) -> Known:
    """These supports as known at the moment."""
    return (_then if moment.is_past else _now)(session, support_ids, moment)


def _now(session: Session, support_ids: Sequence[UUID], moment: Moment) -> Known:
    """Facts and conclusions as they are kept."""
    fleet = load_fleet(session, support_ids)
    table = series_of(session, fleet)
    outlooks = outlooks_of(session, support_ids)
    said = [outlook for each in outlooks.values() for outlook in each]
    stand, owed = records.STANDINGS.table.c, records.DUES.table.c
    return Known(
        fleet,
        outlooks,
        {
            one.support_id: one
            for one in records.STANDINGS.all(session, stand.support_id.in_(support_ids))
        },
        {
            one.support_id: one
            for one in records.DUES.all(session, owed.support_id.in_(support_ids))
        },
        _margins(fleet, table, said, _days(fleet, moment)),
    )


def _then(session: Session, support_ids: Sequence[UUID], moment: Moment) -> Known:
    """Facts as they stood, conclusions worked out anew."""
    at, known = moment.at, moment.known_at
    fleet = _as_it_was(
        session, load_fleet(session, support_ids, known_at=known), moment
    )
    table = series_of(session, fleet, known_at=known)
    policy, days = _policy(session, moment), _days(fleet, moment)
    longest = {k: longest_interval_years(fleet, k, policy) for k in fleet.supports}
    found = outlooks_of_series(table, days, longest, numbers_in_force(session), at)
    margins = _margins(fleet, table, found, days)
    words: dict[UUID, tuple[MarginWord, ...]] = {
        key: tuple(word for one in each if (word := word_of(one)) is not None)
        for key, each in margins.items()
    }
    outlooks: dict[UUID, list[Outlook]] = {key: [] for key in fleet.supports}
    for outlook in found:
        outlooks[outlook.support_id].append(outlook)
    stand = standings(fleet, found, words, days, at)
    owed = due_list(fleet, outlooks, policy, now=at, margins=words)
    return Known(
        fleet,
        outlooks,
        {one.support_id: one for one in stand},
        {one.support_id: one for one in owed},
        margins,
    )


def _days(fleet: Fleet, moment: Moment) -> dict[UUID, date]:
    return {key: moment.day(site.timezone) for key, site in fleet.sites.items()}


def _margins(
    fleet: Fleet, table: SeriesTable, outlooks: list[Outlook], days: dict[UUID, date]
) -> dict[UUID, list[MemberMargin]]:
    found: dict[UUID, list[MemberMargin]] = {key: [] for key in fleet.supports}
    for margin in fleet_margins(fleet, table, outlooks, days):
        found[margin.case.known.member.support_id].append(margin)
    return found


def _policy(session: Session, moment: Moment) -> Policy:
    return next(
        one.policy
        for one in versions(session)
        if one.recorded_at is None or one.recorded_at <= moment.at
    )


def _as_it_was(session: Session, fleet: Fleet, moment: Moment) -> Fleet:
    """The fleet before what was revised or removed since."""
    codes = {key: support.code for key, support in fleet.supports.items()}
    subjects = {f"support {code}" for code in codes.values()}
    subjects |= {f"site {site.code}" for site in fleet.sites.values()}
    subjects |= {f"tree {site.code}" for site in fleet.sites.values()}
    since = revisions_since(session, sorted(subjects), moment.at)
    days = _days(fleet, moment)
    return replace(
        fleet,
        supports={
            key: before_removal(as_it_was(support, since), days[key])
            for key, support in fleet.supports.items()
        },
        sites={key: as_it_was(site, since) for key, site in fleet.sites.items()},
        trees={key: as_it_was(tree, since) for key, tree in fleet.trees.items()},
        members=defaultdict(
            list,
            {
                key: [
                    before_removal(as_it_was(member, since), days[key])
                    for member in members
                    if member.installed_on <= days[key]
                ]
                for key, members in fleet.members.items()
            },
        ),
        inspections=defaultdict(
            list,
            {
                key: [one for one in looks if one.inspected_on <= days[key]]
                for key, looks in fleet.inspections.items()
            },
        ),
    )
