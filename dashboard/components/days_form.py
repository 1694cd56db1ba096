"""Forms for what is decided about days: put off, close, keep holidays, wish a crown."""

from collections.abc import Sequence
from datetime import date
from types import SimpleNamespace

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.entries import headed, support_link
from dashboard.components.form import field, text_input
from dashboard.components.offered import is_offered
from dashboard.components.tables import Cell, quiet_table
from dashboard.components.text import day
from monitor.domain.rights import Right
from monitor.services.planning.days_view import DaysView
from monitor.services.planning.deferrals import in_words

IDS = SimpleNamespace(
    off_code="days-off-code", off_until="days-off-until", off_why="days-off-why",
    off_name="days-off-name", off="days-off", off_back="days-off-back",
    off_answer="days-off-answer",
    shut_site="days-shut-site", shut_from="days-shut-from", shut_to="days-shut-to",
    shut_why="days-shut-why", shut="days-shut", shut_answer="days-shut-answer",
    open_which="days-open-which", open_why="days-open-why", open="days-open",
    open_answer="days-open-answer",
    holi_site="days-holi-site", holi_region="days-holi-region", holi="days-holi",
    holi_answer="days-holi-answer",
    hours_site="days-hours-site", hours_told="days-hours-told", hours="days-hours",
    hours_answer="days-hours-answer",
    crown_code="days-crown-code", crown_state="days-crown-state", crown="days-crown",
    crown_answer="days-crown-answer",
)  # fmt: skip
_STATES = {"leafless": "leafless", "in leaf": "in leaf", "": "in any state"}


def put_off_part(view: DaysView, code: str, name: str) -> Component:
    """Deferrals that stand, and the form for one more."""
    rows: list[list[Cell]] = [
        [support_link(one_code), in_words(entry)] for entry, one_code in view.deferrals
    ]
    fields = [
        field("Support", _choice(IDS.off_code, view.supports, code), key=IDS.off_code),
        field("Until", _day(IDS.off_until), key=IDS.off_until),
        field("Why", text_input(IDS.off_why), key=IDS.off_why,
              hint="Shown wherever the inspection is due."),
        field("Who answers for it", text_input(IDS.off_name, value=name),
              key=IDS.off_name),
    ]  # fmt: skip
    return headed(
        "Put an inspection off",
        [
            html.P(
                "Until half an interval after the latest day at most, and not after a "
                "grave finding, a doubtful reading or an event. It stays in sight and "
                "the next full inspection ends it.",
                className="quiet",
            ),
            _standing(rows, ("Support", "Put off"), "Inspections put off"),
            *_form(
                fields,
                _button("Put it off", IDS.off),
                _button("Take the newest one back", IDS.off_back, second=True),
                answer=IDS.off_answer,
            ),
        ],
        key="put-off",
    )


def closures_part(view: DaysView) -> Component:
    """Closures to come, closing a site and opening it again."""
    rows: list[list[Cell]] = [
        [site, f"{day(one.first_on)} to {day(one.last_on)}", one.reason]
        for one, site in view.closures
    ]
    names = {
        str(one.id): f"{site}, {day(one.first_on)} to {day(one.last_on)}"
        for one, site in view.closures
    }
    shut = [
        field("Site", _sites(IDS.shut_site, view), key=IDS.shut_site),
        field("First day", _day(IDS.shut_from), key=IDS.shut_from),
        field("Last day", _day(IDS.shut_to), key=IDS.shut_to),
        field("Why", text_input(IDS.shut_why), key=IDS.shut_why),
    ]
    again = [
        field("Which", dcc.Dropdown(id=IDS.open_which, options=names),
              key=IDS.open_which),
        field("Why", text_input(IDS.open_why), key=IDS.open_why),
    ]  # fmt: skip
    parts = [
        _standing(rows, ("Site", "Days", "Why"), "Sites closed"),
        *_form(shut, _button("Close it", IDS.shut), answer=IDS.shut_answer),
    ]
    reopen = _form(again, _button("Open it again", IDS.open), answer=IDS.open_answer)
    if reopen:
        summary = html.Summary("A site is open after all")
        parts.append(html.Details([summary, *reopen], hidden=not names))
    return headed("Close a site for some days", parts)


