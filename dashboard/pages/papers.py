"""Papers: choose one, follow its making, fetch it, check one in hand."""

from collections.abc import Mapping
from types import SimpleNamespace

from dash import Dash, Input, Output, State, dcc, html
from dash.development.base_component import Component
from flask import g, has_request_context

from dashboard.components.alerts import shown_as_alert
from dashboard.components.attributes import aria, data
from dashboard.components.entries import entries, entry, headed
from dashboard.components.form import field
from dashboard.components.text import counted, sentence
from dashboard.context import AppContext
from dashboard.papers_routes import desk_of
from dashboard.viewers import whole_of
from monitor.errors import InvalidInput, NotFound
from monitor.reports.blocks import Size
from monitor.services.papers.desk import PaperState
from monitor.services.papers.fingerprint import check
from monitor.services.papers.issued import who_issued
from monitor.services.papers.wish import PaperKind, Scope, owners
from monitor.store import Session, records

NAME, PATH = "papers", "/papers"
QUERY = (
    "made", "no", "kind", "scope", "name", "size", "known_on", "looked_on", "root",
    "paper",
)  # fmt: skip
IDS = SimpleNamespace(
    state="papers-state", tick="papers-tick", key="papers-key", names="papers-names"
)
EVERY_MS = 1000

_KINDS = {
    PaperKind.CONDITION: "Condition report",
    PaperKind.CERTIFICATE: "Certificate of one inspection",
    PaperKind.DOSSIER: "Hand-over dossier of a site",
    PaperKind.YEAR_PLAN: "Plan of the year",
    PaperKind.FIELD_SHEET: "Field sheets to take along",
    PaperKind.TAGS: "Tags to print and cut",
}
_SCOPES = {
    Scope.SUPPORT: "One support, by its code",
    Scope.SITE: "A site, by code or name",
    Scope.OWNER: "An owner, by name",
    Scope.ALL: "Everything",
}
_SIZES = {Size.A4: "A4", Size.LETTER: "Letter"}


def title() -> str:
    """Title of the page."""
    return "Papers"


@shown_as_alert
def layout(context: AppContext, **asked: str) -> Component:
    """What is being made, the form, what was made before, the check."""
    made = asked.get("made", "")
    states = desk_of(context).newest(_me())
    chosen = next((one for one in states if one.key == made), None)
    with context.store.read_session() as session:
        form = _form(session, asked)
    parts: list[Component] = [html.H1("Papers that say what the record says.")]
    if asked.get("root"):
        parts.append(html.P(_checked(context, asked), className="lead", role="status"))
    if asked.get("paper"):
        parts.append(html.P(_issued(context, asked["paper"]), className="lead",
                            role="status"))  # fmt: skip
    if asked.get("no"):
        parts.append(html.Div(html.P(asked["no"]), className="refusal", role="alert"))
    return html.Article(
        [
            *parts,
            html.Div(
                _state_words(chosen) if chosen else [],
                id=IDS.state,
                **aria(live="polite"),
            ),
            dcc.Store(id=IDS.key, data=made),
            dcc.Interval(
                id=IDS.tick,
                interval=EVERY_MS,
                disabled=chosen is None or chosen.is_over,
            ),
            form,
            *_before([one for one in states if one.key != made]),
            _check_form(asked),
            _file_form(),
        ]
    )


def register(app: Dash, context: AppContext) -> None:
    """Following the paper that is being made."""

    @app.callback(
        Output(IDS.state, "children"),
        Output(IDS.tick, "disabled"),
        Input(IDS.tick, "n_intervals"),
        State(IDS.key, "data"),
        prevent_initial_call=True,
    )
    def follow(_: int, key: str | None) -> tuple[list[Component], bool]:
        try:
            state = desk_of(context).state(key or "", _me())
        except NotFound as error:
            return [html.P(error.message)], True
        return _state_words(state), state.is_over


def _me() -> str:
    here = g.get("signed_in") if has_request_context() else None
    return here.account.name if here is not None else ""


def _state_words(state: PaperState) -> list[Component]:
    title = sentence(state.title)
    if state.outcome == "failed":
        said = html.P(f"{title} could not be made. {state.words}")
        return [html.Div(said, className="refusal", role="alert")]
    if state.outcome == "done":
        return [html.P([f"{title} is ready. ", _link(state)], className="lead")]
    step = f"{title}: {state.words or 'waiting its turn'}."
    bar = html.Progress(
        value=str(round(state.share, 3)), max="1", className="paper-progress",
        **aria(label="How far the paper is"),
    )  # fmt: skip
    note = "It goes on if this page is left or loaded anew."
    return [html.P(step), bar, html.P(note, className="quiet")]


