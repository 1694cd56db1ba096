"""Storms and blows: who still wants a look after them, and entering a new one."""

from typing import Any

from dash import Dash, Input, Output, State, ctx, html, no_update
from dash.development.base_component import Component

from dashboard.access import signed_in
from dashboard.components.alerts import from_error, shown_as_alert
from dashboard.components.entries import support_link
from dashboard.components.event_form import (
    FIELDS,
    IDS,
    area_from,
    command_from,
    day_of,
    end_form,
    enter_form,
    station_from,
    wrong_form,
)
from dashboard.components.event_parts import draft_words, ended_table, event_part
from dashboard.components.offered import is_offered
from dashboard.components.text import CAUTION, counted, day, sentence
from dashboard.context import AppContext
from monitor.clock import local_date
from monitor.domain.rights import Right
from monitor.errors import InvalidInput, MonitorError, NotAllowed
from monitor.services.planning.event_calls import codes_called
from monitor.services.planning.event_changes import EventCorrection, correct_event
from monitor.services.planning.events import (
    draft_event,
    end_event,
    enter_event,
    withdraw_event,
)
from monitor.services.showing.events import EventView, events, placed, site_choices

NAME, PATH = "events", "/events"
QUERY = ("area",)
_PROPERTY = {"on": "date"}


def title() -> str:
    """Title of the page."""
    return "Events"


@shown_as_alert
def layout(context: AppContext, area: str = "") -> Component:
    """The answer, each event that is followed, the forms, the past."""
    now = context.clock.now()
    with context.store.read_session() as session:
        every, places = events(session, now), placed(session)
        sites = site_choices(session)
    followed = tuple(view for view in every if _is_followed(view))
    past = tuple(view for view in every if not _is_followed(view))
    today = local_date(now, context.settings.timezone)
    parts: list[Component] = [html.H1(headline(followed))]
    if followed:
        parts.append(html.P(CAUTION, className="caution"))
    parts += [event_part(view, places) for view in followed]
    if is_offered(Right.PLAN):
        parts += [end_form(followed, today), enter_form(sites, places, today, area)]
        parts.append(wrong_form(every))
    if past:
        parts.append(
            html.Section([html.H2("Past"), ended_table(past)], className="part")
        )
    return html.Article(parts)


def register(app: Dash, context: AppContext) -> None:
    """Drawing, reading a file, asking, entering and ending."""
    filled = {
        name: State(getattr(IDS, name), _PROPERTY.get(name, "value")) for name in FIELDS
    }

    @app.callback(
        Output(IDS.area, "value"),
        Input(IDS.draw, "relayoutData"),
        prevent_initial_call=True,
    )
    def drawn(what: dict[str, Any] | None) -> object:
        area = area_from(what)
        return no_update if area is None else area

    @app.callback(
        Output(IDS.read, "children"),
        Output(IDS.size, "value"),
        Output(IDS.on, "date"),
        Input(IDS.file, "contents"),
        State(IDS.file, "filename"),
        prevent_initial_call=True,
    )
    def read(content: str | None, name: str | None) -> tuple[object, object, object]:
        return _read(name, content)

    @app.callback(
        Output(IDS.answer, "children"),
        inputs={
            "_": (Input(IDS.ask, "n_clicks"), Input(IDS.enter, "n_clicks")),
        },
        state={"filled": filled},
        prevent_initial_call=True,
    )
    def answer(_: object, filled: dict[str, Any]) -> Component:
        if ctx.triggered_id == IDS.enter:
            return _entered(context, filled)
        return _asked(context, filled)

    @app.callback(
        Output(IDS.ended, "children"),
        Input(IDS.end, "n_clicks"),
        State(IDS.over, "value"),
        State(IDS.over_on, "date"),
        prevent_initial_call=True,
    )
    def end(_: int, key: str | None, on: str | None) -> Component:
        return _ended(context, key or "", on)

    @app.callback(
        Output(IDS.righted, "children"),
        inputs={"_": (Input(IDS.withdraw, "n_clicks"), Input(IDS.correct, "n_clicks"))},
        state={
            "key": State(IDS.wrong, "value"),
            "why": State(IDS.wrong_why, "value"),
            "filled": filled,
        },
        prevent_initial_call=True,
    )
    def righted(
        _: object, key: str | None, why: str | None, filled: dict[str, Any]
    ) -> Component:
        if ctx.triggered_id == IDS.correct:
            return _corrected(context, key or "", why or "", filled)
        return _withdrawn(context, key or "", why or "")


