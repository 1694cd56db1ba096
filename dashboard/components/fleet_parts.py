"""The parts of the fleet page: sentences first, then quiet drawings and tables."""

import math
from collections.abc import Sequence

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.drawings import drawing
from dashboard.components.entries import support_link
from dashboard.components.tables import quiet_table
from dashboard.components.text import counted, sentence
from dashboard.figures.fleet_dots_chart import Dot, dots_chart
from dashboard.figures.fleet_lives_chart import Strip, lives_chart
from monitor.domain.percent import percent
from monitor.domain.quantities import SERIES_LABEL
from monitor.services.showing.fleet_ahead import YearAhead
from monitor.services.showing.fleet_lives import Survival
from monitor.services.showing.fleet_rates import GroupRate, Mover, unit_of
from monitor.services.showing.fleet_readers import Reader
from monitor.units import show, unit_sign

LISTED = 12
FEW_WORDS = "Hollow, dotted or marked “few”: too small a number to compare with others."


def lives_part(found: Sequence[Survival], *, what: str, ends: str) -> list[Component]:
    """Steps and their table."""
    if not found:
        return [html.P(f"No {what} is recorded yet.")]
    strips = [
        Strip(one.name, _count_words(one, ends), one.steps, one.is_few) for one in found
    ]
    label = f"Share of each group of {what}s that lasts, over years; told in the table."
    heads = ("Group", "How many", sentence(ends), "After 20 years", "Half last")
    rows = [
        (one.name, _number(one.count, few=one.is_few), str(one.ended), _at_20(one),
         _half(one))
        for one in found
    ]  # fmt: skip
    return [
        drawing(lives_chart(strips), label),
        quiet_table(heads, rows, caption=f"How long {what}s last"),
    ]


def rates_part(found: Sequence[GroupRate], series: str) -> list[Component]:
    """Mean rates of groups, with bounds."""
    unit = unit_of(series)
    dots = [
        Dot(one.name, one.rate, one.low, one.high, _rate_words(one, unit), one.is_few)
        for one in found
    ]
    figure = dots_chart(
        dots, axis=f"{unit_sign(unit)} a year, mean and 95 % bounds", mark=0.0,
        mark_words="still",
    )  # fmt: skip
    heads = ("Group", "Supports", "Series", "Mean a year", "95 % bounds")
    rows = [
        (one.name, _number(one.supports, few=one.is_few), str(one.series),
         _amounts(unit, one.rate)[0], _bounds(one.low, one.high, unit))
        for one in found
    ]  # fmt: skip
    label = f"Mean rate of {SERIES_LABEL[series]} by group; told in the table."
    return [drawing(figure, label), quiet_table(heads, rows, caption="Mean rates")]


def readers_part(found: Sequence[Reader]) -> list[Component]:
    """Scatter found over declared."""
    dots = [
        Dot(one.name, one.ratio, one.low, one.high,
            f"{one.name}: {one.ratio:.2f} × as declared, {one.compared} compared",
            one.is_few)
        for one in found
    ]  # fmt: skip
    figure = dots_chart(
        dots, axis="scatter found, over the scatter declared", mark=1.0,
        mark_words="as declared",
    )  # fmt: skip
    heads = ("Who or how", "Compared", "Supports", "Found / declared", "In words")
    rows = [
        (one.name, _number(one.compared, few=one.is_few), str(one.supports),
         _ratio(one), "noisier than the others, for certain" if one.is_unsteady else "")
        for one in found
    ]  # fmt: skip
    label = "Scatter of readings over the declared one; told in the table."
    return [drawing(figure, label), quiet_table(heads, rows, caption="Steadiness")]


def movers_part(found: Sequence[Mover]) -> list[Component]:
    """Series that move for certain."""
    if not found:
        return [html.P("No series moves for certain.")]
    heads = ("Support", "Member", "What", "A year", "Evidence", "Readings")
    rows = [
        (support_link(one.member.support),
         f"{one.member.code}, {one.line.mark}", SERIES_LABEL[one.line.series],
         _rate(one), _evidence(one.line.evidence), str(one.line.readings))
        for one in found[:LISTED]
    ]  # fmt: skip
    parts: list[Component] = [quiet_table(heads, rows, caption="What moves")]
    if len(found) > LISTED:
        parts.append(html.P(f"And {len(found) - LISTED} more.", className="quiet"))
    return parts


def ahead_part(years: Sequence[YearAhead]) -> list[Component]:
    """What each of the coming years brings."""
    heads = (
        "Year", "Parts at the end of their time", "Limits most likely reached",
        "Limits reached at the earliest",
    )  # fmt: skip
    rows = [
        (str(one.year), _some(one.worn), _some(one.likely), _some(one.soonest))
        for one in years
    ]
    return [
        quiet_table(heads, rows, caption="What comes due in ten years"),
        html.P(
            "Each support counts once, in the year of its first date; what should have "
            "happened before counts in the first year. “At the earliest” is the 5 % "
            "date.",
            className="quiet",
        ),
        html.P(dcc.Link("Visits, hours and money of the coming years", href="/plan")),
    ]


def chooser(
    label: str, options: Sequence[tuple[str, str]], chosen: str, address: str
) -> Component:
    """Links to the same page with another choice; the present one is marked."""
    links: list[Component | str] = [html.Span(f"{label}: ", className="quiet")]
    for value, words in options:
        if value == chosen:
            links.append(html.Strong(words, className="fleet-chosen"))
        else:
            href = address.format(value)
            links.append(dcc.Link(words, href=href, className="fleet-choice"))
    return html.P(links, className="fleet-chooser")


def _count_words(one: Survival, ends: str) -> str:
    few = ", few" if one.is_few else ""
    return f"{one.count}, {one.ended} {ends}{few}"


def _number(n: int, *, few: bool) -> str:
    return f"{n}, few" if few else str(n)


def _at_20(one: Survival) -> str:
    if one.at_20 is None:
        return "not watched so long"
    share, low, high = one.at_20
    return f"{percent(share)} ({percent(low)} to {percent(high)})"


def _half(one: Survival) -> str:
    if one.median_years is None:
        return f"longer than the {one.longest_years:.0f} years watched"
    return f"{counted(round(one.median_years), 'year')}"


def _rate_words(one: GroupRate, unit: str) -> str:
    rate = _amounts(unit, one.rate)[0]
    return f"{one.name}: {rate} a year, {one.supports} supports"


def _bounds(low: float | None, high: float | None, unit: str) -> str:
    if low is None or high is None:
        return "too few to say"
    return " to ".join(_amounts(unit, low, high))


def _amounts(unit: str, *values: float) -> list[str]:
    """Rates with two digits that tell something, alike for all of them."""
    most = max(abs(value) for value in values)
    digits = 1 - math.floor(math.log10(most)) if most > 0 else 0
    return [show(value, unit, digits=max(0, min(digits, 6))) for value in values]


def _ratio(one: Reader) -> str:
    if one.low is None or one.high is None:
        return f"{one.ratio:.2f}, too few for bounds"
    return f"{one.ratio:.2f} ({one.low:.2f} to {one.high:.2f})"


def _rate(one: Mover) -> str:
    unit, line = unit_of(one.line.series), one.line
    if line.rate is None or line.rate_low is None or line.rate_high is None:
        return "not known"
    rate, low, high = _amounts(unit, line.rate, line.rate_low, line.rate_high)
    return f"{rate} ({low} to {high})"


def _evidence(value: float | None) -> str:
    if value is None:
        return ""
    return f"{value:,.0f} : 1" if value < 1e6 else "over a million : 1"


def _some(n: int) -> str:
    return str(n) if n else "none"
