"""Rounds: who goes where on which day. The address holds a wish until it is agreed."""

from itertools import groupby
from types import SimpleNamespace
from urllib.parse import urlencode

from dash import Dash, dcc, html
from dash.development.base_component import Component

from dashboard.components.alerts import shown_as_alert
from dashboard.components.entries import entries, headed, support_entry
from dashboard.components.form import field
from dashboard.components.offered import is_offered
from dashboard.components.round_agreed import (
    agree_form,
    agreed_list,
    taken_list,
    travel_part,
)
from dashboard.components.round_days import date_part
from dashboard.components.text import counted, day, sentence
from dashboard.context import AppContext
from dashboard.remembered import remembered
from monitor.clock import local_date
from monitor.domain.rights import Right
from monitor.errors import InvalidInput
from monitor.schedule.rounds import Left
from monitor.schedule.visit_minutes import COMMON_PRACTICE
from monitor.services.planning.agreed import standing_rounds
from monitor.services.planning.round_words import (
    again_in_words,
    arranged_in_words,
    parse_again,
    parse_arranged,
    parse_day,
    parse_people,
    parse_pins,
    pins_in_words,
)
from monitor.services.planning.rounds import RoundPlan, RoundWish, owing, plan_of
from monitor.services.planning.travel_table import table_in_force

NAME, PATH = "rounds", "/rounds"
QUERY = ("people", "days", "first", "start", "pins", "order", "again")
IDS = SimpleNamespace(
    people="rounds-people", days="rounds-days", first="rounds-first",
    start="rounds-start",
)  # fmt: skip
USUAL_DAYS = 5


def title() -> str:
    """Title of the page."""
    return "Rounds"


@shown_as_alert
@remembered
def layout(context: AppContext, **asked: str) -> Component:
    """What is owed and who could go; the plan once somebody is named."""
    today = local_date(context.clock.now(), context.settings.timezone)
    if not asked.get("people"):
        with context.store.read_session() as session:
            owed = owing(session, USUAL_DAYS, today=today)
        hours = owed.minutes / 60
        told = (
            f"{sentence(counted(owed.visits, 'inspection'))} "
            f"{'is' if owed.visits == 1 else 'are'} wanted by {day(owed.until)}, about "
            f"{hours:.1f} h on site."
        )
        with context.store.read_session() as session:
            agreed, table = standing_rounds(session, today), table_in_force(session)
        years = dcc.Link("See the visits and hours of the coming years", href="/plan")
        return html.Article(
            [
                html.H1(told),
                html.P(years),
                agreed_list(agreed),
                *_ask(asked),
                travel_part(table, may_change=is_offered(Right.PLAN)),
            ]
        )
    wish = wish_of(asked)
    with context.store.read_session() as session:
        made = plan_of(session, wish, today=today)
    parts = [html.H1(headline(made)), *_plan(made, asked), *_ask(asked)]
    return html.Article(parts, className="wide")


def register(app: Dash, context: AppContext) -> None:
    """Nothing to register: every button is an address."""


def headline(made: RoundPlan) -> str:
    """The plan in one sentence."""
    rounds = made.rounds
    wanted = sum(left.is_wanted for left in rounds.left)
    days = len({round_.on for round_ in rounds.days})
    if not rounds.days:
        if wanted:
            return sentence(f"{counted(wanted, 'visit')} wanted, none can be planned.")
        return "Nothing is wanted within these days."
    left = f"; {counted(wanted, 'visit does', 'visits do')} not fit" if wanted else ""
    return sentence(
        f"{counted(len(rounds.visits), 'visit')} on {counted(days, 'day')}, "
        f"{rounds.travel_min / 60:.1f} h on the way{left}."
    )


def wish_of(asked: dict[str, str]) -> RoundWish:
    """Read the wish from the address.

    Raises
    ------
    InvalidInput : a part that can not be read
    """
    days = asked.get("days", "").strip() or str(USUAL_DAYS)
    if not days.isdecimal() or len(days) > 3:
        raise InvalidInput(
            f"“{days[:20]}” is no number of days.", field="days", code="rnd-004"
        )
    first = asked.get("first", "").strip()
    return RoundWish(
        people=parse_people(asked["people"]),
        days=int(days),
        first_on=parse_day(first) if first else None,
        start=asked.get("start", "").strip(),
        pins=parse_pins(asked.get("pins", "")),
        arranged=parse_arranged(asked.get("order", "")),
        again=parse_again(asked.get("again", "")),
    )


