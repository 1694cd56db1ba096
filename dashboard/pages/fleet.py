"""The fleet: how kinds and coatings last, how fast things move, who reads steadily."""

from collections.abc import Sequence
from dataclasses import dataclass
from types import SimpleNamespace

from dash import Dash, Input, Output, dcc, html
from dash.development.base_component import Component

from dashboard.components import fleet_parts as parts
from dashboard.components.alerts import shown_as_alert
from dashboard.components.entries import headed
from dashboard.components.text import CAUTION, counted, sentence
from dashboard.context import AppContext
from dashboard.remembered import remembered
from monitor.clock import local_date
from monitor.domain.percent import percent
from monitor.domain.quantities import SERIES_LABEL
from monitor.services.assessing.calibrate import latest_calibration
from monitor.services.showing.fleet_ahead import years_ahead
from monitor.services.showing.fleet_lives import (
    FEW,
    GROUPINGS,
    Survival,
    coating_survival,
    grouping,
    member_survival,
)
from monitor.services.showing.fleet_rates import (
    GroupRate,
    Mover,
    choices,
    group_rates,
    movers,
)
from monitor.services.showing.fleet_readers import readers
from monitor.store import Session
from monitor.store.fleet_lines import (
    MemberLine,
    SeriesLine,
    facts_named,
    member_lines,
    series_lines,
)

NAME, PATH = "fleet", "/fleet"
QUERY = ("by", "of", "who")
IDS = SimpleNamespace(readers="fleet-readers", who="fleet-who")

_BY = tuple((name, name) for name in GROUPINGS)
_WHO_WORDS = ("inspector", "method")
_WHO = tuple((name, name) for name in _WHO_WORDS)
_ABOUT_LIVES = (
    "A life runs from installation to the day a member was taken out, for whatever "
    "reason: worn, replaced, no longer needed, the tree gone. Those that stand today "
    "count as lasting at least so long. The band holds the share with "
    "95 %; there is none before the first end."
)
_ABOUT_COATINGS = (
    "A coating’s life runs to the first repaint of its member. Coatings never "
    "repainted count as lasting at least until today or until their member came out."
)
_ABOUT_RATES = (
    "Each support counts once, by the mean of its series. The rates come from the "
    "analysis, which draws single series towards the whole where they say little; so "
    "groups differ by no less than is shown here. Groups differ in age and place, too: "
    "a difference is no proof of its cause. The record keeps no maker’s batch; the "
    "installer stands for it."
)
_ABOUT_MOVERS = (
    "The nearest to a limit first; a wound that closes moves, too. At most one in "
    "twenty of this list stands still, on average, however long it is. Evidence is "
    "how much better movement explains the readings than rest."
)
_ABOUT_READERS = (
    "Each reading is compared with the straight line between the one before and the "
    "one after it at the same mark; 1 is the scatter that its method declares. Real "
    "movement that bends counts as scatter, so everyone may lie above 1; compare "
    "people with each other. “For certain” allows for how many are compared."
)


def title() -> str:
    """Title of the page."""
    return "Fleet"


@dataclass(frozen=True, slots=True)
class Asked:
    """What the address asks to see: grouping, quantity, whose readings."""

    by: str
    of: str
    who: str


@dataclass(frozen=True, slots=True)
class RatesView:
    """Rates of the groups, and what else could be compared."""

    choices: tuple[str, ...]
    rates: tuple[GroupRate, ...]


@shown_as_alert
@remembered
def layout(
    context: AppContext, by: str = "kind", of: str = "", who: str = "inspector"
) -> Component:
    """The answer, then each question with its drawing."""
    today = local_date(context.clock.now(), context.settings.timezone)
    by = by if by in GROUPINGS else "kind"
    who = who if who in _WHO_WORDS else "inspector"
    with context.store.read_session() as session:
        members, series = member_lines(session), series_lines(session)
        if not members:
            return _nothing()
        groups = grouping(session, members, by)
        coatings = coating_survival(session, members, today)
        forecasts = forecasts_words(session)
        replace_by = facts_named(session, "replace_by")["replace_by"]
    by_id = {line.member_id: line for line in members}
    moving, named = movers(by_id, series), choices(series)
    asked = Asked(by, of if of in named else next(iter(named), ""), who)
    rates = group_rates(by_id, series, groups, asked.of)
    address = f"{PATH}?by={{}}&of={asked.of}&who={who}"
    ahead = years_ahead(members, series, replace_by, today)
    return html.Article(
        [
            html.H1(headline(members, moving)),
            html.P(CAUTION, className="caution"),
            parts.chooser("Grouped by", _BY, by, address),
            *_lives(member_survival(members, groups, today), coatings, by),
            _rates(asked, RatesView(named, rates)),
            _moving(moving, series),
            _readers(asked),
            headed(
                "How our forecasts did",
                [html.P([f"{forecasts} ", dcc.Link("By group", href="/forecasts")])],
            ),
            headed("What comes due in ten years", parts.ahead_part(ahead)),
        ],
        className="fleet",
    )


