"""The map of a day's rounds with its words."""

from collections.abc import Sequence
from string import ascii_uppercase

from dash import html
from dash.development.base_component import Component

from dashboard.components.drawings import drawing
from dashboard.components.text import counted, listed
from dashboard.figures.day_map import DayWay, day_map

LETTERS = ascii_uppercase


def map_of(ways: Sequence[DayWay], names: Sequence[str]) -> Component | None:
    """The map, and which letter is whose; None if no stop has a place."""
    if not any(way.stops for way in ways):
        return None
    whose = listed([f"{a} is {name}" for a, name in zip(LETTERS, names, strict=False)])
    stops = sum(len(way.stops) for way in ways)
    words = f"Map of the day, north up: {counted(stops, 'place')} to go to; {whose}."
    homes = any(way.home is not None for way in ways)
    square = "The square is where days begin and end. " if homes else ""
    told = (
        f"{whose}; numbers are those of the list. {square}Ways are drawn straight, not "
        "by road."
    )
    return html.Div(
        [drawing(day_map(ways), words), html.P(told, className="quiet")],
        className="day-map",
    )


def label_of(letter: str, first: int, last: int) -> str:
    """What a mark is called: A2, or A2–4."""
    return f"{letter}{first}" if first == last else f"{letter}{first}–{last}"
