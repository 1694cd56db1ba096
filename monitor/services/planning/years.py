"""The plan of the coming years from policy, outlooks and works that age calls for."""

from dataclasses import dataclass
from datetime import datetime

from monitor.clock import local_date
from monitor.domain.percent import chance, percent
from monitor.errors import InvalidInput
from monitor.schedule.calendar import month_in_words as in_month
from monitor.schedule.costs import Costs
from monitor.schedule.shortfall import Cap, Rung, Undone, Unseen, ladder, undone
from monitor.schedule.years import Share, Spread, YearPlan, plan_years
from monitor.services.assessing.fleet import load_fleet
from monitor.services.planning.policy import policy_in_force
from monitor.services.planning.year_owing import owing_of, past_rate
from monitor.store import Session

SCREENING = (
    "Counted from the forecasts of the readings only, as screening: supports without a "
    "forecast and damage that no reading foretells come on top, and series of one "
    "support are drawn as if they knew nothing of each other."
)


@dataclass(frozen=True, slots=True)
class YearsView:
    """The plan, what a smaller budget leaves, and what stays undone under a cap.

    Attributes
    ----------
    undone : None if no cap was given
    """

    plan: YearPlan
    supports: int
    costs: Costs
    rungs: tuple[Rung, ...]
    undone: Undone | None


def years_view(
    session: Session, years: int, cap: Cap | None = None, *, now: datetime
) -> YearsView:
    """Plan so many years ahead.

    Raises
    ------
    InvalidInput : money is capped and nothing has a price, or a cap below 0
    """
    today = local_date(now, "UTC")
    policy = policy_in_force(session)
    _check(cap, policy.costs)
    fleet = load_fleet(session)
    owing = owing_of(session, fleet, policy, today)
    plan = plan_years(owing, past_rate(fleet, today), today, years)
    left = undone(owing, plan, cap) if cap is not None and cap.is_told else None
    rungs = ladder(owing, plan) if owing else ()
    return YearsView(plan, len(owing), policy.costs, rungs, left)


def told(view: YearsView) -> list[str]:
    """The plan as sentences, the first one the answer."""
    plan = view.plan
    rows = zip(plan.visits_by_year, plan.hours_by_year, plan.money_by_year, strict=True)
    lines = [
        f"Year {n}, from {in_month(plan.months[12 * n - 12].starts_on)}: "
        f"{spread(visits)} visits, {spread(hours)} h"
        + (f", {spread(money)} {view.costs.currency}" if view.costs.is_told else "")
        + "."
        for n, (visits, hours, money) in enumerate(rows, start=1)
    ]
    lines.append(
        f"For {view.supports} supports and {plan.works} works that age calls for. Nine "
        "years of ten should fall between the bounds if all goes on as it did; the "
        "minutes are common practice, no source."
    )
    for title, shares in (("By owner", plan.by_owner), ("By site", plan.by_site)):
        lines += ["", f"{title}, a year:"]
        lines += [f"  {_share(view, share)}" for share in shares]
    lines += ["", "What remains when only a share of the hours is there:"]
    lines += [f"  {rung_in_words(rung)}" for rung in view.rungs]
    if view.undone is not None:
        lines += ["", undone_in_words(view.undone, view.costs)]
    return [*lines, "", SCREENING]


def undone_in_words(left: Undone, costs: Costs) -> str:
    """What stays undone, which risk remains, and that this is no advice."""
    if not left.codes:
        return "This is enough for a middling year; a bad one wants more."
    shown = ", ".join(left.codes[:12])
    more = f" and {len(left.codes) - 12} more" if len(left.codes) > 12 else ""
    return (
        f"{_short(left.short, costs)} a year are missing. Giving up what stands best "
        f"first, {len(left.codes)} supports would go without their standing visits: "
        f"{shown}{more}. {unseen_in_words(left.unseen)} The duty-holder decides."
    )


def unseen_in_words(unseen: Unseen) -> str:
    """How many of those given up may reach an act limit with nobody looking."""
    unknown = (
        f" Of {unseen.unknown} of them nothing is known: they have no forecast."
        if unseen.unknown
        else ""
    )
    return (
        f"Within the plan {unseen.expected:.1f} of them are expected to reach a limit "
        f"for action with nobody looking ({unseen.number.low:.0f} to "
        f"{unseen.number.high:.0f} in nine cases of ten; at least one with a "
        f"probability of {chance(unseen.any_share)}).{unknown}"
    )


def rung_in_words(rung: Rung) -> str:
    """One step of a budget that shrinks."""
    if not rung.given_up:
        return f"{percent(rung.share)}: nobody is given up."
    unseen = rung.unseen
    return (
        f"{percent(rung.share)}: {rung.given_up} supports unvisited, "
        f"{unseen.expected:.1f} ({unseen.number.low:.0f} to "
        f"{unseen.number.high:.0f}) expected to reach a limit unseen, "
        f"{unseen.unknown} without a forecast."
    )


def spread(value: Spread) -> str:
    """A middling number with its bounds."""
    return f"{value.median:.0f} ({value.low:.0f} to {value.high:.0f})"


def _share(view: YearsView, share: Share) -> str:
    years = len(view.plan.visits_by_year)
    money = (
        f", {share.money / years:.0f} {view.costs.currency}"
        if view.costs.is_told
        else ""
    )
    return (
        f"{share.name}: {share.visits / years:.1f} planned visits, "
        f"{share.hours / years:.1f} h{money}"
    )


def _short(short: Cap, costs: Costs) -> str:
    parts = [
        f"{short.hours:.0f} h" if short.hours else "",
        f"{short.money:.0f} {costs.currency}".strip() if short.money else "",
        f"{short.visits:.0f} visits" if short.visits else "",
    ]
    return " and ".join(part for part in parts if part)


def _check(cap: Cap | None, costs: Costs) -> None:
    if cap is None:
        return
    told_caps = [c for c in (cap.hours, cap.money, cap.visits) if c is not None]
    if any(not 0 <= c < 1e9 for c in told_caps):
        raise InvalidInput(
            "A budget starts at 0; expected a number such as 120.",
            field="hours",
            code="yrs-003",
        )
    if cap.money is not None and not costs.is_told:
        raise InvalidInput(
            "Nothing has a price yet; enter your costs in the policy first.",
            field="money",
            code="yrs-004",
        )
