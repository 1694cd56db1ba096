"""Work out which inspection every support is owed, and write it down."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from uuid import UUID

from monitor.clock import local_date
from monitor.domain.conclusions import Due, Outlook
from monitor.domain.quantities import SERIES_LABEL
from monitor.domain.standing import MarginWord
from monitor.domain.supports import Fact, Member
from monitor.domain.vocabulary import MemberKind
from monitor.schedule.calendar import months_after
from monitor.schedule.default_policy import default_policy
from monitor.schedule.due import History, Look, owed
from monitor.schedule.history import FULL_KINDS
from monitor.schedule.policy import Policy, governing
from monitor.services.fleet import Fleet, load_fleet
from monitor.services.margin_fleet import margin_words
from monitor.services.series import series_of
from monitor.store import Session, records
from monitor.store.conclusions import delete_dues

Margins = Mapping[UUID, tuple[MarginWord, ...]]
SHORTEST_WAIT = timedelta(days=183)
"""A margin changes slowly: it asks for no look sooner after a look (own choice)."""
SYNTHETIC_LIFE_MONTHS = 8 * 12
"""Service life of a synthetic line whose maker names no date: at least 8 years is
asked of crown securing by ZTV-Baumpflege (seen restated); a named date rules it."""


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
    fleet = load_fleet(session, support_ids)
    outlooks = outlooks_of(session, support_ids)
    if margins is None:
        margins = _margins(session, fleet, outlooks, now)
    dues = due_list(fleet, outlooks, default_policy(), now=now, margins=margins)
    owing = {due.support_id for due in dues}
    delete_dues(session, [key for key in fleet.supports if key not in owing])
    records.DUES.put(session, dues)
    return dues


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
    outlooks: dict[UUID, list[Outlook]],
    policy: Policy,
    *,
    now: datetime,
    margins: Margins,
) -> list[Due]:
    """The dues of a fleet under a policy; nothing is stored."""
    dues = []
    for key in fleet.supports:
        today = local_date(now, fleet.sites[key].timezone)
        looks = margin_looks(fleet, key, margins.get(key, ()), policy)
        history = history_of(fleet, key, outlooks.get(key, []), looks)
        due = owed(history, policy, today, now)
        if due is not None:
            dues.append(due)
    return dues


def history_of(
    fleet: Fleet, key: UUID, outlooks: list[Outlook], margins: tuple[Look, ...] = ()
) -> History:
    """What the rules need to know of one support.

    Parameters
    ----------
    margins : looks that falling margins ask for
    """
    support = fleet.supports[key]
    members = fleet.standing_members(key)
    gone = {m.id for m in fleet.members[key] if m.removed_on is not None}
    findings = fleet.findings.get(key, [])
    worst = max(findings, key=lambda f: f.grade.rank, default=None)
    return History(
        support_id=key,
        code=support.code,
        kinds=tuple(member.kind for member in members),
        occupancy=support.occupancy,
        consequence=support.consequence,
        installed_on=support.installed_on,
        removed_on=support.removed_on,
        client_interval_months=support.interval_months,
        client_interval_reason=support.interval_reason,
        inspections=tuple((i.inspected_on, i.kind) for i in fleet.inspections[key]),
        works=tuple(
            (w.done_on, w.kind) for w in fleet.works[key] if w.member_id not in gone
        ),
        replace_by=tuple(
            (f"{_what(member)} {member.code}", ends)
            for member in members
            if (ends := life_ends_on(member, fleet.facts[member.id])) is not None
        ),
        looks=(
            *(look for o in outlooks if (look := _look(fleet, o)) is not None),
            *margins,
        ),
        quiet_seasons=fleet.sites[key].quiet_seasons,
        worst_finding=(worst.label, worst.grade, worst.seen_on) if worst else None,
    )


def margin_looks(
    fleet: Fleet, key: UUID, margins: tuple[MarginWord, ...], policy: Policy
) -> tuple[Look, ...]:
    """Looks at half of the time that margins leave, where these shorten the interval.

    Counted from the last full look, so that an overdue one does not move with today.
    """
    seen = [i.inspected_on for i in fleet.inspections[key] if i.kind in FULL_KINDS]
    since = max(seen, default=fleet.supports[key].installed_on)
    longest = timedelta(days=365.25 * longest_interval_years(fleet, key, policy))
    looks = []
    for margin in margins:
        if margin.early_on is None:
            continue
        wait = max((margin.early_on - since) / 2, SHORTEST_WAIT)
        if wait < longest:
            looks.append(
                Look(
                    label=f"margin of {margin.label.split()[-1]}",
                    look_again_on=since + wait,
                    rule="half of the time until it may carry more than is allowed, by "
                    "screening only",
                    act_early_on=margin.early_on,
                    unconfirmed=False,
                )
            )
    return tuple(looks)


def _margins(
    session: Session,
    fleet: Fleet,
    outlooks: dict[UUID, list[Outlook]],
    now: datetime,
) -> Margins:
    days = {key: local_date(now, site.timezone) for key, site in fleet.sites.items()}
    said = [outlook for each in outlooks.values() for outlook in each]
    return margin_words(fleet, series_of(session, fleet), said, days)


def longest_interval_years(fleet: Fleet, key: UUID, policy: Policy) -> float:
    """How long the duty-holder lets this support go without a look. [yr]"""
    support = fleet.supports[key]
    kinds = tuple(member.kind for member in fleet.standing_members(key))
    found = governing(policy.routine, kinds, support.occupancy, support.consequence)
    months = found[1].months + found[1].days / 30.4 if found else 12.0
    if support.interval_months is not None:
        months = min(months, support.interval_months)
    return months / 12.0


def life_ends_on(member: Member, facts: dict[str, Fact]) -> date | None:
    """When the service life of a synthetic part ends, None for steel."""
    line = facts.get("line")
    if line is None or line.given != "synthetic rope":
        return None
    named = facts.get("replace_by")
    if named is not None:
        return date.fromisoformat(named.given)
    return months_after(member.installed_on, SYNTHETIC_LIFE_MONTHS)


def _what(member: Member) -> str:
    return "guy" if member.kind is MemberKind.GUY else "synthetic cable"


def _look(fleet: Fleet, outlook: Outlook) -> Look | None:
    if outlook.look_again_on is None:
        return None
    mark = fleet.marks[outlook.mark_id]
    return Look(
        label=f"{SERIES_LABEL[outlook.series]} ({mark.code})",
        look_again_on=outlook.look_again_on,
        rule=outlook.look_rule,
        act_early_on=outlook.act_on.early,
        unconfirmed=outlook.unconfirmed,
    )
