"""Notices: how I am told, what was told, and what did not arrive."""

from types import SimpleNamespace

from dash import Dash, Input, Output, State, html
from dash.development.base_component import Component
from flask import has_request_context

from dashboard.access import signed_in
from dashboard.components.alerts import shown_as_alert
from dashboard.components.form import choice, choice_field, field, text_input
from dashboard.components.offered import is_offered
from dashboard.components.tables import Cell, quiet_table
from dashboard.components.text import counted, sentence
from dashboard.context import AppContext
from monitor.domain.notices import WEEKDAYS, Notice, NoticeState
from monitor.domain.rights import Right
from monitor.domain.vocabulary import Role
from monitor.errors import InvalidInput, NotFound
from monitor.services.notices.recipients import (
    Choices,
    choices_of,
    choose,
    recipient_named,
)
from monitor.store import Session, outbox

NAME, PATH = "notices", "/notices"
QUERY: tuple[str, ...] = ()
FIELDS = ("email", "sites", "digest", "at", "zone", "quiet", "urgent", "empty")
IDS = SimpleNamespace(
    save="notices-save", answer="notices-answer", **{f: f"notices-{f}" for f in FIELDS}
)
SEES_ALL = frozenset({Role.ADMINISTRATOR, Role.MANAGER})
MOST = 40
UNANSWERED = (
    "A letter went to this address; digests begin once its link was followed. What can "
    "not wait comes meanwhile to the address you were invited at."
)
ASK = "Ask whoever plans the visits to be told of your sites."
YES, NO = "yes", "no"


def title() -> str:
    """Title of the page."""
    return "Notices"


@shown_as_alert
def layout(context: AppContext) -> Component:
    """What did not arrive first, then my own choices, then everything that was told."""
    account = signed_in().account if has_request_context() else None
    name = account.name if account else ""
    sees_all = account is None or account.role in SEES_ALL
    with context.store.read_session() as session:
        choices = _choices(session, name, context)
        told = _told(session, name, sees_all)
        names = {str(key): value for key, value in outbox.people(session).items()}
    failed = [notice for notice in told if notice.state is NoticeState.FAILED]
    return html.Article(
        [
            html.H1(headline(told, failed)),
            html.P(
                "A digest tells once a week what is owed on the supports you answer "
                "for. What can not wait is told at once: a support that wants work or "
                "must be made safe, a reading that wants repeating, an inspection "
                "seriously late, a look that an event called for and nobody took."
            ),
            *(_form(choices) if is_offered(Right.TELL) else [html.P(ASK)]),
            _list("Did not arrive", failed, names),
            _list("What was told", told, names),
        ]
    )


def register(app: Dash, context: AppContext) -> None:
    """Saving one's own choices."""

    @app.callback(
        Output(IDS.answer, "children"),
        Input(IDS.save, "n_clicks"),
        [State(getattr(IDS, name), "value") for name in FIELDS],
        running=[(Output(IDS.save, "disabled"), True, False)],
        prevent_initial_call=True,
    )
    def save(_: int, *typed: str | None) -> Component:
        said = {k: v or "" for k, v in zip(FIELDS, typed, strict=True)}
        return _saved(context, said)


def headline(told: list[Notice], failed: list[Notice]) -> str:
    """How telling goes, in one sentence."""
    if failed:
        many = counted(len(failed), "notice")
        return sentence(f"{many} did not arrive.")
    if not told:
        return "Nobody was told anything yet."
    waiting = sum(notice.state is NoticeState.WAITING for notice in told)
    if waiting:
        wait = "waits" if waiting == 1 else "wait"
        return sentence(f"{counted(waiting, 'notice')} {wait} to be sent.")
    return "Every notice of late has gone out."


def _choices(session: Session, name: str, context: AppContext) -> Choices:
    try:
        return choices_of(session, recipient_named(session, name))
    except NotFound:
        return Choices(name, zone=context.settings.timezone)


def _told(session: Session, name: str, sees_all: bool) -> list[Notice]:
    if sees_all:
        return outbox.newest(session, MOST, None)
    try:
        return outbox.newest(session, MOST, recipient_named(session, name).id)
    except NotFound:
        return []


def _form(now: Choices) -> list[Component]:
    if now.webhook:
        return [html.P("You are told by a webhook; “underprop notices tell” sets it.")]
    days = [*WEEKDAYS, "never"]
    return [
        html.Section(
            [
                html.H2("How you are told"),
                field(
                    "E-mail address",
                    text_input(IDS.email, value=now.email),
                    key=IDS.email,
                ),
                choice_field(
                    "Weekly digest", choice(IDS.digest, days, value=now.digest)
                ),
                field("At", text_input(IDS.at, value=now.at), key=IDS.at),
                field("Time zone", text_input(IDS.zone, value=now.zone), key=IDS.zone),
                choice_field(
                    "A digest even if nothing is owed",
                    choice(IDS.empty, [YES, NO], value=YES if now.empty else NO),
                ),
                choice_field(
                    "Tell at once what can not wait",
                    choice(IDS.urgent, [YES, NO], value=YES if now.escalations else NO),
                ),
                field(
                    "Quiet hours",
                    text_input(IDS.quiet, value=now.quiet),
                    key=IDS.quiet,
                    hint="Such as 21:00-06:00, or never. Only a support that must be "
                    "made safe breaks them.",
                ),
                field(
                    "Sites you answer for",
                    text_input(IDS.sites, value=", ".join(now.sites)),
                    key=IDS.sites,
                    hint="Their codes, with commas; empty for all of them.",
                ),
                html.Div(
                    html.Button("Save", id=IDS.save, type="button"), className="ask"
                ),
                html.Div(id=IDS.answer, role="status"),
            ],
            className="part",
        )
    ]


@shown_as_alert
def _saved(context: AppContext, said: dict[str, str]) -> Component:
    account, now = signed_in().account, context.clock.now()
    if not said["email"].strip():
        raise InvalidInput("An address is wanted.", field="email", code="ntc-004")
    choices = Choices(
        name=account.name,
        email=said["email"],
        sites=[code for code in said["sites"].split(",") if code.strip()],
        digest=said["digest"],
        at=said["at"],
        zone=said["zone"],
        quiet=said["quiet"],
        escalations=said["urgent"] == YES,
        empty=said["empty"] == YES,
    )
    with context.store.write_session() as session:
        made = choose(session, choices, actor=account.name, now=now)
    told = f"Saved. {made.name} is told at {made.address}."
    if made.asked_at is not None:
        told += f" {UNANSWERED}"
    return html.P(told)


def _list(heading: str, told: list[Notice], names: dict[str, str]) -> Component:
    rows: list[list[Cell]] = [
        [
            f"{notice.raised_at:%-d %B %Y, %H:%M} UTC",
            names.get(str(notice.recipient_id), "the fallback contact"),
            notice.subject,
            notice.state.value,
            notice.error,
        ]
        for notice in told
    ]
    headings = ["Raised", "To", "What", "State", "Why not"]
    return html.Section(
        [html.H2(heading), quiet_table(headings, rows, caption=heading)],
        className="part",
        hidden=not rows,
    )
