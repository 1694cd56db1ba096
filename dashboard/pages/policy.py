"""The duty-holder's policy as a table: seen, tried, and only then adopted."""

from typing import Any

from dash import ALL, Dash, Input, Output, State, dcc, html
from dash.development.base_component import Component
from flask import has_request_context

from dashboard.access import require_sure, signed_in
from dashboard.components.alerts import from_error, shown_as_alert
from dashboard.components.form import field, text_input
from dashboard.components.offered import is_offered
from dashboard.components.policy_form import (
    IDS,
    policy_form,
    policy_from,
    shown_table,
)
from dashboard.components.tables import Cell, quiet_table
from dashboard.components.text import CAUTION, counted, day, sentence
from dashboard.context import AppContext
from monitor.domain.rights import Right
from monitor.domain.vocabulary import MemberKind
from monitor.errors import InvalidInput, MonitorError, NotAllowed
from monitor.schedule.effect import Effect
from monitor.schedule.policy import Policy
from monitor.schedule.policy_record import from_plain, to_plain
from monitor.services.planning.adopt_policy import (
    MAY_ADOPT,
    UNTIL_ADOPTED,
    adopt,
    try_policy,
)
from monitor.services.planning.policy import Adopted, version, versions

NAME, PATH = "policy", "/policy"
QUERY = ("version",)
_SHOWN = 25


def title() -> str:
    """Title of the page."""
    return "Policy"


@shown_as_alert
def layout(context: AppContext, version: str = "") -> Component:
    """The policy in force as a form, or an older version for reading."""
    with context.store.read_session() as session:
        every = versions(session)
    if version:
        return _older(context, version, every)
    now = every[0]
    return html.Article(
        [
            html.P(_who(now), className="dateline"),
            html.H1(headline(now.policy)),
            html.P(
                "Each interval is the longest time a support may go unseen; readings, "
                "findings, works and events can only make it shorter."
            ),
            html.P(CAUTION, className="caution"),
            *_in_force(now.policy),
            _versions(every),
        ]
    )


def register(app: Dash, context: AppContext) -> None:
    """Trying, which writes nothing, and adopting what was tried."""
    parts = ("step", "source", "rule")

    @app.callback(
        Output(IDS.effect, "children"),
        Output(IDS.tried, "data"),
        inputs={"_": Input(IDS.ask, "n_clicks")},
        state={
            "base": State(IDS.base, "data"),
            "name": State(IDS.name, "value"),
            "values": {
                p: State({"type": f"policy-{p}", "key": ALL}, "value") for p in parts
            },
            "keys": {
                p: State({"type": f"policy-{p}", "key": ALL}, "id") for p in parts
            },
        },
        running=[(Output(IDS.ask, "disabled"), True, False)],
        prevent_initial_call=True,
    )
    def ask(_: int, **filled: Any) -> tuple[Component, dict[str, Any] | None]:  # noqa: ANN401 - form fields
        return _tried(context, filled)

    @app.callback(
        Output(IDS.answer, "children"),
        Input(IDS.adopt, "n_clicks"),
        State(IDS.tried, "data"),
        State(IDS.reason, "value"),
        running=[(Output(IDS.adopt, "disabled"), True, False)],
        prevent_initial_call=True,
    )
    def put_in_force(
        _: int, tried: dict[str, Any] | None, reason: str | None
    ) -> Component:
        try:
            require_sure(context)
        except NotAllowed as no:
            return from_error(no)
        return _adopted(context, tried, reason or "")


def headline(policy: Policy) -> str:
    """How often supports are looked at, in one sentence."""
    lengths = sorted(policy.routine.values(), key=lambda cell: cell.size)
    first, last = lengths[0].interval.in_words(), lengths[-1].interval.in_words()
    if first == last:
        return f"Every support is looked at every {first} at the latest."
    return f"Supports are looked at every {first} to {last} at the latest."


def _who(one: Adopted) -> str:
    said = f"Version {one.policy.version}, “{one.policy.name}”"
    if one.recorded_at is None:
        return f"{said}: a proposal to start from, with the source of every number"
    return f"{said}, adopted by {one.adopted_by} on {day(one.recorded_at.date())}"


def _in_force(policy: Policy) -> list[Component]:
    """A form for those who see every site, tables to read for an owner."""
    if not is_offered(Right.SEE_EVERY_SITE):
        return _tables(policy)
    told = "Change what you answer for, see what it would do, then adopt it."
    return [html.P(told), *policy_form(policy), *_trying()]


