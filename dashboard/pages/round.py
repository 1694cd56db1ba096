"""One agreed round: to print, to take along, to plan anew, to take back."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from types import SimpleNamespace
from urllib.parse import quote, urlencode
from uuid import UUID

from dash import Dash, dcc, html
from dash.development.base_component import Component

from dashboard.components.alerts import shown_as_alert
from dashboard.components.day_map import LETTERS, label_of, map_of
from dashboard.components.entries import entries, entry, support_link
from dashboard.components.offered import is_offered, record_link
from dashboard.components.plain_forms import line_field, plain_form
from dashboard.components.round_days import way_in_words
from dashboard.components.standing import standing_mark
from dashboard.components.text import counted, day, sentence
from dashboard.context import AppContext
from dashboard.figures.day_map import DayStop, DayWay
from monitor.domain.places import Site
from monitor.domain.rights import Right
from monitor.domain.rounds import AgreedStop
from monitor.errors import NotFound
from monitor.schedule.round_task import clock
from monitor.services.planning.agreed import Agreed, agreed_round, sites_of
from monitor.services.planning.round_words import person_in_words, pins_in_words
from monitor.store import records
from monitor.store.overview import OverviewLine, overview

NAME, PATH = "round", "/rounds/<key>"
QUERY: tuple[str, ...] = ()
IDS = SimpleNamespace()


def title(key: str = "") -> str:
    """Title of the page."""
    return "Round"


@shown_as_alert
def layout(context: AppContext, key: str = "") -> Component:
    """The day in order, with what to do about it."""
    if not key:
        return html.Article(html.H1("Round"))
    try:
        root_id = UUID(key)
    except ValueError:
        raise NotFound("round", key[:40]) from None
    with context.store.read_session() as session:
        one = agreed_round(session, root_id)
        sites = sites_of(session, [one])
        lines = overview(session, [stop.support_id for stop in one.stops])
        site = records.SITES.find(session, code=one.round.start)
    start = f" at {site.code}" if site else ""
    view = _View(one, sites, {line.code: line for line in lines})
    return html.Article(
        [
            html.H1(headline(one)),
            html.P(_told(one, start)),
            *([] if one.round.withdrawn else _ways(one)),
            html.Div(
                [
                    html.Div(entries(list(_stops(view))), className="day-lists"),
                    *_map(one, sites),
                ],
                className="day-beside",
            ),
            *_taking_back(one),
        ],
        className="wide",
    )


def register(app: Dash, context: AppContext) -> None:
    """Nothing to register: what it sends are plain forms."""


@dataclass(frozen=True, slots=True)
class _View:
    """A round with the sites by support, and what the record says by code."""

    one: Agreed
    sites: Mapping[UUID, Site]
    lines: Mapping[str, OverviewLine]


def headline(one: Agreed) -> str:
    """Whose, when, how much."""
    on = one.round.planned_on
    what = f"{one.round.person}, {on:%A} {day(on)}"
    if one.round.withdrawn:
        return f"{what}: taken back."
    return f"{what}: {counted(len(one.stops), 'visit')}."


def _told(one: Agreed, start: str) -> str:
    agreed = one.round
    by = f"by {agreed.recorded_by} on {day(agreed.recorded_at.date())}"
    if agreed.withdrawn:
        return f"Taken back {by}: {agreed.reason}"
    site_min = sum(stop.ends_min - stop.begins_min for stop in one.stops)
    change = f", changed {counted(agreed.version - 1, 'time')}" * (agreed.version > 1)
    return (
        f"Leaves{start} at {clock(agreed.leaves_min)}, back at "
        f"{clock(agreed.back_min)}: {site_min} min on site, {agreed.travel_min} min on "
        f"the way. Hours are planned, none is promised. Agreed {by}{change}."
    )


def _ways(one: Agreed) -> list[Component]:
    """What can be done with it, by whom it may be done."""
    codes = quote(",".join(one.codes), safe=",")
    ways: list[Component] = [
        html.A("Field sheets to print", href=f"/field/sheet?codes={codes}")
    ]
    if is_offered(Right.RECORD):
        ways.insert(0, html.A("Take it on the phone", href=f"/field/?codes={codes}"))
    if is_offered(Right.PLAN):
        ways.append(
            dcc.Link("Plan it anew; what is pinned stays", href=_planned_anew(one))
        )
    apart = [part for way in ways for part in (" · ", way)]
    return [html.P(apart[1:], className="no-print")]


def _planned_anew(one: Agreed) -> str:
    """The address that plans the day once more around what is pinned."""
    agreed = one.round
    again = {
        "people": person_in_words(one.person),
        "days": "1",
        "first": agreed.planned_on.isoformat(),
        "start": agreed.start,
        "pins": pins_in_words(one.pins),
        "again": f"{agreed.person}@{agreed.planned_on.isoformat()}",
    }
    kept = urlencode({name: value for name, value in again.items() if value})
    return f"/rounds?{kept}"


def _stops(view: _View) -> Iterable[html.Li]:
    one = view.one
    for stop, code in zip(one.stops, one.codes, strict=True):
        margin: list[Component] = [
            html.Span(f"{stop.place}. {clock(stop.begins_min)}", className="number"),
            support_link(code),
        ]
        line = view.lines[code]
        if line.standing is not None:
            margin.append(standing_mark(line.standing))
        seen = _seen(line, one.round.planned_on)
        way: list[str | Component] = [way_in_words(stop.travel_min)]
        way += [seen] if seen else record_link(code)
        place = _place(stop, line, view.sites[stop.support_id])
        yield entry(margin, [html.P(place), html.P(way, className="quiet")])


def _place(stop: AgreedStop, line: OverviewLine, site: Site) -> str:
    """Which tree, how long, and what to know about getting there."""
    access = f" {sentence(site.access_note)}." if site.access_note else ""
    hours = f" Open {site.access_hours}." if site.access_hours else ""
    pinned = " Pinned." if stop.is_pinned else ""
    minutes = stop.ends_min - stop.begins_min
    return f"{line.site}, {line.tree}. {minutes} min.{hours}{access}{pinned}"


def _seen(line: OverviewLine, planned_on: date) -> str:
    """That it was looked at, empty while it was not."""
    if line.last_on is None or line.last_on < planned_on:
        return ""
    return f"Looked at on {day(line.last_on)}."


def _map(one: Agreed, sites: Mapping[UUID, Site]) -> list[Component]:
    rows = list(zip(one.stops, one.codes, strict=True))
    stops = []
    for site, group in groupby(rows, key=lambda row: sites[row[0].support_id]):
        spot = _spot(site, list(group))
        stops += [spot] if spot is not None else []
    drawn = map_of([DayWay(None, tuple(stops))], [one.round.person])
    return [drawn] if drawn is not None else []


def _spot(site: Site, rows: list[tuple[AgreedStop, str]]) -> DayStop | None:
    if site.longitude is None or site.latitude is None:
        return None
    label = label_of(LETTERS[0], rows[0][0].place, rows[-1][0].place)
    words = f"{label}: {clock(rows[0][0].begins_min)} {', '.join(c for _, c in rows)}"
    return DayStop((site.longitude, site.latitude), label, words)


def _taking_back(one: Agreed) -> list[Component]:
    if one.round.withdrawn or not is_offered(Right.PLAN):
        return []
    form = plain_form(
        f"/rounds/{one.round.root_id}/take-back",
        [line_field("Why", "round-why", "reason", hint="Shown in the calendar.")],
        "Take this round back",
    )
    summary = html.Summary("Take this round back")
    return [html.Details([summary, form], className="part no-print")]
