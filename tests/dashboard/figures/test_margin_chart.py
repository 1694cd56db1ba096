"""The drawing of a margin: ink, fan, a named line at all that is allowed."""

from datetime import date

import pytest

from dashboard.figures.margin_chart import MarginSetting, margin_chart

TODAY = date(2026, 6, 1)
YEARS = [
    (date(2010, 6, 1), 0.2, 0.3, 0.4),
    (TODAY, 0.3, 0.5, 0.8),
    (date(2046, 6, 1), 0.4, 0.7, 1.1),
]


def words(figure):
    return [note.text for note in figure.layout.annotations]


def test_the_past_is_in_ink_and_the_fan_begins_today():
    figure = margin_chart(YEARS, MarginSetting(TODAY))

    ink = [t for t in figure.data if t.line.color == "rgb(30, 39, 33)"]
    filled = [t for t in figure.data if t.fill == "tonexty"]
    assert [list(t.y) for t in ink] == [[30.0, 50.0]]
    assert all(t.x[0] == TODAY for t in filled)
    assert [list(t.y) for t in filled] == [[50.0, 70.0], [80.0, 110.00000000000001]]


def test_the_line_at_one_is_named_at_its_end():
    figure = margin_chart(YEARS, MarginSetting(TODAY))

    line = next(s for s in figure.layout.shapes if s.y0 == s.y1 == 100.0)
    assert line.x1 == "2046-06-01"
    assert "allowed" in words(figure)
    assert {"5\u2009%", "half", "95\u2009%"} <= set(words(figure))


def test_what_lies_beyond_the_axis_is_marked():
    beyond = [*YEARS[:2], (date(2046, 6, 1), 0.5, 2.0, 99.0)]

    figure = margin_chart(beyond, MarginSetting(TODAY))

    top = figure.layout.yaxis.range[1]
    assert top < 9900
    assert all(max(t.y) <= top for t in figure.data)
    assert "95\u2009% ↑" in words(figure)


def test_the_axis_always_shows_all_that_is_allowed():
    low = [(on, a / 100, b / 100, c / 100) for on, a, b, c in YEARS]

    assert margin_chart(low, MarginSetting(TODAY)).layout.yaxis.range[1] >= 100.0


def test_what_if_stands_beside_the_line_as_it_is():
    asked = [(on, 1.5 * a, 1.5 * b, 1.5 * c) for on, a, b, c in YEARS]

    figure = margin_chart(YEARS, MarginSetting(TODAY, tuple(asked)))

    dashed = [t for t in figure.data if t.line.dash == "4px,4px"]
    assert [list(t.y) for t in dashed] == [[50.0, 70.0]]
    assert figure.data[-1].y[0] == pytest.approx(75.0)
    assert "as it is" in words(figure)


@pytest.mark.parametrize(
    ("first", "named"),
    # by hand: the finest round step with no more than three names
    [(1964, ["2000-01-01", "2050-01-01"]),
     (2013, ["2020-01-01", "2040-01-01", "2060-01-01"])],
)  # fmt: skip
def test_few_round_years_stand_upright(first, named):
    years = [(date(year, 6, 1), 0.3, 0.4, 0.6) for year in (first, 2026, 2066)]

    axis = margin_chart(years, MarginSetting(date(2026, 6, 1))).layout.xaxis

    assert list(axis.tickvals) == named
    assert axis.tickangle == 0
