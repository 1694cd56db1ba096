"""Commands that plan: rounds for some days."""

from datetime import datetime
from pathlib import Path

import click

from monitor.cli.agreed_rounds import keep_plan, say_agreed, ways_of
from monitor.cli.context import CliContext
from monitor.cli.output import say
from monitor.cli.watching import ISO_DATE
from monitor.clock import local_date
from monitor.errors import InvalidInput
from monitor.schedule.calendar import counted, in_words
from monitor.schedule.round_task import clock
from monitor.schedule.round_timing import DayRound, Visit
from monitor.schedule.shortfall import Cap
from monitor.services.planning.round_words import (
    parse_access,
    parse_again,
    parse_people,
    parse_pins,
)
from monitor.services.planning.rounds import RoundPlan, RoundWish, plan_of
from monitor.services.planning.travel_table import travel_by
from monitor.services.planning.years import told, years_view


@click.command()
@click.option(
    "--inspectors",
    default="",
    help="How many, or names: “Edda (climbing, 9:00-14:00), Perran”.",
)
@click.option("--days", type=click.IntRange(1), default=5, help="Working days.")
@click.option("--from", "first", type=ISO_DATE, help="First day, YYYY-MM-DD.")
@click.option("--start", default="", help="Code of the site where days begin and end.")
@click.option("--open", "access", default="", help="“OT1 10:00-15:00; TG6 8:00-12:00”.")
@click.option(
    "--travel",
    type=click.Path(path_type=Path),
    help="CSV or XLSX with from, to, minutes (or km) by codes of sites, for this plan.",
)
@click.option("--keep-travel", is_flag=True, help="Keep that table for every plan.")
@click.option("--pin", "pins", multiple=True, help="“S-06@Edda@2026-11-26”; repeat.")
@click.option("--again", multiple=True, help="Plan “Edda@2026-11-26” anew; repeat.")
@click.option(
    "--agree", "agrees", is_flag=True, help="Keep this plan as agreed rounds."
)
@click.option("--agreed", "lists", is_flag=True, help="List agreed rounds, plan none.")
@click.option("--take-back", default="", help="Take back the round “Edda@2026-11-26”.")
@click.option("--reason", default="", help="Why it is taken back.")
@click.option("--speed", default=25.0, help="On the road [km/h].")
@click.option("--years", type=click.IntRange(1, 10), help="Plan years, no rounds.")
@click.option("--hours", type=float, help="Hours there are in a year.")
@click.option("--money", type=float, help="Money there is in a year.")
@click.option("--visits", type=float, help="Visits there can be in a year.")
@click.option("--seed", default=1, help="Of the search.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_obj
def plan(
    context: CliContext,
    inspectors: str,
    days: int,
    first: datetime | None,
    start: str,
    access: str,
    travel: Path | None,
    keep_travel: bool,
    pins: tuple[str, ...],
    again: tuple[str, ...],
    agrees: bool,
    lists: bool,
    take_back: str,
    reason: str,
    speed: float,
    years: int | None,
    hours: float | None,
    money: float | None,
    visits: float | None,
    seed: int,
    as_json: bool,
) -> None:
    """Plan rounds for what is owed, or with --years the visits and hours to come.

    Nothing is kept without --agree; agreed rounds stay as they are in later plans.
    """
    if years is not None:
        _say_years(context, years, Cap(hours, money, visits), as_json=as_json)
        return
    if lists or take_back:
        say_agreed(context, take_back, reason, as_json=as_json)
        return
    if not 1 <= speed <= 130:
        raise InvalidInput(
            f"A speed of {speed:g} km/h; expected 1 to 130.", field="speed"
        )
    table = ways_of(context, travel, keeps=keep_travel)
    wish = RoundWish(
        people=parse_people(inspectors or "1"),
        days=days,
        first_on=first.date() if first else None,
        start=start,
        travel=travel_by(table, speed),
        access=parse_access(access),
        pins=parse_pins(";".join(pins)),
        again=parse_again(";".join(again)),
        seed=seed,
    )
    today = local_date(context.clock.now(), context.settings.timezone)
    with context.store.read_session() as session:
        made = plan_of(session, wish, today=today)
    told = keep_plan(context, made, today) if agrees else ""
    rows = _as_rows(made) | ({"agreed": told} if told else {})
    lines = [*_lines(made), *(["", told] if told else [])]
    say(rows, as_json=as_json, text="\n".join(lines))


def _say_years(context: CliContext, years: int, cap: Cap, *, as_json: bool) -> None:
    with context.store.read_session() as session:
        view = years_view(session, years, cap, now=context.clock.now())
    say(view, as_json=as_json, text="\n".join(told(view)))


def _lines(made: RoundPlan) -> list[str]:
    rounds = made.rounds
    lines = [
        f"{counted(len(rounds.visits), 'visit')}, {rounds.travel_min:.0f} min of "
        f"travel, {counted(rounds.days_late, 'day')} late in all, "
        f"{sum(left.is_wanted for left in rounds.left)} left out."
    ]
    for day in rounds.days:
        lines += ["", _heading(day)]
        lines += [_visit_line(visit, made) for visit in day.visits]
    wanted = [left for left in rounds.left if left.is_wanted]
    others = [left for left in rounds.left if not left.is_wanted]
    for title, group in (("Left out", wanted), ("May wait", others)):
        if group:
            lines += ["", title]
            lines += [f"  {left.stop.code:12} {left.why}" for left in group]
    if made.agreed.taken:
        lines += ["", "In agreed rounds of others"]
        lines += [
            f"  {code:12} {one.round.person}, {in_words(one.round.planned_on)}"
            for code, one in sorted(made.agreed.taken.items())
        ]
    if made.rounds.unknown:
        lines += ["", f"No longer owed: {', '.join(made.rounds.unknown)}."]
    if made.more_owed:
        lines += ["", f"{made.more_owed} more are owed than are planned at once."]
    return lines


def _heading(day: DayRound) -> str:
    return (
        f"{day.on:%A} {in_words(day.on)}, {day.person.name}: "
        f"{clock(day.leaves)} to {clock(day.back)}, {day.travel_min:.0f} min travel, "
        f"{day.site_min:.0f} min on site"
    )


def _visit_line(visit: Visit, made: RoundPlan) -> str:
    late = f", {counted(visit.days_late, 'day')} late" if visit.days_late else ""
    stop = visit.stop
    line = made.lines[stop.code]
    kind = line.due_kind.value if line.due_kind else ""
    return (
        f"  {clock(visit.begins)} {stop.code:12} {stop.minutes:3.0f} min  {line.site}, "
        f"{kind}{late}"
    )


def _as_rows(made: RoundPlan) -> dict[str, object]:
    rounds = made.rounds
    return {
        "travel_min": round(rounds.travel_min, 1),
        "days_late": rounds.days_late,
        "seed": rounds.task.seed,
        "rounds": [
            {
                "person": day.person.name,
                "on": day.on,
                "leaves": clock(day.leaves),
                "back": clock(day.back),
                "travel_min": round(day.travel_min, 1),
                "visits": [_visit_row(visit, made) for visit in day.visits],
            }
            for day in rounds.days
        ],
        "left": [
            {"support": left.stop.code, "wanted": left.is_wanted, "why": left.why}
            for left in rounds.left
        ],
        "in_rounds_of_others": sorted(made.agreed.taken),
        "no_longer_owed": made.rounds.unknown,
        "more_owed": made.more_owed,
    }


def _visit_row(visit: Visit, made: RoundPlan) -> dict[str, object]:
    minutes = made.minutes[visit.stop.code]
    return {
        "support": visit.stop.code,
        "site": visit.stop.place.code,
        "begins": clock(visit.begins),
        "minutes": minutes.minutes,
        "minutes_source": minutes.source,
        "travel_min": round(visit.travel_min, 1),
        "due_on": visit.stop.due_on,
        "days_late": visit.days_late,
    }
