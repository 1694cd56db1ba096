"""Every inspection that is owed, in the order in which it wants doing, with why."""

from types import SimpleNamespace
from urllib.parse import quote

from dash import Dash, Input, Output, dcc, html
from dash.development.base_component import Component

from dashboard import calendar_feed
from dashboard.components.alerts import shown_as_alert
from dashboard.components.calendars import calendar_links
from dashboard.components.entries import (
    entries,
    headed,
    support_entry,
)
from dashboard.components.offered import is_offered, record_link
from dashboard.components.owed_works import works_part
from dashboard.components.text import counted, month, sentence
from dashboard.context import AppContext
from monitor.clock import local_date
from monitor.domain.rights import Right
from monitor.services.planning.works import works_due
from monitor.services.showing import register as show_register
from monitor.services.showing.register import DueGroup, DueLine, Owed

NAME, PATH = "due", "/due"
QUERY = ("site", "kind")
IDS = SimpleNamespace(site="due-site", kind="due-kind", lists="due-lists")

MONTHS_SHOWN = 6
_HEADINGS = {Owed.LATE: "Late", Owed.DUE: "Due now", Owed.OPEN: "May be done now"}


def title() -> str:
    """Title of the page."""
    return "Due"


@shown_as_alert
def layout(context: AppContext, site: str = "", kind: str = "") -> Component:
    """The answer, the two filters, the lists."""
    groups = _groups(context)
    today = local_date(context.clock.now(), context.settings.timezone)
    with context.store.read_session() as session:
        works = works_due(session, None, today=today)
    lines = [due for group in groups for due in group.lines]
    return html.Article(
        [
            html.H1(headline(groups)),
            html.Div(
                [
                    _choice(
                        IDS.site, "Site", sorted({d.line.site for d in lines}), site
                    ),
                    _choice(IDS.kind, "Made of", _kinds(lines), kind),
                ],
                className="filters",
            ),
            html.P(
                [
                    dcc.Link("Deferrals, closed days, crowns", href="/due/days"),
                    " · ",
                    dcc.Link("The plan of the years", href="/plan"),
                ]
            ),
            html.Div(_lists(groups, site, kind), id=IDS.lists),
            *works_part(works, today),
            calendar_links(calendar_feed.links(context)),
        ]
    )


def register(app: Dash, context: AppContext) -> None:
    """The lists follow the two choices."""

    @app.callback(
        Output(IDS.lists, "children"),
        Input(IDS.site, "value"),
        Input(IDS.kind, "value"),
        prevent_initial_call=True,
    )
    def narrow(site: str | None, kind: str | None) -> list[Component]:
        return _lists(_groups(context), site or "", kind or "")


def headline(groups: tuple[DueGroup, ...]) -> str:
    """How much is owed, in one sentence."""
    late = sum(len(g.lines) for g in groups if g.owed is Owed.LATE)
    now = sum(len(g.lines) for g in groups if g.owed in (Owed.DUE, Owed.OPEN))
    if late:
        more = f" and {counted(now, 'more', 'more')} may be done now" if now else ""
        return sentence(f"{counted(late, 'inspection')} {_be(late)} late{more}.")
    if now:
        return sentence(
            f"nothing is late; {counted(now, 'inspection')} may be done now."
        )
    if groups:
        first = groups[0].lines[0].due_on
        return f"Nothing is owed before {month(first)}."
    return "Nothing is owed."


def _be(n: int) -> str:
    return "is" if n == 1 else "are"


def _groups(context: AppContext) -> tuple[DueGroup, ...]:
    with context.store.read_session() as session:
        return show_register.due_list(session, context.clock.now())


def _kinds(lines: list[DueLine]) -> list[str]:
    return sorted({kind.value for due in lines for kind in due.line.kinds})


def _choice(key: str, label: str, values: list[str], chosen: str) -> Component:
    return html.Div(
        [
            html.Label(label, htmlFor=key),
            dcc.Dropdown(
                id=key, options=values, value=chosen or None, placeholder="all"
            ),
        ],
        className="choice",
    )


def _lists(groups: tuple[DueGroup, ...], site: str, kind: str) -> list[Component]:
    chosen = [
        (group, [due for due in group.lines if _is_chosen(due, site, kind)])
        for group in groups
    ]
    wanted = [(group, dues) for group, dues in chosen if dues]
    pressing = sum(group.month is None for group, _ in wanted)
    shown = wanted[: pressing + MONTHS_SHOWN]
    later = sum(len(dues) for _, dues in wanted[len(shown) :])
    parts: list[Component] = [
        headed(_heading(group), [entries([_entry(due) for due in dues])])
        for group, dues in shown
    ]
    if later:
        many = sentence(counted(later, "more inspection"))
        parts.append(html.P(f"{many} {_be(later)} owed after that.", className="quiet"))
    return parts or [html.P("Nothing is owed here.", className="lead")]


def _heading(group: DueGroup) -> str:
    return month(group.month) if group.month else _HEADINGS[group.owed]


def _is_chosen(due: DueLine, site: str, kind: str) -> bool:
    kinds = {k.value for k in due.line.kinds}
    return (not site or due.line.site == site) and (not kind or kind in kinds)


def _entry(due: DueLine) -> html.Li:
    line = due.line
    words: list[str | Component] = []
    if due.days_late > 0:
        words.append(html.Strong(f"{sentence(counted(due.days_late, 'day'))} late. "))
    words += [line.due_sentence + " ", *record_link(line.code)]
    if is_offered(Right.PLAN):
        later = f"/due/days?support={quote(line.code, safe='')}"
        words += [" · ", dcc.Link("put it off", href=later)]
    inspection = f"{line.due_kind.value} inspection" if line.due_kind else "inspection"
    place = f"{line.site}, {line.tree}, {line.species}. {sentence(inspection)}."
    return support_entry(line.code, place, words, line.standing)