def register(app: Dash, context: AppContext) -> None:
    """Comparing readings takes a moment, so it follows the page."""

    @app.callback(Output(IDS.readers, "children"), Input(IDS.who, "data"))
    def compared(who: str | None) -> Component:
        return _compared(context, who if who in _WHO_WORDS else "inspector")


@shown_as_alert
def _compared(context: AppContext, who: str) -> Component:
    with context.store.read_session() as session:
        found = readers(session, who)
    if not found:
        return html.P("There are too few readings to compare.")
    unsteady = [one.name for one in found if one.is_unsteady]
    if unsteady:
        many = counted(len(unsteady), f"{who} is", f"{who}s are")
        said = f"{sentence(many)} noisier than the others: {', '.join(unsteady)}."
    else:
        said = f"No {who} is noisier than the others for certain."
    return html.Div([html.P(said, className="lead"), *parts.readers_part(found)])


def headline(members: Sequence[MemberLine], moving: Sequence[Mover]) -> str:
    """How many stand, since when, and how many of their marks move."""
    standing = [line for line in members if line.removed_on is None]
    first = min(line.installed_on.year for line in members)
    told = f"{counted(len(standing), 'member stands', 'members stand')} of "
    told += f"{len(members)} installed since {first}"
    if not moving:
        return f"{sentence(told)}; nothing moves for certain."
    supports = len({one.member.support_id for one in moving})
    many = counted(supports, "support moves", "supports move")
    return f"{sentence(told)}; {many} for certain."


def lives_words(found: Sequence[Survival], by: str) -> str:
    """Which group lasts least, if anything can be said."""
    told = [(one.at_20, one.name) for one in found if one.at_20 and one.count >= FEW]
    if len(told) < 2:
        return f"There are too few to compare lives by {by}."
    (least, _, least_high), worst = min(told)
    (most, most_low, _), best = max(told)
    said = (
        f"After 20 years {percent(least)} of those of “{worst}” still stand, and "
        f"{percent(most)} of those of “{best}”"
    )
    is_clear = least_high < most_low
    return f"{said}." if is_clear else f"{said}; the bounds overlap: it may be chance."


def movers_words(moving: Sequence[Mover], series: Sequence[SeriesLine]) -> str:
    """How many of how many."""
    told = sum(line.evidence is not None for line in series)
    many = sentence(counted(len(moving), "of", "of"))
    return f"{many} {told} series move for certain."


def forecasts_words(session: Session) -> str:
    """How often forecasts held, in one sentence."""
    found = latest_calibration(session)
    tried = sum(audit.tried for audit in found.audits) if found else 0
    if found is None or not tried:
        return "They have not been tried yet."
    held = sum(audit.held for audit in found.audits)
    return f"{held} of {tried} readings fell inside their 90 % forecast."


def _rates(asked: Asked, view: RatesView) -> Component:
    if not asked.of:
        return headed("How fast they move", [html.P("No rate is known yet.")])
    options = [(name, SERIES_LABEL[name]) for name in view.choices]
    address = f"{PATH}?by={asked.by}&of={{}}&who={asked.who}"
    return headed(
        "How fast they move",
        [
            parts.chooser("What", options, asked.of, address),
            *parts.rates_part(view.rates, asked.of),
            html.P(_ABOUT_RATES, className="quiet"),
        ],
    )


def _lives(
    lives: Sequence[Survival], coatings: Sequence[Survival], by: str
) -> list[Component]:
    return [
        headed(
            "How long they stand",
            [
                html.P(lives_words(lives, by), className="lead"),
                *parts.lives_part(lives, what="member", ends="taken out"),
                html.P(f"{_ABOUT_LIVES} {parts.FEW_WORDS}", className="quiet"),
            ],
        ),
        headed(
            "How long coatings last",
            [
                *parts.lives_part(coatings, what="coating", ends="repainted"),
                html.P(_ABOUT_COATINGS, className="quiet"),
            ],
        ),
    ]


def _moving(moving: Sequence[Mover], series: Sequence[SeriesLine]) -> Component:
    return headed(
        "What moves for certain",
        [
            html.P(movers_words(moving, series), className="lead"),
            *parts.movers_part(moving),
            html.P(_ABOUT_MOVERS, className="quiet"),
        ],
    )


def _readers(asked: Asked) -> Component:
    address = f"{PATH}?by={asked.by}&of={asked.of}&who={{}}"
    return headed(
        "Who reads steadily",
        [
            parts.chooser("By", _WHO, asked.who, address),
            html.Div(html.P("Comparing readings …", role="status"), id=IDS.readers),
            dcc.Store(id=IDS.who, data=asked.who),
            html.P(_ABOUT_READERS, className="quiet"),
        ],
    )


def _nothing() -> Component:
    return html.Article(
        [
            html.H1("Nothing is recorded yet, so nothing can be compared."),
            html.Div(id=IDS.readers),
            dcc.Store(id=IDS.who),
        ]
    )
