"""How our own forecasts did, on this record: said before anyone has to ask."""

from types import SimpleNamespace

from dash import Dash, html
from dash.development.base_component import Component

from dashboard.components.alerts import shown_as_alert
from dashboard.components.tables import quiet_table
from dashboard.components.text import counted, day
from dashboard.context import AppContext
from monitor.clock import local_date
from monitor.domain.calibration import Calibration, GroupAudit
from monitor.domain.quantities import SERIES_LABEL
from monitor.services.assessing.calibrate import latest_calibration

NAME, PATH = "forecasts", "/forecasts"
QUERY = ()
IDS = SimpleNamespace()

_ORDER = ("refused", "widened", "labelled", "trusted", "untried")
_FOLLOWS = {
    "refused": "no dates given",
    "widened": "widened",
    "labelled": "with care",
    "trusted": "as they stand",
    "untried": "too few to judge",
}
_ABOUT = (
    "Each night the analysis forgets the newest reading of every series, foretells it "
    "from the earlier ones with a 90 % interval, and looks whether it fell inside; "
    "then again from the first half of each record only. Nine in ten should. Two "
    "simple rules are tried beside it: “as last time”, and “as last time plus the mean "
    "rate”."
)


def title() -> str:
    """Title of the page."""
    return "How our forecasts did"


@shown_as_alert
def layout(context: AppContext) -> Component:
    """The answer, how it was found, and every group with what follows for it."""
    with context.store.read_session() as session:
        found = latest_calibration(session)
    if found is None:
        return html.Article(
            [
                html.H1("Our forecasts have not been tried yet."),
                html.P("The nightly job tries them once there are readings."),
            ]
        )
    on = local_date(found.fitted_at, context.settings.timezone)
    return html.Article(
        [
            html.H1(headline(found)),
            html.P(f"Tried on {day(on)}, on {counted(found.readings, 'reading')}."),
            html.P(_ABOUT, className="quiet"),
            _table(found),
        ]
    )


def register(app: Dash, context: AppContext) -> None:
    """Nothing on this page changes what is asked."""


def headline(found: Calibration) -> str:
    """How often forecasts held, in one sentence."""
    tried = sum(audit.tried for audit in found.audits)
    held = sum(audit.held for audit in found.audits)
    if not tried:
        return "There are too few readings to try our forecasts on."
    held_back = sum(a.verdict in {"refused", "widened"} for a in found.audits)
    text = f"{held} of {tried} readings fell inside their 90 % forecast"
    if not held_back:
        return f"{text}."
    return f"{text}; {counted(held_back, 'kind')} of forecast held back."


def _table(found: Calibration) -> Component:
    audits = sorted(
        found.audits,
        key=lambda a: (_ORDER.index(a.verdict), SERIES_LABEL[a.series], a.kind),
    )
    return quiet_table(
        (
            "What is read",
            "Next reading held",
            "From half the record",
            "Noise found",
            "Used",
            "In words",
        ),
        [_row(audit) for audit in audits],
        caption="How forecasts of each kind of reading did",
    )


def _row(audit: GroupAudit) -> tuple[str, ...]:
    noise = audit.noise_ratio
    return (
        f"{SERIES_LABEL[audit.series]} of a {audit.kind}",
        f"{audit.held} of {audit.tried}",
        f"{audit.half_held} of {audit.half_tried}",
        "not known" if noise is None else f"{noise:.1f} × as declared",
        _FOLLOWS[audit.verdict],
        audit.sentence,
    )
