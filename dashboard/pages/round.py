"""One agreed round: to print, to take along, to plan anew, to take back."""

from collections.abc import Iterable, Mapping
from itertools import groupby
from urllib.parse import quote, urlencode
from uuid import UUID

from dash import Dash, dcc, html
from dash.development.base_component import Component

from dashboard.components.alerts import shown_as_alert
from dashboard.components.day_map import LETTERS, label_of, map_of
from dashboard.components.entries import entries, entry, record_address, support_link
from dashboard.components.plain_forms import line_field, plain_form
from dashboard.components.round_agreed import may_plan
from dashboard.components.text import counted, day, sentence
from dashboard.context import AppContext
from dashboard.figures.day_map import DayStop, DayWay
from monitor.domain.places import Site
from monitor.domain.rounds import AgreedStop
from monitor.errors import NotFound
from monitor.schedule.round_task import clock
from monitor.services.planning.agreed import Agreed, agreed_round, sites_of
from monitor.services.planning.round_words import person_in_words, pins_in_words

NAME, PATH = "round", "/rounds/<key>"
QUERY: tuple[str, ...] = ()


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
    return html.Article(
        [
            html.H1(headline(one)),
            html.P(_told(one)),
            *([] if one.round.withdrawn else [_ways(one)]),
            html.Div(
                [
                    html.Div(entries(list(_stops(one, sites))), className="day-lists"),
                    *_map(one, sites),
                ],
                className="day-beside",
            ),
            *([_take_back(one)] if may_plan() and not one.round.withdrawn else []),
        ],
        className="wide",
    )


def register(app: Dash, context: AppContext) -> None:
    """Nothing to register: what it sends are plain forms."""


def headline(one: Agreed) -> str:
    """Whose, when, how much."""
    on = one.round.planned_on
    what = f"{one.round.person}, {on:%A} {day(on)}"
    if one.round.withdrawn:
        return f"{what}: taken back."
    return f"{what}: {counted(len(one.stops), 'visit')}."


def _told(one: Agreed) -> str:
    agreed = one.round
    by = f"by {agreed.recorded_by} on {day(agreed.recorded_at.date())}"
    if agreed.withdrawn:
        return f"Taken back {by}: {agreed.reason}"
    site_min = sum(stop.ends_min - stop.begins_min for stop in one.stops)
    start = f" at {agreed.start}" if agreed.start else ""
    change = f", changed {counted(agreed.version - 1, 'time')}" * (agreed.version > 1)
    return (
        f"Leaves{start} at {clock(agreed.leaves_min)}, back at "
        f"{clock(agreed.back_min)}: {site_min} min on site, {agreed.travel_min} min on "
        f"the way. Hours are planned, none is promised. Agreed {by}{change}."
    )


def _ways(one: Agreed) -> Component:
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
    codes = quote(",".join(one.codes), safe=",")
    return html.P(
        [
            html.A("Take it on the phone", href=f"/field/?codes={codes}"),
            " · ",
            html.A("Field sheets to print", href=f"/field/sheet?codes={codes}"),
            " · ",
            dcc.Link("Plan it anew; what is pinned stays", href=f"/rounds?{kept}"),
        ],
        className="no-print",
    )


def _stops(one: Agreed, sites: Mapping[UUID, Site]) -> Iterable[html.Li]:
    for stop, code in zip(one.stops, one.codes, strict=True):
        site = sites[stop.support_id]
        pinned = " Pinned." if stop.is_pinned else ""
        access = f" {sentence(site.access_note)}." if site.access_note else ""
        hours = f" Open {site.access_hours}." if site.access_hours else ""
        yield entry(
            [
                html.Span(
                    f"{stop.place}. {clock(stop.begins_min)}", className="number"
                ),
                support_link(code),
            ],
            [
                html.P(
                    f"{site.name or site.code}, "
                    f"{stop.ends_min - stop.begins_min} min.{hours}{access}{pinned}"
                ),
                html.P(
                    [
                        f"{stop.travel_min} min from the stop before. ",
                        dcc.Link("Record it", href=record_address(code)),
                    ],
                    className="quiet",
                ),
            ],
        )


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


def _take_back(one: Agreed) -> Component:
    form = plain_form(
        f"/rounds/{one.round.root_id}/take-back",
        [line_field("Why", "round-why", "reason", hint="Shown in the calendar.")],
        "Take this round back",
    )
    return html.Details(
        [html.Summary("Take this round back"), form], className="part no-print"
    )
