"""Draw what three posts of the demo carry, from as built to forty years ahead.

Run it from the top of the repository where the demo is loaded:
python -m demo_data.margin_pictures [FOLDER]
"""

import sys
from pathlib import Path
from textwrap import fill

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from monitor.clock import SystemClock
from monitor.services.margins.margins import margins_of
from monitor.services.margins.member_margin import MemberMargin
from monitor.services.margins.told import ahead_words, today_words
from monitor.services.margins.view import HORIZON_YEARS, member_case, years_of
from monitor.services.showing.support import find_support
from monitor.settings import from_environ
from monitor.store import Session, Store

FOLDER = Path(__file__).parent / "pictures"
POSTS = {
    "P-12": "Harbour Cedar, post of P-12",
    "J-02": "Schoolyard Lime, post of J-02",
    "P-41": "Chapel Row Plane, post of P-41",
}
PAPER, INK, MUTED, RULE = "#FBF8F1", "#1E2721", "#5B655E", "#DAD3C3"
BARK, ACT, FAN = "#7A4526", "#943E1A", "#C48D68"
_LEAST_TOP, _MOST_TOP = 125.0, 250.0
_SIZE_IN, _DPI = (9.0, 4.6), 150


def main() -> None:
    """Write one picture a post."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else FOLDER
    store = Store(from_environ().url)
    for code, title in POSTS.items():
        with store.read_session() as session:
            margin = yearly_margin(session, code)
        figure = picture(margin, title)
        figure.savefig(folder / f"margin-{code}.png", dpi=_DPI, facecolor=PAPER)
    store.close()


def yearly_margin(session: Session, code: str) -> MemberMargin:
    """The margin of the first post of a support, year by year."""
    support = find_support(session, code)
    case = member_case(session, support.id, "P1", SystemClock().now())
    if case is None:
        raise SystemExit(f"No post P1 stands under {code}; is the demo loaded?")
    first = years_of(case, HORIZON_YEARS)[0]
    years = np.union1d([first], np.arange(np.ceil(first), HORIZON_YEARS + 1.0))
    return margins_of([case], years)[0]


def picture(margin: MemberMargin, title: str) -> Figure:
    """The years of one post: ink as it was, a fan ahead, a line at what is allowed."""
    figure = Figure(figsize=_SIZE_IN, facecolor=PAPER)
    axes = figure.add_axes((0.07, 0.15, 0.82, 0.58))
    on = np.array(margin.years) + margin.case.known.today.year
    low, half, high = 100.0 * np.array((margin.low, margin.use, margin.high))
    now = margin.at(0.0)
    axes.plot(on[: now + 1], half[: now + 1], color=INK, linewidth=1.8)
    axes.fill_between(on[now:], low[now:], half[now:], color=FAN, alpha=0.45, lw=0)
    axes.fill_between(on[now:], half[now:], high[now:], color=FAN, alpha=0.25, lw=0)
    axes.plot(on[now:], half[now:], color=BARK, linewidth=1.8)
    top = min(max(_LEAST_TOP, 1.08 * float(high.max())), _MOST_TOP)
    axes.set_xlim(on[0], on[-1])
    axes.set_ylim(0.0, top)
    _dress(axes)
    _mark_today(axes, on[now])
    _name_ends(axes, (low[-1], half[-1], high[-1]))
    words = fill(f"{today_words(margin)} {ahead_words(margin)}", 118)
    figure.text(0.07, 0.93, title, color=INK, fontsize=13, family="serif")
    figure.text(0.07, 0.905, words, color=MUTED, fontsize=8.5, va="top")
    note = f"Per cent of what is allowed. {margin.caution}"
    figure.text(0.07, 0.035, note, color=MUTED, fontsize=8.5)
    return figure


def _dress(axes: Axes) -> None:
    """Quiet axes, and the line of what is allowed."""
    axes.axhline(100.0, color=ACT, linewidth=1.3)
    axes.tick_params(colors=MUTED, labelsize=9, length=0)
    axes.locator_params(axis="x", integer=True)
    axes.set_ylabel("%", color=MUTED, rotation=0, loc="top")
    axes.grid(axis="y", color=RULE, linewidth=0.8)
    axes.set_axisbelow(True)
    axes.set_facecolor(PAPER)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
    axes.spines["bottom"].set_color(RULE)


def _mark_today(axes: Axes, on: float) -> None:
    axes.axvline(on, color=MUTED, linewidth=0.8)
    axes.annotate(
        "today", (on, 1.0), xycoords=("data", "axes fraction"), xytext=(0, 4),
        textcoords="offset points", color=MUTED, fontsize=8.5, ha="center",
    )  # fmt: skip


def _name_ends(axes: Axes, levels: tuple[float, float, float]) -> None:
    """Names at the right ends of lines; an arrow where a line left the picture."""
    top = axes.get_ylim()[1]
    ends = [("allowed", 100.0, ACT)] + [
        (name, level, BARK)
        for name, level in zip(("5 %", "half", "95 %"), levels, strict=True)
    ]
    for (name, level, colour), seat in zip(ends, _apart(ends, top), strict=True):
        axes.annotate(
            name + (" ↑" if level > top else ""), (1.0, seat),
            xycoords=("axes fraction", "data"), xytext=(6, -3),
            textcoords="offset points", color=colour, fontsize=9,
        )  # fmt: skip


def _apart(ends: list[tuple[str, float, str]], top: float) -> list[float]:
    """Where names sit: at their lines, down from the top where they would touch."""
    gap, last, seats = 0.065 * top, 1.06 * top, [0.0] * len(ends)
    for place in sorted(range(len(ends)), key=lambda n: (-ends[n][1], -n)):
        last = seats[place] = min(ends[place][1], last - gap)
    return seats


if __name__ == "__main__":
    main()