def _plan(made: RoundPlan, asked: dict[str, str]) -> list[Component]:
    def address(wish: RoundWish) -> str:
        parts = asked | {
            "pins": pins_in_words(wish.pins),
            "order": arranged_in_words(wish.arranged),
            "again": again_in_words(wish.again),
        }
        return f"{PATH}?{urlencode({k: v for k, v in parts.items() if v})}"

    rounds = made.rounds
    wanted = [left for left in rounds.left if left.is_wanted]
    others = [left for left in rounds.left if not left.is_wanted]
    parts: list[Component] = [html.P(_basis(made), className="quiet")]
    if rounds.unknown:
        codes = ", ".join(rounds.unknown)
        parts.append(html.P(f"No longer owed, so not in the plan: {codes}."))
    if is_offered(Right.PLAN) and rounds.days:
        parts.append(agree_form(made, address(made.wish).partition("?")[2]))
    if wanted:
        parts.append(headed("Does not fit", [_left_list(made, wanted)]))
    if made.agreed.taken:
        parts.append(headed("In agreed rounds of others", [taken_list(made)]))
    for _, days in groupby(rounds.days, key=lambda round_: round_.on):
        parts.append(date_part(made, list(days), address))
    if others:
        parts.append(headed("May wait", [_left_list(made, others)]))
    return parts


def _basis(made: RoundPlan) -> str:
    task = made.rounds.task
    start = task.home.code
    begins = "the middle of the sites" if start == "start" else start
    told = (
        f"Days begin and end at {begins}.{_table_words(made)} Ways that are in no "
        "table of yours are reckoned from the straight line, "
        f"{task.travel.detour - 1:.0%} longer, at "
        f"{task.travel.speed_km_h:.0f} km/h, with {task.travel.set_up_min:.0f} min to "
        "set up at each site (common practice, no source). A break of half an hour is "
        "kept free in each day, at any time."
    )
    learnt = sorted(
        {m.source for m in made.minutes.values() if m.source != COMMON_PRACTICE}
    )
    if learnt:
        told += f" Some minutes on site are {', '.join(learnt)}; the others are usual."
    else:
        told += " Minutes on site are usual ones, from the same practice."
    if any(person.skills is None for person in task.people):
        told += " Nobody's skills were named, so everybody is taken to climb."
    if made.more_owed:
        told += f" {made.more_owed} more are owed than are planned at once."
    return told


def _table_words(made: RoundPlan) -> str:
    told = made.rounds.task.travel.table_min
    return f" {sentence(counted(len(told), 'way'))} by your own table." if told else ""


def _left_list(made: RoundPlan, left: list[Left]) -> Component:
    return entries(
        [
            support_entry(
                each.stop.code,
                f"{made.lines[each.stop.code].site}, due on {day(each.stop.due_on)}.",
                each.why,
                made.lines[each.stop.code].standing,
            )
            for each in left
        ]
    )


def _ask(asked: dict[str, str]) -> list[Component]:
    """A plain form, for those who plan: it leads to the address of the plan."""
    if not is_offered(Right.PLAN):
        return []
    form = html.Form(
        [
            _line("people", "Who goes", asked, "A number, or names: Edda (climbing, "
                  "9:00-14:00), Perran. The working day is 8:00-16:00 if not said."),
            _line("days", "Working days", asked, f"{USUAL_DAYS} if not said."),
            _line("first", "First day", asked, "As 2026-11-26; else the next one."),
            _line("start", "Days begin and end at", asked,
                  "Code of a site; else the middle of the sites."),
            html.Button("Plan", type="submit"),
        ],
        action=PATH,
        method="get",
        className="ask part",
    )  # fmt: skip
    return [form]


def _line(name: str, label: str, asked: dict[str, str], hint: str) -> Component:
    key = f"{NAME}-{name}"
    line = dcc.Input(
        id=key, name=name, value=asked.get(name, ""), type="text", autoComplete="off"
    )
    return field(label, line, key=key, hint=hint)
