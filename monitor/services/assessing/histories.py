"""From the record of a support to all that the rules of the schedule ask of it."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from uuid import UUID

from monitor.domain.conclusions import Outlook
from monitor.domain.quantities import SERIES_LABEL
from monitor.domain.standing import MarginWord
from monitor.domain.supports import Fact, Member
from monitor.domain.vocabulary import MemberKind
from monitor.schedule.calendar import months_after
from monitor.schedule.history import FULL_KINDS, Coat, History, Look
from monitor.schedule.policy import Policy, governing
from monitor.schedule.public_holidays import PublicHolidays
from monitor.services.assessing.fleet import Fleet

Margins = Mapping[UUID, tuple[MarginWord, ...]]

SHORTEST_WAIT = timedelta(days=183)
"""A margin changes slowly: it asks for no look sooner after a look (own choice)."""
SYNTHETIC_LIFE_MONTHS = 8 * 12
"""Service life of a synthetic line whose maker names no date: at least 8 years is
asked of crown securing by ZTV-Baumpflege (seen restated); a named date rules it."""
_RUST = "rusted_area"
_ZINC = ("zinc", "galvan")
_BARE = ("none", "bare", "uncoated")


def histories(
    fleet: Fleet,
    outlooks: Mapping[UUID, list[Outlook]],
    margins: Margins,
    policy: Policy,
) -> Iterator[History]:
    """The history of every support of a fleet."""
    for key in fleet.supports:
        looks = margin_looks(fleet, key, margins.get(key, ()), policy)
        yield history_of(fleet, key, outlooks.get(key, []), looks)


def history_of(
    fleet: Fleet,
    key: UUID,
    outlooks: Sequence[Outlook],
    margins: tuple[Look, ...] = (),
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
        events=tuple(fleet.events.get(key, ())),
        deferrals=tuple(fleet.deferrals.get(key, ())),
        blackouts=tuple(fleet.blackouts.get(key, ())),
        holidays=_holidays(fleet.sites[key].holiday_region),
        leaf_wish=fleet.wishes.get(key),
        coats=tuple(_coats(fleet, members, outlooks)),
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


def longest_interval_years(fleet: Fleet, key: UUID, policy: Policy) -> float:
    """How long the duty-holder lets this support go without a look. [yr]"""
    support = fleet.supports[key]
    kinds = tuple(member.kind for member in fleet.standing_members(key))
    found = governing(policy.routine, kinds, support.occupancy, support.consequence)
    months = found[1].months + found[1].days / 30.4 if found else 12.0
    if support.interval_months is not None:
        months = min(months, support.interval_months)
    return months / 12.0


def life_ends_on(member: Member, facts: Mapping[str, Fact]) -> date | None:
    """When the service life of a synthetic part ends, None for steel."""
    line = facts.get("line")
    if line is None or line.given != "synthetic rope":
        return None
    named = facts.get("replace_by")
    if named is not None:
        return date.fromisoformat(named.given)
    return months_after(member.installed_on, SYNTHETIC_LIFE_MONTHS)


def _holidays(region: str) -> PublicHolidays | None:
    return PublicHolidays(region) if region else None


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


def _coats(
    fleet: Fleet, members: Sequence[Member], outlooks: Sequence[Outlook]
) -> Iterator[Coat]:
    """Paint as built; no fact says how long it was planned to last.

    Zinc is not renewed by age: its loss is read. Nobody paints a pin inside the wood.
    """
    for member in members:
        coating = fleet.facts[member.id].get("coating")
        if coating is None or member.kind is MemberKind.PIN:
            continue
        said = coating.given.strip().casefold()
        if said in _BARE or any(word in said for word in _ZINC):
            continue
        read = [
            outlook
            for outlook in outlooks
            if outlook.series == _RUST
            and fleet.marks[outlook.mark_id].member_id == member.id
        ]
        rust = [o.watch_on.early for o in read if o.watch_on.early is not None]
        yield Coat(
            label=f"{member.kind} {member.code}",
            applied_on=member.installed_on,
            life_years=None,
            limit_early_on=min(rust, default=None),
            is_read=bool(read),
        )