def headline(followed: tuple[EventView, ...]) -> str:
    """How many events are followed, and how many looks are open."""
    if not followed:
        return "No event is being followed."
    waiting = sum(len(view.waiting) for view in followed)
    late = sum(line.is_late for view in followed for line in view.lines)
    first = sentence(counted(len(followed), "event is", "events are"))
    if not waiting:
        return f"{first} followed, and everyone called was looked at."
    more = f", {late} of them late" if late else ""
    looks = counted(waiting, "support still wants", "supports still want")
    return f"{first} followed: {looks} a look{more}."


def _is_followed(view: EventView) -> bool:
    return view.event.ended_on is None or bool(view.waiting)


def _read(name: str | None, content: str | None) -> tuple[object, object, object]:
    try:
        found = station_from(name, content)
    except MonitorError as error:
        return from_error(error), no_update, no_update
    said: list[Component] = [html.P(found.in_words())]
    if found.doubt:
        said.append(html.P(found.doubt, className="refusal"))
    on = no_update if found.on is None else found.on.isoformat()
    return html.Div(said), f"{found.strongest_m_s * 3.6:.1f} km/h", on


@shown_as_alert
def _asked(context: AppContext, filled: dict[str, Any]) -> Component:
    with context.store.read_session() as session:
        draft = draft_event(session, command_from(filled), now=context.clock.now())
        return draft_words(draft, placed(session))


@shown_as_alert
def _entered(context: AppContext, filled: dict[str, Any]) -> Component:
    actor, now = _recorder(), context.clock.now()
    with context.store.write_session() as session:
        draft = enter_event(session, command_from(filled), actor=actor, now=now)
    if draft.known is not None:
        said = f"“{draft.known.name}” says the same already; nothing was raised twice."
    else:
        called = counted(len(draft.new), "support is", "supports are")
        remark = f" {draft.response.remark}" if draft.response.remark else ""
        said = f"“{draft.event.name}” is entered; {called} called to a look.{remark}"
    return _done(said)


@shown_as_alert
def _ended(context: AppContext, key: str, on: str | None) -> Component:
    actor, now = _recorder(), context.clock.now()
    with context.store.write_session() as session:
        ended = end_event(session, key, ended_on=day_of(on), actor=actor, now=now)
        codes = codes_called(session, ended.still_open)
    still = ended.still_open
    if not still:
        return _done(f"“{ended.event.name}” is over; nothing is open.")
    said = f"{sentence(counted(len(still), 'look is', 'looks are'))} still open"
    items = [
        html.Li([support_link(codes[call.support_id]), f", by {day(call.done_by_on)}"])
        for call in still
    ]
    done = _done(f"“{ended.event.name}” is over. {said}, in order of risk:")
    return html.Div([done, html.Ol(items)])


@shown_as_alert
def _withdrawn(context: AppContext, key: str, why: str) -> Component:
    actor, now = _recorder(), context.clock.now()
    with context.store.write_session() as session:
        gone = withdraw_event(session, _chosen(key), reason=why, actor=actor, now=now)
    return _done(f"“{gone.name}” is withdrawn; its looks are owed no more.")


@shown_as_alert
def _corrected(
    context: AppContext, key: str, why: str, filled: dict[str, Any]
) -> Component:
    actor, now = _recorder(), context.clock.now()
    right = EventCorrection(_chosen(key), command_from(filled), why)
    with context.store.write_session() as session:
        draft = correct_event(session, right, actor=actor, now=now)
    called = counted(len(draft.new), "support is", "supports are")
    return _done(f"“{draft.event.name}” stands in its place; {called} called.")


def _chosen(key: str) -> str:
    if not key:
        raise InvalidInput("Choose which event.", field="event", code="evt-016")
    return key


def _done(said: str) -> Component:
    return html.P([f"{said} ", html.A("Show the events anew", href=PATH)])


def _recorder() -> str:
    if not signed_in().may(Right.PLAN):
        raise NotAllowed("This account reads the record and does not add to it.")
    return signed_in().account.name
