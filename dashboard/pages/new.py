"""A new support, from its owner to where it will be read, on one page."""

from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any

from dash import ALL, Dash, Input, Output, State, dcc, html
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate
from flask import has_request_context

from dashboard.access import signed_in
from dashboard.components.alerts import from_error, shown_as_alert
from dashboard.components.entries import record_address, support_address
from dashboard.components.form import choice, choice_field, field, text_input
from dashboard.components.new_support import FilledNew, draft_from, kind_fields
from dashboard.components.review_lines import review_part
from dashboard.context import AppContext
from monitor.domain.rights import Right
from monitor.domain.vocabulary import Consequence, MemberKind, Occupancy
from monitor.errors import MonitorError, NotAllowed
from monitor.services.margins.view import margin_view
from monitor.services.recording.commands import SiteDraft, SupportDraft, TreeDraft
from monitor.services.recording.register import register_supports
from monitor.services.showing import new as show_new
from monitor.services.showing.new import Places

NAME, PATH = "new", "/new"
QUERY = ("support",)
IDS = SimpleNamespace(
    owner="new-owner",
    site="new-site",
    name="new-name",
    tree="new-tree",
    species="new-species",
    support="new-support",
    reason="new-reason",
    target="new-target",
    occupancy="new-occupancy",
    consequence="new-consequence",
    installer="new-installer",
    note="new-note",
    kind="new-kind",
    member="new-member",
    installed="new-installed",
    bearing="new-bearing",
    built="new-built",
    save="new-save",
    answer="new-answer",
    form="new-form",
)
_FIELDS = (
    "owner", "site", "name", "tree", "species", "support", "reason", "target",
    "occupancy", "consequence", "installer", "note", "kind", "member", "installed",
    "bearing",
)  # fmt: skip
_MEMBER_CODES = {
    MemberKind.POST: "P1",
    MemberKind.PIN: "N1",
    MemberKind.ROD: "R1",
    MemberKind.CABLE: "C1",
    MemberKind.GUY: "G1",
}


def title() -> str:
    """Title of the page."""
    return "New support"


@shown_as_alert
def layout(context: AppContext, support: str = "") -> Component:
    """The form; with a code, for one more member of that support."""
    if not has_request_context():
        return _form(Places((), (), (), ()), None)
    _require_right()
    with context.store.read_session() as session:
        known = show_new.places(session)
        more = show_new.placed(session, support) if support else None
    return _form(known, more)


def register(app: Dash, context: AppContext) -> None:
    """Facts follow the kind; saving registers, then shows the review."""

    @app.callback(
        Output(IDS.built, "children"),
        Output(IDS.member, "value"),
        Input(IDS.kind, "value"),
        prevent_initial_call=True,
    )
    def asked(kind: str) -> tuple[list[Component], str]:
        if kind not in set(MemberKind):
            raise PreventUpdate
        chosen = MemberKind(kind)
        return kind_fields(chosen), _MEMBER_CODES[chosen]

    @app.callback(
        Output(IDS.answer, "children"),
        Output(IDS.form, "className"),
        inputs={"_": Input(IDS.save, "n_clicks")},
        state={
            "head": {name: State(getattr(IDS, name), "value") for name in _FIELDS},
            "facts": State({"type": "new-fact", "name": ALL}, "value"),
            "keys": State({"type": "new-fact", "name": ALL}, "id"),
            "marks": State({"type": "new-marks", "name": ALL}, "value"),
        },
        prevent_initial_call=True,
    )
    def save(
        _: int,
        head: dict[str, Any],
        facts: list[str | None],
        keys: list[dict[str, str]],
        marks: list[list[str]],
    ) -> tuple[Component, str]:
        named = {key["name"]: text or "" for key, text in zip(keys, facts, strict=True)}
        filled = FilledNew(head, named, tuple(marks[0] if marks else ()))
        return _save(context, filled)


def _save(context: AppContext, filled: FilledNew) -> tuple[Component, str]:
    now = context.clock.now()
    try:
        _require_right()
        draft = draft_from(filled)
        with context.store.write_session() as session:
            (key,) = register_supports(
                session, [draft], actor=signed_in().account.name, now=now,
                timezone=context.settings.timezone,
            )  # fmt: skip
        with context.store.read_session() as session:
            view = margin_view(session, key, now)
    except MonitorError as error:
        return from_error(error), ""
    reviews = zip(view.members, view.reviews, strict=True)
    parts = [
        part
        for margin, review in reviews
        if margin.case.known.member.code == draft.members[0].code
        for part in review_part(review)
    ]
    return _registered(draft, parts), "done"