def holidays_part(view: DaysView) -> Component:
    """Whose public holidays each site keeps."""
    rows: list[list[Cell]] = [
        [site.name, site.code, site.holiday_region]
        for site in view.sites
        if site.holiday_region
    ]
    fields = [
        field("Site", _sites(IDS.holi_site, view), key=IDS.holi_site),
        field("Country, or a part of it", text_input(IDS.holi_region),
              key=IDS.holi_region, hint="ISO code: DE, DE-BY, GB-SCT. Empty for none."),
    ]  # fmt: skip
    return headed(
        "Public holidays",
        [
            html.P(
                "No visit is planned on them, unless the policy says so.",
                className="quiet",
            ),
            _standing(rows, ("Site", "Code", "Holidays of"), "Holidays kept"),
            *_form(fields, _button("Keep these", IDS.holi), answer=IDS.holi_answer),
        ],
    )


def hours_part(view: DaysView) -> Component:
    """When one can get in to each site."""
    rows: list[list[Cell]] = [
        [site.name, site.code, site.access_hours]
        for site in view.sites
        if site.access_hours
    ]
    fields = [
        field("Site", _sites(IDS.hours_site, view), key=IDS.hours_site),
        field("Open from and to", text_input(IDS.hours_told), key=IDS.hours_told,
              hint="Such as 10:00-15:00, by the clock at the site. Empty for any "
              "time."),
    ]  # fmt: skip
    return headed(
        "Hours of access",
        [
            html.P("Rounds are planned within them, on every day.", className="quiet"),
            _standing(rows, ("Site", "Code", "Open"), "Hours of access"),
            *_form(fields, _button("Keep them", IDS.hours), answer=IDS.hours_answer),
        ],
    )


def crowns_part(view: DaysView) -> Component:
    """How crowns are wanted for a look."""
    rows: list[list[Cell]] = [
        [support_link(code), wish.state.value if wish.state else ""]
        for wish, code in view.wishes
    ]
    fields = [
        field("Support", _choice(IDS.crown_code, view.supports, ""),
              key=IDS.crown_code),
        field(
            "The crown is wanted",
            dcc.Dropdown(id=IDS.crown_state, options=_STATES, value="leafless"),
            key=IDS.crown_state,
        ),
    ]  # fmt: skip
    return headed(
        "Crowns in leaf or leafless",
        [
            html.P(
                "Met inside the window of the inspection, or left and said. Cables are "
                "seen from the ground without leaves, vitality with them.",
                className="quiet",
            ),
            _standing(rows, ("Support", "Wanted"), "Crowns wanted"),
            *_form(fields, _button("Wish it", IDS.crown), answer=IDS.crown_answer),
        ],
    )


def day_said(text: object) -> date | None:
    """The day of a date field, None if it is empty or no day."""
    try:
        return date.fromisoformat(str(text)[:10])
    except ValueError:
        return None


def _standing(
    rows: Sequence[Sequence[Cell]], headings: Sequence[str], caption: str
) -> Component:
    if not rows:
        return html.P("None now.", className="quiet")
    return quiet_table(headings, rows, caption=caption)


def _choice(key: str, options: Sequence[str], value: str) -> Component:
    return dcc.Dropdown(id=key, options=list(options), value=value or None)


def _sites(key: str, view: DaysView) -> Component:
    names = {site.code: f"{site.name} ({site.code})" for site in view.sites}
    return dcc.Dropdown(id=key, options=names)


def _day(key: str) -> Component:
    return dcc.DatePickerSingle(
        id=key, display_format="D MMM YYYY", placeholder="choose", first_day_of_week=1
    )


def _form(fields: list[Component], *buttons: Component, answer: str) -> list[Component]:
    """Fields, buttons and where the answer stands; for those who plan."""
    if not is_offered(Right.PLAN):
        return []
    return [
        html.Div(fields, className="head-fields"),
        html.Div(list(buttons), className="ask buttons"),
        html.Div(id=answer, role="status"),
    ]


def _button(label: str, key: str, *, second: bool = False) -> Component:
    look = "second" if second else ""
    return html.Button(label, id=key, type="button", className=look)
