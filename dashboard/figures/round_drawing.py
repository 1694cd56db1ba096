"""A day's round as a plain drawing: where the stops lie and how they follow."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape
from math import cos, radians
from urllib.parse import quote

WIDTH, HEIGHT, EDGE = 320.0, 220.0, 26.0
_STYLE = (
    "<style>text{font:600 12px system-ui,sans-serif;text-anchor:middle;"
    "dominant-baseline:central;fill:#fbf8f1}.way{fill:none;stroke:#7a4526;"
    "stroke-width:1.6;stroke-linejoin:round}.stop{fill:#1e2721}.home{fill:#fbf8f1;"
    "stroke:#1e2721;stroke-width:1.6}.note{fill:#535d56;font-weight:400}"
    "@media(prefers-color-scheme:dark){text{fill:#171c19}.way{stroke:#e0a27c}"
    ".stop{fill:#ece7da}.home{fill:#171c19;stroke:#ece7da}.note{fill:#a7afa6}}"
    "</style>"
)


@dataclass(frozen=True, slots=True)
class Spot:
    """A place on the drawing with the words in its mark.

    Attributes
    ----------
    latitude, longitude : WGS 84 [deg]
    """

    latitude: float
    longitude: float
    label: str


def round_drawing(home: Spot, spots: Sequence[Spot]) -> str:
    """Address of a drawing, north up, ways drawn straight; to scale both ways."""
    across, up = _scaled(home, spots)
    points = [(across(spot), up(spot)) for spot in (home, *spots)]
    way = " ".join(f"{x:.1f},{y:.1f}" for x, y in [*points, points[0]])
    x0, y0 = points[0]
    marks = [
        _mark(x, y, spot.label) for spot, (x, y) in zip(spots, points[1:], strict=True)
    ]
    drawn = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {HEIGHT:g}">'
        f'{_STYLE}<polyline class="way" points="{way}"/>'
        f'<rect class="home" x="{x0 - 6:.1f}" y="{y0 - 6:.1f}" width="12" height="12"/>'
        f"{''.join(marks)}"
        f'<text class="note" x="{WIDTH - 16:g}" y="14">N ↑</text></svg>'
    )
    return f"data:image/svg+xml,{quote(drawn)}"


def _mark(x: float, y: float, label: str) -> str:
    """A disc with its number, drawn out where stops share a place."""
    half = max(10.0, 4.0 * len(label) + 4.0)
    return (
        f'<rect class="stop" x="{x - half:.1f}" y="{y - 10:.1f}" rx="10" '
        f'width="{2 * half:.1f}" height="20"/>'
        f'<text x="{x:.1f}" y="{y:.1f}">{escape(label)}</text>'
    )


def _scaled(
    home: Spot, spots: Sequence[Spot]
) -> tuple[Callable[[Spot], float], Callable[[Spot], float]]:
    """From a spot to its place across and down the drawing."""
    every = (home, *spots)
    lats = [spot.latitude for spot in every]
    squeeze = cos(radians(sum(lats) / len(lats)))
    xs = [spot.longitude * squeeze for spot in every]
    span = max(
        (max(xs) - min(xs)) / (WIDTH - 2 * EDGE),
        (max(lats) - min(lats)) / (HEIGHT - 2 * EDGE),
        1e-6,
    )
    mid_x, mid_y = (max(xs) + min(xs)) / 2, (max(lats) + min(lats)) / 2
    return (
        lambda spot: WIDTH / 2 + (spot.longitude * squeeze - mid_x) / span,
        lambda spot: HEIGHT / 2 - (spot.latitude - mid_y) / span,
    )