def _registered(draft: SupportDraft, review: list[Component]) -> Component:
    code, member = draft.code.strip(), draft.members[0].code.strip()
    return html.Div(
        [
            html.H2(f"{code} is in the register."),
            html.P(
                "What is still wanted is the first baseline: every later reading is "
                "compared with it.",
                className="lead",
            ),
            html.P(
                dcc.Link("Take the first baseline", href=record_address(code),
                         className="action")
            ),
            html.P(
                [
                    dcc.Link(f"One more member of {code}", href=f"/new?support={code}"),
                    " · ",
                    dcc.Link("Its page", href=support_address(code)),
                ]
            ),
            html.H2(f"As-built review of {member}"),
            *review,
        ],
        role="status",
    )  # fmt: skip


def _require_right() -> None:
    if not signed_in().may(Right.KEEP_REGISTER):
        raise NotAllowed("This account reads the register and does not change it.")


def _form(known: Places, more: SupportDraft | None) -> Component:
    heading = f"One more member of {more.code}" if more else "A new support"
    return html.Article(
        [
            html.H1(heading),
            html.P(
                "Type lengths as you took them: 9 ft 6 in, 4 1/2 in, 2.9 m. Only code, "
                "owner, site, tree and the member with its day are needed; the rest "
                "can be filled in later.",
                className="lead",
            ),
            html.Div(
                [
                    *_where(known, more),
                    *_what(known, more),
                    html.H2("What holds it"),
                    *_member(),
                    html.Div(kind_fields(MemberKind.POST), id=IDS.built),
                ],
                id=IDS.form,
            ),
            html.Div(id=IDS.answer),
            html.Div(
                html.Button("Register it", id=IDS.save, type="button"),
                className="thumb",
            ),
        ],
        className="record",
    )


def _where(known: Places, more: SupportDraft | None) -> list[Component]:
    site, tree = (more.site, more.tree) if more else (None, None)
    lists = [
        _options("new-owners", known.owners),
        _options("new-sites", known.sites),
        _options("new-species-list", known.species),
        _options("new-installers", known.installers),
    ]
    fields = [
        field("Owner", text_input(IDS.owner, value=site.owner if site else "",
              listed_in="new-owners"), key=IDS.owner,
              hint="Whose tree it is. A known site brings its own."),
        field("Site code", text_input(IDS.site, value=site.code if site else "",
              listed_in="new-sites"), key=IDS.site, hint="Short, such as V-12."),
        field("Site name", text_input(IDS.name, value=site.name if site else ""),
              key=IDS.name),
        field("Tree", text_input(IDS.tree, value=tree.code if tree else "T1"),
              key=IDS.tree, hint="Its code on the site."),
        field("Species", text_input(IDS.species, value=tree.species if tree else "",
              listed_in="new-species-list"), key=IDS.species),
    ]  # fmt: skip
    return [*lists, html.H2("Where"), html.Div(fields, className="head-fields")]


def _what(known: Places, more: SupportDraft | None) -> list[Component]:
    said = more or SupportDraft("", SiteDraft(""), TreeDraft(""), ())
    fields = [
        field("Code on the tag", text_input(IDS.support, value=said.code),
              key=IDS.support),
        field("Why it is there", text_input(IDS.reason, value=said.reason),
              key=IDS.reason, hint="The weakness that it answers."),
        field("What is beneath", text_input(IDS.target, value=said.target),
              key=IDS.target),
        field("Who installed it", text_input(IDS.installer, value=said.installer,
              listed_in="new-installers"), key=IDS.installer),
        choice_field("Someone is beneath", choice(IDS.occupancy, _words(Occupancy),
                     value=said.occupancy)),
        choice_field("A failure would be", choice(IDS.consequence,
                     _words(Consequence), value=said.consequence)),
        field("Note", text_input(IDS.note, value=said.note), key=IDS.note),
    ]  # fmt: skip
    hint = "Where nothing is said of these two, the gravest is taken."
    return [
        html.H2("What it is for"),
        html.Div(fields, className="head-fields"),
        html.P(hint, className="hint"),
    ]


def _member() -> list[Component]:
    kinds = [kind.value for kind in MemberKind]
    return [
        choice_field("Kind", choice(IDS.kind, kinds, value=MemberKind.POST.value)),
        html.Div(
            [
                field("Member", text_input(IDS.member, value="P1"), key=IDS.member,
                      hint="Its code on this support."),
                field("Installed on", text_input(IDS.installed), key=IDS.installed,
                      hint="As 14 May 2021 or 2021-05-14."),
                field("Tilt + x points to", text_input(IDS.bearing), key=IDS.bearing,
                      hint="Compass bearing, away from the stem: 140 or SE. Empty for "
                      "cables and pins."),
            ],
            className="head-fields",
        ),
    ]  # fmt: skip


def _words(kind: type[Occupancy] | type[Consequence]) -> list[str | dict[str, str]]:
    return [*(word.value for word in kind), {"label": "not known", "value": ""}]


def _options(key: str, values: Sequence[str]) -> Component:
    return html.Datalist([html.Option(value=value) for value in values], id=key)
