"""What if: the form, and its answer beside the margin as it is."""

from types import SimpleNamespace

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.form import choice, choice_field, field, text_input
from dashboard.components.margin_parts import margin_drawing
from dashboard.components.tables import quiet_table
from dashboard.components.text import listed, sentence
from monitor.domain.percent import chance
from monitor.mechanics.footing import Soil
from monitor.services.assessing.arrays import later
from monitor.services.margins.member_margin import MemberMargin
from monitor.services.margins.told import ahead_words, share, today_words
from monitor.services.margins.view import MarginView
from monitor.services.margins.what_if import Compared

IDS = SimpleNamespace(
    support="margin-support",
    member="margin-member",
    wall="margin-wall",
    lean="margin-lean",
    load="margin-load",
    soil="margin-soil",
    replumbed="margin-replumbed",
    ask="margin-ask",
    answer="margin-answer",
)
_SHOWN_YEARS = (0.0, 10.0, 20.0, 40.0)


def what_if_form(view: MarginView | None) -> Component:
    """The fields; an empty shape without a support."""
    members = [m.case.known.member.code for m in view.members] if view else []
    return html.Section(
        [
            html.H2("What if"),
            html.P(
                "Type what you want to ask, with its unit: 4 mm, 3/16 in, 2°, 15 mm/m, "
                "30 kN, 6000 lbf. What is left empty stays as it is. Nothing is saved.",
                className="quiet",
            ),
            dcc.Store(id=IDS.support, data=view.support.code if view else ""),
            html.Div(_fields(members), className="head-fields"),
            html.Div(
                html.Button("Work it out", id=IDS.ask, type="button"),
                className="ask",
            ),
            html.Div(id=IDS.answer, role="status"),
        ],
        className="part what-if",
    )


def _fields(members: list[str]) -> list[Component]:
    first = members[0] if members else ""
    member = choice_field("Member", choice(IDS.member, list(members), value=first))
    soils: list[dict[str, str]] = [{"label": sentence(s), "value": s} for s in Soil]
    return [
        html.Div(member, hidden=len(members) < 2),
        field("Thinner wall, today", text_input(IDS.wall), key=IDS.wall,
              hint="What is left, such as 4 mm or 3/16 in."),
        field("More lean, today", text_input(IDS.lean), key=IDS.lean,
              hint="Out of plumb, such as 2° or 35 mm/m."),
        field("Heavier limb, today", text_input(IDS.load), key=IDS.load,
              hint="What rests on it, such as 30 kN or 6000 lbf."),
        field("Other soil",
              dcc.Dropdown(id=IDS.soil, options=soils, placeholder="as it is"),
              key=IDS.soil),
        choice_field(
            "Set plumb",
            choice(IDS.replumbed, [
                {"label": "as it is", "value": ""},
                {"label": "set plumb today", "value": "yes"},
            ]),
        ),
    ]  # fmt: skip


def answer(compared: Compared) -> Component:
    """The margin as it would be, beside the one of today."""
    asked = compared.what_if
    if asked.refused:
        reasons = html.Ul([html.Li(why) for why in asked.refused])
        return html.Div(
            [html.P("No margin can be told."), reasons], className="refusal"
        )
    asking = listed(compared.changes)
    words = f"{sentence(asking)}: {_lowered(today_words(asked))} {ahead_words(asked)}"
    if compared.as_is.refused:
        caution = html.P(asked.caution, className="caution")
        return html.Div([html.P(words), margin_drawing(asked), caution])
    return html.Div(
        [
            html.P(words),
            margin_drawing(compared.as_is, asked),
            _beside(compared.as_is, asked),
            html.P(asked.caution, className="caution"),
            html.P("Nothing was saved.", className="quiet"),
        ]
    )


def _lowered(text: str) -> str:
    return text[:1].lower() + text[1:]


def _beside(as_is: MemberMargin, asked: MemberMargin) -> Component:
    today = as_is.case.known.today
    rows = [
        [
            str(later(today, year).year),
            share(as_is.use[n]),
            chance(as_is.over_one[n]),
            share(asked.use[n]),
            chance(asked.over_one[n]),
        ]
        for n, year in enumerate(as_is.years)
        if year in _SHOWN_YEARS
    ]
    return quiet_table(
        ["Year", "As it is", "Above 100 %", "What if", "Above 100 %, what if"], rows,
        caption="As it is and what if",
    )  # fmt: skip
