"""Looks, works and events along the shared time axis."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from dashboard.figures.sketch import Sketch
from dashboard.figures.theme import (
    BARK,
    INK,
    LEFT,
    MUTED,
    RIGHT,
    base_figure,
    day,
    time_axis,
)


@dataclass(frozen=True, slots=True)
class RailFlag:
    """One work or event, by number; its words stand in the list beneath."""

    number: int
    on: date
    what: str
    label: str


def time_rail(
    looks: Sequence[date], flags: Sequence[RailFlag], span: tuple[date, date]
) -> Sketch:
    """A tick for every look, a numbered flag for every work and event."""
    sketch = base_figure(104, margin={"l": LEFT, "r": RIGHT, "t": 18, "b": 26})
    sketch.layout.update(
        xaxis=time_axis(span),
        yaxis={"range": [0, 2], "visible": False, "fixedrange": True},
    )
    sketch.scatter(
        x=list(looks), y=[0.45] * len(looks), mode="markers",
        marker={"symbol": "line-ns", "size": 12, "line": {"color": INK, "width": 1.4}},
        text=[f"looked at on {day(on)}" for on in looks],
        hovertemplate="%{text}<extra></extra>", name="looks",
    )  # fmt: skip
    for what, symbol in (("work", "triangle-right"), ("event", "diamond")):
        chosen = [flag for flag in flags if flag.what == what]
        sketch.scatter(
            x=[flag.on for flag in chosen], y=[1.4] * len(chosen), mode="markers",
            marker={"symbol": symbol, "size": 11, "color": BARK},
            text=[f"{flag.number}: {flag.label}, {day(flag.on)}" for flag in chosen],
            hovertemplate="%{text}<extra></extra>", name=what,
        )  # fmt: skip
    for flag, lift in zip(flags, _lifts(flags, span), strict=True):
        sketch.words(
            str(flag.number),
            x=flag.on.isoformat(),
            y=1.4,
            yanchor="bottom",
            yshift=6 + lift,
            font={"color": BARK, "size": 11},
        )
    for label, y in (("looked", 0.45), ("done or met", 1.4)):
        sketch.words(
            label,
            x=1,
            xref="paper",
            y=y,
            xanchor="left",
            xshift=5,
            font={"color": MUTED, "size": 11},
        )
    return sketch


def _lifts(flags: Sequence[RailFlag], span: tuple[date, date]) -> list[float]:
    """Lift every other number of a crowd a little. [px]"""
    close = (span[1] - span[0]).days / 45
    lifts: list[float] = []
    for n, flag in enumerate(flags):
        is_crowded = n > 0 and (flag.on - flags[n - 1].on).days < close
        lifts.append(9.0 if is_crowded and lifts[-1] == 0 else 0.0)
    return lifts
