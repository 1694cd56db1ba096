"""What is decided about days: inspections put off, sites closed, crowns wished."""

from collections.abc import Callable
from datetime import date, datetime
from uuid import UUID

from dash import Dash, Input, Output, State, ctx, html
from dash.development.base_component import Component
from flask import has_request_context

from dashboard.access import signed_in
from dashboard.components.alerts import shown_as_alert
from dashboard.components.days_form import (
    IDS,
    closures_part,
    crowns_part,
    day_said,
    holidays_part,
    hours_part,
    put_off_part,
)
from dashboard.components.text import counted, day, sentence
from dashboard.context import AppContext
from monitor.clock import local_date
from monitor.domain.rights import Right
from monitor.errors import InvalidInput, NotAllowed
from monitor.services.planning.days_view import DaysView, days_view
from monitor.services.planning.deferrals import (
    DeferralCommand,
    PutOff,
    defer,
    in_words,
    withdraw_deferral,
)
from monitor.services.planning.site_days import (
    ClosureCommand,
    close_site,
    keep_holidays,
    reopen_site,
    standing_closures,
    wish_crown,
)
from monitor.services.planning.site_hours import keep_hours
from monitor.store import Session

NAME, PATH = "days", "/due/days"
QUERY = ("support",)


def title() -> str:
    """Title of the page."""
    return "Days and deferrals"


@shown_as_alert
def layout(context: AppContext, support: str = "") -> Component:
    """What stands, and the forms."""
    today = local_date(context.clock.now(), context.settings.timezone)
    with context.store.read_session() as session:
        view = days_view(session, today)
    return html.Article(
        [
            html.H1(headline(view)),
            put_off_part(view, support if support in view.supports else "", _name()),
            closures_part(view),
            hours_part(view),
            holidays_part(view),
            crowns_part(view),
        ]
    )


def headline(view: DaysView) -> str:
    """What stands, in one sentence."""
    put_off, closed = len(view.deferrals), len(view.closures)
    if not put_off and not closed:
        return "Nothing is put off and no site is closed."
    off = counted(put_off, "inspection is", "inspections are")
    shut = counted(closed, "closure is", "closures are")
    return sentence(f"{off} put off; {shut} to come.")


def register(app: Dash, context: AppContext) -> None:
    """One callback a form."""

    @app.callback(
        Output(IDS.off_answer, "children"),
        Input(IDS.off, "n_clicks"),
        Input(IDS.off_back, "n_clicks"),
        State(IDS.off_code, "value"),
        State(IDS.off_until, "date"),
        State(IDS.off_why, "value"),
        State(IDS.off_name, "value"),
        prevent_initial_call=True,
    )
    def put_off(_: int, __: int, *said: str | None) -> Component:
        code, until, why, name = (word or "" for word in said)
        if ctx.triggered_id == IDS.off_back:
            return _done(context, _taken_back(code, why))
        return _done(context, _put_off(code, until, why, name))

    @app.callback(
        Output(IDS.shut_answer, "children"),
        Input(IDS.shut, "n_clicks"),
        State(IDS.shut_site, "value"),
        State(IDS.shut_from, "date"),
        State(IDS.shut_to, "date"),
        State(IDS.shut_why, "value"),
        prevent_initial_call=True,
    )
    def shut(_: int, *said: str | None) -> Component:
        site, first, last, why = (word or "" for word in said)
        return _done(context, _closed(site, first, last, why))

    @app.callback(
        Output(IDS.open_answer, "children"),
        Input(IDS.open, "n_clicks"),
        State(IDS.open_which, "value"),
        State(IDS.open_why, "value"),
        prevent_initial_call=True,
    )
    def reopen(_: int, which: str | None, why: str | None) -> Component:
        return _done(context, _opened(which or "", why or ""))

    @app.callback(
        Output(IDS.holi_answer, "children"),
        Input(IDS.holi, "n_clicks"),
        State(IDS.holi_site, "value"),
        State(IDS.holi_region, "value"),
        prevent_initial_call=True,
    )
    def keep(_: int, site: str | None, region: str | None) -> Component:
        return _done(context, _kept(site or "", region or ""))

    @app.callback(
        Output(IDS.hours_answer, "children"),
        Input(IDS.hours, "n_clicks"),
        State(IDS.hours_site, "value"),
        State(IDS.hours_told, "value"),
        prevent_initial_call=True,
    )
    def keep_open(_: int, site: str | None, hours: str | None) -> Component:
        return _done(context, _opening(site or "", hours or ""))

    @app.callback(
        Output(IDS.crown_answer, "children"),
        Input(IDS.crown, "n_clicks"),
        State(IDS.crown_code, "value"),
        State(IDS.crown_state, "value"),
        prevent_initial_call=True,
    )
    def wish(_: int, code: str | None, state: str | None) -> Component:
        return _done(context, _wished(code or "", state or ""))


