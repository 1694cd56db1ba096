"""What the record said on a past day: facts as they stood, conclusions worked out anew.

Readings, findings, works and as-built facts come as they were recorded by then, without
later corrections. How it stood and what was owed is not kept from day to day; it is
worked out from those facts for that day, by the present method and the numbers that
the fleet has taught until now, under the policy that was in force. The paper says so.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from monitor.domain.conclusions import Due, Outlook, SupportStanding
from monitor.domain.supports import Support
from monitor.schedule.policy import Policy
from monitor.services.assessing.assess import standings
from monitor.services.assessing.calibrate import numbers_in_force
from monitor.services.assessing.fleet import Fleet, load_fleet
from monitor.services.assessing.histories import longest_interval_years
from monitor.services.assessing.outlooks import outlooks_of_series
from monitor.services.assessing.series import series_of
from monitor.services.margins.fleet import margin_words
from monitor.services.papers.earlier import (
    as_it_was,
    before_removal,
    revisions_since,
    still_there,
)
from monitor.services.papers.moment import Moment
from monitor.services.planning.plan import due_list
from monitor.services.planning.policy import versions
from monitor.services.showing.support import SupportView
from monitor.store import Session, records

HOW_KNOWN = (
    "Facts stand as they were recorded by then, later corrections left out. How "
    "supports stood and what was owed is worked out anew from those facts for that "
    "day, by the present method and with the numbers the fleet has taught until now, "
    "under the policy then in force; what was concluded at the time may have differed."
)


@dataclass(frozen=True, slots=True)
class Then:
    """Supports as known at a moment, with the conclusions for it.

    Attributes
    ----------
    fleet : records as known
    outlooks, standings, dues : by support
    """

    fleet: Fleet
    outlooks: dict[UUID, list[Outlook]]
    standings: dict[UUID, SupportStanding]
    dues: dict[UUID, Due]


def known_supports(session: Session, moment: Moment) -> list[Support]:
    """Supports that were in the record at that moment, by code."""
    found = records.SUPPORTS.current(session, known_at=moment.known_at)
    return sorted(found, key=lambda support: support.code)


def then(session: Session, support_ids: Sequence[UUID], moment: Moment) -> Then:
    """These supports as known at a past moment."""
    known_at, at = moment.known_at, moment.at
    fleet = _as_it_was(
        session, load_fleet(session, support_ids, known_at=known_at), moment
    )
    table = series_of(session, fleet, known_at=known_at)
    policy = _policy(session, moment)
    days = {key: moment.day(site.timezone) for key, site in fleet.sites.items()}
    longest = {k: longest_interval_years(fleet, k, policy) for k in fleet.supports}
    found = outlooks_of_series(table, days, longest, numbers_in_force(session), at)
    margins = margin_words(fleet, table, found, days)
    outlooks: dict[UUID, list[Outlook]] = {key: [] for key in fleet.supports}
    for outlook in found:
        outlooks[outlook.support_id].append(outlook)
    stand = standings(fleet, found, margins, days, at)
    owed = due_list(fleet, outlooks, policy, now=at, margins=margins)
    return Then(
        fleet,
        outlooks,
        {one.support_id: one for one in stand},
        {one.support_id: one for one in owed},
    )


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
    days = {key: moment.day(site.timezone) for key, site in fleet.sites.items()}
    return replace(
        fleet,
        supports={
            key: before_removal(as_it_was(support, since), days[key])
            for key, support in fleet.supports.items()
        },
        sites={key: as_it_was(site, since) for key, site in fleet.sites.items()},
        trees={key: as_it_was(tree, since) for key, tree in fleet.trees.items()},
        members={
            key: [
                before_removal(as_it_was(member, since), days[key])
                for member in members
                if member.installed_on <= days[key]
            ]
            for key, members in fleet.members.items()
        },
        inspections={
            key: [one for one in looks if one.inspected_on <= days[key]]
            for key, looks in fleet.inspections.items()
        },
    )


def is_there_on(view: SupportView) -> bool:
    """Whether a support stood on the day its file speaks of."""
    return still_there(view.support, view.place.today)
