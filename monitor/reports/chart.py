"""One quantity through time as a drawing: readings, noise, limits, forecast.

Written as SVG by hand: it sets in the faces of the paper and takes a millisecond.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from html import escape

from monitor.reports.axis import Scale, label, spread, ticks, year_ticks

WIDTH, HEIGHT = 459.0, 148.0
LEFT, RIGHT, TOP, BOTTOM = 30.0, 78.0, 16.0, 18.0
TEXT = 8.2
INK, QUIET, RULE, BARK = "#141414", "#5c5c5c", "#d9d9d9", "#7A4526"
_INSIDE = (
    f'<clipPath id="inside"><rect x="{LEFT}" y="{TOP}" width="{WIDTH - LEFT - RIGHT}" '
    f'height="{HEIGHT - TOP - BOTTOM}"/></clipPath>'
)
SHADES = ("#E4CDB9", "#F0E2D6")
"""Of the forecast: from 5 % to half, from half to 95 %."""

FanRow = tuple[date, float, float, float]
"""A day with the 5, 50 and 95 % levels."""

FAN_WORDS = ("5\u202f%", "half", "95\u202f%")


@dataclass(frozen=True, slots=True)
class Dot:
    """One reading.

    Attributes
    ----------
    noise : two standard deviations [unit]
    is_past : before the last work that broke the line
    """

    on: date
    value: float
    noise: float
    is_doubted: bool = False
    is_past: bool = False


@dataclass(frozen=True, slots=True)
class Limit:
    """A level with its name, from the day it counts."""

    words: str
    level: float
    from_on: date
    is_act: bool


@dataclass(frozen=True, slots=True)
class Chart:
    """What is drawn.

    Attributes
    ----------
    unit : as it is printed
    span : first and last day of the axis
    fan : the forecast
    misses : days of looks that brought no number
    breaks : day and number of works after which the series starts anew
    """

    unit: str
    span: tuple[date, date]
    today: date
    dots: tuple[Dot, ...]
    limits: tuple[Limit, ...] = ()
    fan: tuple[FanRow, ...] = ()
    misses: tuple[date, ...] = ()
    breaks: tuple[tuple[date, str], ...] = ()


def chart(drawn: Chart) -> str:
    """The SVG of a chart with at least one reading."""
    fan = _until(drawn.fan, drawn.span[1])
    low, high = _reach(drawn, fan)
    x = Scale(drawn.span[0].toordinal(), drawn.span[1].toordinal(), LEFT, WIDTH - RIGHT)
    y = Scale(low, high, HEIGHT - BOTTOM, TOP)
    parts = [
        *_grid(drawn, x, y),
        '<g clip-path="url(#inside)">',
        *_forecast(fan, x, y),
        "</g>",
        *_limit_lines(drawn, x, y),
        *_uprights(drawn, x),
        *_ends(drawn, fan, y),
        *(_dot(dot, x, y) for dot in drawn.dots),
        *(_miss(on, x) for on in drawn.misses),
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" '
        f'font-family="Libertinus Serif" font-size="{TEXT}">'
        f"{_INSIDE}{''.join(parts)}</svg>"
    )


def _reach(drawn: Chart, fan: Sequence[FanRow]) -> tuple[float, float]:
    """All readings with their bars, the limits, and the near forecast."""
    levels = [limit.level for limit in drawn.limits]
    low = min([*levels, *(dot.value - dot.noise for dot in drawn.dots)])
    high = max([*levels, *(dot.value + dot.noise for dot in drawn.dots)])
    room = 0.25 * ((high - low) or 1.0)
    if fan:
        low = max(min(low, *(row[1] for row in fan)), low - room)
        high = min(max(high, *(row[3] for row in fan)), high + room)
    pad = 0.06 * ((high - low) or 1.0)
    return low - pad, high + pad


def _grid(drawn: Chart, x: Scale, y: Scale) -> list[str]:
    parts = []
    marks = ticks(y.low, y.high, 4)
    step = marks[1] - marks[0] if len(marks) > 1 else abs(marks[0]) or 1.0
    for value in marks:
        place = y.at(value)
        parts.append(_line((LEFT, place), (WIDTH - RIGHT, place), RULE, 0.5))
        parts.append(_text(label(value, step), LEFT - 4, place + 2.7, "end", QUIET))
    base = HEIGHT - BOTTOM
    parts.append(_line((LEFT, base), (WIDTH - RIGHT, base), INK, 0.7))
    for year in year_ticks(*drawn.span, 8):
        place = x.at(date(year, 1, 1).toordinal())
        parts.append(_line((place, base), (place, base + 3), INK, 0.7))
        parts.append(_text(str(year), place, base + 11.5, "middle", QUIET))
    return [*parts, _text(drawn.unit, 0, TOP - 7, "start", QUIET)]


def _forecast(fan: Sequence[FanRow], x: Scale, y: Scale) -> list[str]:
    if len(fan) < 2:
        return []
    lines = [
        [f"{x.at(row[0].toordinal()):.1f},{y.at(row[1:][n]):.1f}" for row in fan]
        for n in (0, 1, 2)
    ]
    shades = [
        f'<polygon points="{" ".join([*one, *reversed(other)])}" fill="{shade}"/>'
        for one, other, shade in zip(lines, lines[1:], SHADES, strict=False)
    ]
    middle = f'<polyline points="{" ".join(lines[1])}" fill="none" stroke="{BARK}"/>'
    return [*shades, middle]


def _limit_lines(drawn: Chart, x: Scale, y: Scale) -> list[str]:
    return [
        _line(
            (x.at(limit.from_on.toordinal()), y.at(limit.level)),
            (WIDTH - RIGHT, y.at(limit.level)),
            INK,
            1.0 if limit.is_act else 0.8,
            "" if limit.is_act else "5 3",
        )
        for limit in drawn.limits
    ]


def _uprights(drawn: Chart, x: Scale) -> list[str]:
    """Today, and where the series starts anew; crowded names are left out."""
    parts, last = [], -1e9
    named = sorted([*drawn.breaks, (drawn.today, "today")])
    for on, words in named:
        place = x.at(on.toordinal())
        dash = "" if words == "today" else "1 2"
        parts.append(_line((place, TOP), (place, HEIGHT - BOTTOM), QUIET, 0.6, dash))
        if place - last > 13 or words == "today":
            parts.append(_text(words, place, TOP - 3, "middle", QUIET))
            last = place
    return parts


def _ends(drawn: Chart, fan: Sequence[FanRow], y: Scale) -> list[str]:
    """Names of lines at their right ends, pushed apart where they would touch."""
    named = [(limit.words, limit.level, INK) for limit in drawn.limits]
    if len(fan) > 1:
        ends = zip(FAN_WORDS, fan[-1][1:], strict=True)
        named += [(words, level, BARK) for words, level in ends if y.holds(level)]
    places = spread([y.at(level) for _, level, _ in named], gap=9.4)
    return [
        _text(words, WIDTH - RIGHT + 4, place + 2.7, "start", colour)
        for (words, _, colour), place in zip(named, places, strict=True)
    ]


def _dot(dot: Dot, x: Scale, y: Scale) -> str:
    colour = QUIET if dot.is_past else INK
    fill = "#ffffff" if dot.is_doubted else colour
    place = x.at(dot.on.toordinal())
    low, high = y.at(dot.value - dot.noise), y.at(dot.value + dot.noise)
    return (
        f"{_line((place, low), (place, high), colour, 0.6)}"
        f'<circle cx="{place:.1f}" cy="{y.at(dot.value):.1f}" r="2.1" fill="{fill}" '
        f'stroke="{colour}" stroke-width="0.9"/>'
    )


def _miss(on: date, x: Scale) -> str:
    place, base = x.at(on.toordinal()), HEIGHT - BOTTOM
    return _line((place - 2.4, base - 2.4), (place + 2.4, base + 2.4), BARK, 1.1) + (
        _line((place - 2.4, base + 2.4), (place + 2.4, base - 2.4), BARK, 1.1)
    )


def _until(fan: Sequence[FanRow], last: date) -> list[FanRow]:
    """The forecast as far as the axis goes, its end interpolated."""
    kept = [row for row in fan if row[0] <= last]
    rest = fan[len(kept) :]
    if not kept or not rest:
        return kept
    start, end = kept[-1], rest[0]
    share = (last - start[0]) / (end[0] - start[0])
    low, mid, high = (
        a + share * (b - a) for a, b in zip(start[1:], end[1:], strict=True)
    )
    return [*kept, (last, low, mid, high)]


def span_of(start: date, today: date, end: date | None) -> tuple[date, date]:
    """The years to show: from the start to its end, or to half as long ahead again."""
    year = timedelta(days=365)
    last = (
        end + year
        if end
        else today + min(max((today - start) / 2, 3 * year), 25 * year)
    )
    return start - (last - start) / 40, last


def _line(
    a: tuple[float, float], b: tuple[float, float], colour: str, width: float,
    dash: str = "",
) -> str:  # fmt: skip
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{a[0]:.1f}" y1="{a[1]:.1f}" x2="{b[0]:.1f}" y2="{b[1]:.1f}" '
        f'stroke="{colour}" stroke-width="{width:g}"{dashes}/>'
    )


def _text(words: str, x: float, y: float, anchor: str, colour: str) -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" fill="{colour}">'
        f"{escape(words)}</text>"
    )