Act = Callable[[Session, str, datetime], str]
"""Something to be written, by whom and when; answers in a sentence."""


@shown_as_alert
def _done(context: AppContext, act: Act) -> Component:
    if not signed_in().may(Right.PLAN):
        raise NotAllowed("This account reads the record and does not add to it.")
    actor, now = signed_in().account.name, context.clock.now()
    with context.store.write_session() as session:
        said = act(session, actor, now)
    return html.P([f"{said} ", html.A("Show the page anew", href=PATH)])


def _put_off(code: str, until: str, why: str, name: str) -> Act:
    def act(session: Session, actor: str, now: datetime) -> str:
        chosen, until_on = _chosen(code, "support"), _day_of(until, "until_on")
        command = DeferralCommand(chosen, until_on, why, name)
        return _put_off_words(defer(session, command, actor=actor, now=now))

    return act


def _taken_back(code: str, why: str) -> Act:
    def act(session: Session, actor: str, now: datetime) -> str:
        chosen = _chosen(code, "support")
        back = withdraw_deferral(session, chosen, reason=why, actor=actor, now=now)
        return f"It is taken back. {back.due.sentence if back.due else ''}"

    return act


def _closed(site: str, first: str, last: str, why: str) -> Act:
    def act(session: Session, actor: str, now: datetime) -> str:
        days = _day_of(first, "first_on"), _day_of(last, "last_on")
        command = ClosureCommand(_chosen(site, "site"), *days, why)
        made = close_site(session, command, actor=actor, now=now)
        return f"{site} is closed from {day(made.first_on)} to {day(made.last_on)}."

    return act


def _opened(which: str, why: str) -> Act:
    def act(session: Session, actor: str, now: datetime) -> str:
        closure = _closure_named(session, which)
        back = reopen_site(session, closure, reason=why, actor=actor, now=now)
        return f"Open again from {day(back.first_on)}; what was moved is planned anew."

    return act


def _kept(site: str, region: str) -> Act:
    def act(session: Session, actor: str, now: datetime) -> str:
        chosen = _chosen(site, "site")
        kept = keep_holidays(session, chosen, region, actor=actor, now=now)
        whose = kept.holiday_region
        said = f"the public holidays of {whose}" if whose else "no public holidays"
        return f"{kept.name} keeps {said}."

    return act


def _opening(site: str, hours: str) -> Act:
    def act(session: Session, actor: str, now: datetime) -> str:
        chosen = _chosen(site, "site")
        kept = keep_hours(session, chosen, hours, actor=actor, now=now)
        return f"{kept.name} is open {kept.access_hours or 'at any time'}."

    return act


def _wished(code: str, state: str) -> Act:
    def act(session: Session, actor: str, now: datetime) -> str:
        chosen = _chosen(code, "support")
        made = wish_crown(session, chosen, state, actor=actor, now=now)
        said = f"wanted {made.state}" if made.state else "wanted in any state"
        return f"The crown over {chosen} is {said} when someone looks."

    return act


def _put_off_words(made: PutOff) -> str:
    due = made.due.sentence if made.due else ""
    return f"{in_words(made.entry)} {due}"


def _closure_named(session: Session, which: str) -> UUID:
    known = {str(one.id): one.id for one in standing_closures(session)}
    return known[_chosen(which if which in known else "", "closure")]


def _chosen(value: str, what: str) -> str:
    if not value:
        raise InvalidInput(f"Choose a {what}.", field=what, code="day-005")
    return value


def _day_of(text: str, name: str) -> date:
    on = day_said(text)
    if on is None:
        raise InvalidInput("The day is missing; choose it.", field=name, code="day-006")
    return on


def _name() -> str:
    return signed_in().account.name if has_request_context() else ""
