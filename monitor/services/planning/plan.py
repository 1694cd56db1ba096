"""Work out which inspection every support is owed, and write it down."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from uuid import UUID

from monitor.clock import local_date
from monitor.domain.conclusions import Due, Outlook
from monitor.schedule.due import owed
from monitor.schedule.policy import Policy
from monitor.services.assessing.fleet import Fleet, load_fleet
from monitor.services.assessing.histories import Margins, histories
from monitor.services.assessing.series import series_of
from monitor.services.margins.fleet import margin_words
from monitor.services.planning.policy import policy_in_force
from monitor.store import Session, records
from monitor.store.alone import CONCLUSIONS, decide_alone
from monitor.store.conclusions import delete_dues


def plan_all(session: Session, *, now: datetime) -> int:
    """Work out the due of every support anew; how many are owed an inspection."""
    return len(plan(session, None, now=now))


def plan(
    session: Session,
    support_ids: Sequence[UUID] | None,
    *,
    now: datetime,
    margins: Margins | None = None,
) -> list[Due]:
    """Work out the dues of these supports, of all if None, and store them.

    Parameters
    ----------
    margins : what the margins say, worked out anew if None
    """
    decide_alone(session, CONCLUSIONS)
    fleet = load_fleet(session, support_ids)
    outlooks = outlooks_of(session, support_ids)
    if margins is None:
        margins = margins_now(session, fleet, outlooks, now)
    policy = policy_in_force(session)
    dues = due_list(fleet, outlooks, policy, now=now, margins=margins)
    owing = {due.support_id for due in dues}
    delete_dues(session, [key for key in fleet.supports if key not in owing])
    stored = {due.support_id: due for due in records.DUES.all(session)}
    changed = [due for due in dues if not _says_same(stored.get(due.support_id), due)]
    records.DUES.put(session, changed)
    return dues


def _says_same(stored: Due | None, due: Due) -> bool:
    """Whether only the time differs; an unchanged due keeps the one it has."""
    return stored is not None and replace(stored, computed_at=due.computed_at) == due


def outlooks_of(
    session: Session, support_ids: Sequence[UUID] | None
) -> dict[UUID, list[Outlook]]:
    """What the analysis says of these supports, of all if None."""
    column = records.OUTLOOKS.table.c.support_id
    where = [] if support_ids is None else [column.in_(support_ids)]
    outlooks: dict[UUID, list[Outlook]] = defaultdict(list)
    for outlook in records.OUTLOOKS.all(session, *where):
        outlooks[outlook.support_id].append(outlook)
    return outlooks


def due_list(
    fleet: Fleet,
    outlooks: Mapping[UUID, list[Outlook]],
    policy: Policy,
    *,
    now: datetime,
    margins: Margins,
) -> list[Due]:
    """The dues of a fleet under a policy; nothing is stored."""
    dues = []
    for history in histories(fleet, outlooks, margins, policy):
        today = local_date(now, fleet.sites[history.support_id].timezone)
        due = owed(history, policy, today, now)
        if due is not None:
            dues.append(due)
    return dues


def margins_now(
    session: Session,
    fleet: Fleet,
    outlooks: Mapping[UUID, list[Outlook]],
    now: datetime,
) -> Margins:
    """What the margins of a fleet say today."""
    days = {key: local_date(now, site.timezone) for key, site in fleet.sites.items()}
    said = [outlook for each in outlooks.values() for outlook in each]
    return margin_words(fleet, series_of(session, fleet), said, days)