def _trying() -> list[Component]:
    return [
        dcc.Store(id=IDS.tried),
        html.Div(
            html.Button("What would it change?", id=IDS.ask, type="button"),
            className="ask",
        ),
        html.Div(id=IDS.effect, role="status"),
        html.Section(
            [
                html.H2("Adopt what was tried"),
                field(
                    "Why",
                    text_input(IDS.reason),
                    key=IDS.reason,
                    hint="Stays with the version, beside your name and the day.",
                ),
                html.Div(
                    html.Button("Adopt it", id=IDS.adopt, type="button"),
                    className="ask",
                ),
                html.Div(id=IDS.answer, role="status"),
            ],
            className="part",
            hidden=not _may_adopt(),
        ),
    ]


def _may_adopt() -> bool:
    return not has_request_context() or signed_in().account.role in MAY_ADOPT


def _tried(
    context: AppContext, filled: dict[str, Any]
) -> tuple[Component, dict[str, Any] | None]:
    try:
        said = {
            part: {
                key["key"]: value or ""
                for key, value in zip(keys, filled["values"][part], strict=True)
            }
            for part, keys in filled["keys"].items()
        }
        policy = policy_from(
            filled["base"], filled["name"], said["step"], said["source"], said["rule"]
        )
        with context.store.read_session() as session:
            effect = try_policy(session, policy, now=context.clock.now())
    except MonitorError as error:
        return from_error(error), None
    return _effect(effect), to_plain(policy)


def _effect(effect: Effect) -> Component:
    parts: list[Component] = [html.P(effect.in_words(), className="lead")]
    rows = [
        [
            one.code,
            f"{one.months_before:g} months",
            f"{one.months_after:g} months",
            day(one.due_before),
            day(one.due_after),
        ]
        for one in effect.changes[:_SHOWN]
    ]
    if rows:
        headings = ["Support", "Interval", "Would be", "Due", "Would be due"]
        parts.append(quiet_table(headings, rows, caption="What would change"))
    more = len(effect.changes) - len(rows)
    if more:
        parts.append(html.P(sentence(f"{counted(more, 'more', 'more')} would change.")))
    parts.append(html.P(UNTIL_ADOPTED, className="quiet"))
    return html.Div(parts)


@shown_as_alert
def _adopted(
    context: AppContext, tried: dict[str, Any] | None, reason: str
) -> Component:
    if tried is None:
        raise InvalidInput("See first what it would change.", code="pol-006")
    actor, now = signed_in().account.name, context.clock.now()
    with context.store.write_session() as session:
        made = adopt(session, from_plain(tried), reason=reason, actor=actor, now=now)
    link = html.A("Show it", href=PATH)
    return html.P([f"Version {made.version} is in force. ", link])


def _versions(every: tuple[Adopted, ...]) -> Component:
    rows: list[list[Cell]] = [
        [
            dcc.Link(
                f"Version {one.policy.version}",
                href=f"{PATH}?version={one.policy.version}",
            ),
            one.policy.name,
            day(one.recorded_at.date()) if one.recorded_at else "",
            one.adopted_by,
            one.reason or "comes with the program",
        ]
        for one in every
    ]
    headings = ["Version", "Name", "Adopted", "By", "Why"]
    return html.Section(
        [html.H2("Versions"), quiet_table(headings, rows, caption="Versions")],
        className="part",
    )


def _older(context: AppContext, number: str, every: tuple[Adopted, ...]) -> Component:
    with context.store.read_session() as session:
        one = version(session, int(number) if number.isdecimal() else 0)
    return html.Article(
        [
            html.P(_who(one), className="dateline"),
            html.H1(headline(one.policy)),
            html.P(f"Why: {one.reason}") if one.reason else html.P(),
            html.P(dcc.Link("The policy in force", href=PATH)),
            *_tables(one.policy),
            _versions(every),
        ]
    )


def _tables(policy: Policy) -> list[Component]:
    """The intervals of each kind, to read."""
    headings = ["Use beneath", "A failure is", "At the latest every", "Source"]
    return [
        html.Section(
            [
                html.H2(f"{sentence(kind.value)}s"),
                quiet_table(
                    headings, shown_table(policy, kind), caption=f"{kind.value}s"
                ),
            ],
            className="part",
        )
        for kind in MemberKind
    ]