def _link(state: PaperState) -> Component:
    words = f"Fetch the PDF, {counted(state.pages, 'page')}"
    return html.A(words, href=f"/papers/file/{state.key}", className="action")


def _before(states: list[PaperState]) -> list[Component]:
    if not states:
        return []
    items = [
        entry(
            html.Span(f"{one.asked_at:%-d %B, %H:%M} UTC", className="margin-word"),
            _state_words(one) if one.is_over else [html.P(_follow(one))],
        )
        for one in states
    ]
    kept = html.P(
        "Each is kept for a week, for whoever asked for it.", className="quiet"
    )
    return [headed("Made before", [kept, entries(items)])]


def _follow(state: PaperState) -> Component:
    words = f"{sentence(state.title)} is being made"
    return dcc.Link(words, href=f"{PATH}?made={state.key}")


def _form(session: Session, asked: Mapping[str, str]) -> Component:
    names = [one.name for one in owners(session)]
    names += [site.name for site in records.SITES.all(session) if site.name]
    listed = [html.Option(value=name) for name in dict.fromkeys(names)]
    choices = (
        ("kind", "Paper", _KINDS, PaperKind.CONDITION.value),
        ("scope", "Of which supports", _SCOPES, Scope.SUPPORT.value),
    )
    return html.Form(
        [
            *(_choice(asked, *one) for one in choices),
            field(
                "Code or name",
                dcc.Input(
                    id="papers-name", name="name", value=asked.get("name", ""),
                    type="text", autoComplete="off", list=IDS.names,
                ),
                key="papers-name",
                hint="Left empty for everything.",
            ),
            html.Datalist(listed, id=IDS.names),
            _day(asked, "known_on", "As known on",
                 "A past day: without later corrections. Left empty for now."),
            _day(asked, "looked_on", "Day of the inspection",
                 "For a certificate; left empty for the newest."),
            _choice(asked, "size", "Sheet", _SIZES, Size.A4.value),
            html.Button("Make the paper", type="submit"),
        ],
        action="/papers/make",
        method="post",
        className="ask part",
    )  # fmt: skip


def _choice(
    asked: Mapping[str, str],
    name: str,
    label: str,
    words: Mapping[PaperKind, str] | Mapping[Scope, str] | Mapping[Size, str],
    usual: str,
) -> Component:
    chosen = asked.get(name) or usual
    options = [
        html.Option(text, value=key.value, selected=key.value == chosen)
        for key, text in words.items()
    ]
    key = f"{NAME}-{name}"
    return field(label, html.Select(options, id=key, name=name), key=key)


def _day(asked: Mapping[str, str], name: str, label: str, hint: str) -> Component:
    key = f"{NAME}-{name.replace('_', '-')}"
    line = dcc.Input(
        id=key, name=name, value=asked.get(name, ""), type="text", autoComplete="off",
        placeholder="YYYY-MM-DD",
    )  # fmt: skip
    return field(label, line, key=key, hint=hint)


def _checked(context: AppContext, asked: Mapping[str, str]) -> str:
    with whole_of(context.store).read_session() as session:
        return check(session, asked.get("size", ""), asked["root"])


def _issued(context: AppContext, digest: str) -> str:
    """What the ledger says of a file that somebody holds."""
    try:
        with whole_of(context.store).read_session() as session:
            return who_issued(session, digest)
    except (NotFound, InvalidInput) as error:
        return f"{error.message} This says nothing of what stands in it."


def _file_form() -> Component:
    told = html.P(
        "Every paper that goes out leaves its SHA-256 in the ledger. The file is only "
        "read for that; nothing of it is kept."
    )
    form = html.Form(
        [
            html.P("Drop the PDF here, or choose it", id="papers-drop-name"),
            html.Div(**data(accept=".pdf", name="paper")),
            html.Button("Look it up", type="submit"),
        ],
        action="/papers/check", method="post", encType="multipart/form-data",
        className="imports-drop ask",
    )  # fmt: skip
    return headed("Was this file issued here?", [told, form])


def _check_form(asked: Mapping[str, str]) -> Component:
    lines = (("size", "Entries of the ledger"), ("root", "Root, 64 digits"))
    fields = [
        field(
            label,
            dcc.Input(
                id=f"{NAME}-check-{name}", name=name, type="text", autoComplete="off",
                value=asked.get(name, "") if asked.get("root") else "",
            ),
            key=f"{NAME}-check-{name}",
        )
        for name, label in lines
    ]  # fmt: skip
    told = html.P(
        "Every paper ends with the size and root of the ledger when it was made; the "
        "square on it leads here."
    )
    form = html.Form(
        [*fields, html.Button("Check it", type="submit")],
        action=PATH, method="get", className="ask",
    )  # fmt: skip
    return headed("Is a paper of this record?", [told, form])
