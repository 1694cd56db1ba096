"""Drawings are pure: the same frames give the same figure, and nothing is lost."""

import math
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.figures.plan_path import INSIDE_95, PlanSetting, plan_path
from dashboard.figures.series_chart import LimitLine, Setting, series_chart
from dashboard.figures.theme import PAPER, PLOT_PX, empty_figure, spread
from dashboard.figures.time_rail import RailFlag, time_rail
from dashboard.figures.wound_rings import wound_rings

START = date(2010, 5, 1)
SETTING = Setting("mm", (date(2010, 1, 1), date(2035, 1, 1)), date(2026, 6, 1))
NO_MISSES = pd.DataFrame({"on": [], "answer": [], "reason": []})


def some_points(*values: float, doubted: int | None = None) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "on": [START + timedelta(days=365 * n) for n in range(len(values))],
            "value": values,
            "sd": 0.5,
            "doubted": [n == doubted for n in range(len(values))],
            "stretch": 0,
            "given": [f"{v} mm" for v in values],
            "inspector": "Ines",
        }
    )


def chart(points: pd.DataFrame, **parts):
    fan = parts.get("fan", ())
    limits = parts.get("limits", ())
    misses = parts.get("misses", NO_MISSES)
    return series_chart(
        points, misses, fan, limits, parts.get("setting", SETTING)
    ).figure()


def texts(figure) -> list[str]:
    return [note.text for note in figure.layout.annotations]


def test_a_chart_without_data_is_a_sentence():
    figure = chart(some_points())

    assert texts(figure) == ["Nothing has been measured here yet."]
    assert not figure.data


def test_readings_carry_bars_of_two_standard_deviations():
    figure = chart(some_points(1.0, 2.0))

    (readings,) = figure.data
    assert list(readings.y) == [1.0, 2.0]
    assert list(readings.error_y.array) == [1.0, 1.0]
    assert "1 May 2010: 1.0\u2009mm ± 1.0\u2009mm" in readings.text[0]


def test_a_doubted_reading_is_hollow():
    figure = chart(some_points(1.0, 9.0, doubted=1))

    hollow = [trace for trace in figure.data if trace.name == "doubted"]
    assert [list(trace.y) for trace in hollow] == [[9.0]]
    assert hollow[0].marker.color == PAPER


def test_limits_are_named_at_the_right_end_with_their_unit():
    limits = [LimitLine("watch", 3.0, START), LimitLine("act", 8.0, START)]
    figure = chart(some_points(1.0), limits=limits)

    assert {"watch 3.0\u2009mm", "act 8.0\u2009mm"} <= set(texts(figure))
    named = [n for n in figure.layout.annotations if n.text.startswith("act")]
    assert (named[0].xref, named[0].x) == ("paper", 1)
    assert figure.layout.showlegend is False


def test_the_scale_shows_every_limit_and_every_reading_with_its_bar():
    limits = [LimitLine("act", 80.0, START)]
    low, high = chart(some_points(-4.0, 1.0), limits=limits).layout.yaxis.range

    assert low <= -5.0
    assert high >= 80.0


def test_a_wild_forecast_does_not_squeeze_the_readings():
    fan = [(date(2026, 1, 1), 1, 2, 3), (date(2035, 1, 1), -900.0, 2.0, 900.0)]
    low, high = chart(some_points(1.0, 2.0), fan=fan).layout.yaxis.range

    assert high - low < 10


def test_the_forecast_ends_with_the_axis_by_interpolation():
    fan = [(date(2030, 1, 1), 0.0, 2.0, 4.0), (date(2040, 1, 1), 10.0, 12.0, 14.0)]
    figure = chart(some_points(1.0), fan=fan)

    half = next(trace for trace in figure.data if trace.name == "half")
    assert half.x[-1] == date(2035, 1, 1)
    assert half.y[-1] == pytest.approx(7.0, abs=0.01)  # by hand, half way


def test_the_forecast_is_named_once_where_it_is_asked_for():
    fan = [(date(2026, 1, 1), 1, 2, 3), (date(2034, 1, 1), 1, 3, 5)]
    named = Setting("mm", SETTING.span, SETTING.today, fan_words=True)

    assert {"5\u2009%", "half", "95\u2009%"} <= set(
        texts(chart(some_points(1.0), fan=fan, setting=named))
    )
    assert "half" not in texts(chart(some_points(1.0), fan=fan))


def test_a_look_that_brought_no_number_is_marked_and_named():
    misses = pd.DataFrame(
        {"on": [date(2020, 1, 1)], "answer": ["could not reach"], "reason": ["no lift"]}
    )
    figure = chart(some_points(1.0), misses=misses)

    cross = next(trace for trace in figure.data if trace.name == "no number")
    assert cross.text[0] == "1 January 2020: could not reach, no lift"
    assert "could not reach" in texts(figure)


def test_works_too_close_to_stand_apart_share_one_label():
    breaks = (
        (date(2015, 1, 1), "1"),
        (date(2020, 1, 1), "2"),
        (date(2020, 3, 1), "3"),
    )
    setting = Setting("mm", SETTING.span, SETTING.today, breaks=breaks)
    figure = chart(some_points(1.0), setting=setting)

    assert {"1", "2, 3"} <= set(texts(figure))
    assert sum(shape.line.dash == "dot" for shape in figure.layout.shapes) == 3


def test_a_figure_does_not_change_its_frames():
    points = some_points(1.0, 2.0)
    before = points.copy()
    chart(points)

    pd.testing.assert_frame_equal(points, before)


def test_the_same_frames_give_the_same_figure():
    points = some_points(1.0, 2.0, 4.0)

    assert chart(points).to_json() == chart(points).to_json()


@given(
    st.lists(st.floats(0, 100), min_size=1, max_size=6),
    st.floats(4, 20),
)
def test_labels_never_touch_and_keep_their_order(levels, gap_px):
    reach = (0.0, 100.0)
    shifts = spread(levels, reach, gap_px=gap_px)

    px = [v * PLOT_PX / 100 + s for v, s in zip(levels, shifts, strict=True)]
    in_order = [p for _, _, p in sorted(zip(levels, range(9), px, strict=False))]
    assert all(b - a >= gap_px - 1e-6 for a, b in pairwise(in_order))


def plan(points: pd.DataFrame, **parts):
    setting = {
        "bearing_deg": 0.0, "length_m": 4.0, "baseline": (0.0, 0.0), "watch": 3.0,
        "act": 6.67, "position": None,
    }  # fmt: skip
    return plan_path(points, PlanSetting(**{**setting, **parts})).figure()


def tilts(*pairs: tuple[float, float]) -> pd.DataFrame:
    points = some_points(*(math.hypot(*pair) for pair in pairs))
    return points.assign(x=[x for x, _ in pairs], y=[y for _, y in pairs])


def path_of(figure) -> tuple[list[float], list[float]]:
    path = next(trace for trace in figure.data if trace.name == "path")
    return list(path.x), list(path.y)


@pytest.mark.parametrize(
    ("bearing", "east", "north"),
    [  # by hand: a lean of 2 mm/m over 4 m is 8 mm along the bearing of + x
        (0.0, 0.0, 8.0),
        (90.0, 8.0, 0.0),
        (180.0, 0.0, -8.0),
        (270.0, -8.0, 0.0),
    ],
)
def test_the_head_moves_along_the_bearing_of_its_axis(bearing, east, north):
    figure = plan(tilts((0.0, 0.0), (2.0, 0.0)), bearing_deg=bearing)

    xs, ys = path_of(figure)
    assert (xs[-1], ys[-1]) == pytest.approx((east, north), abs=1e-9)


def test_the_side_axis_lies_a_quarter_turn_clockwise_of_the_first():
    figure = plan(tilts((0.0, 0.0), (0.0, 2.0)), bearing_deg=0.0)

    xs, ys = path_of(figure)
    assert (xs[-1], ys[-1]) == pytest.approx((8.0, 0.0), abs=1e-9)  # by hand: east


def test_limits_are_circles_in_millimetres_about_the_first_position():
    figure = plan(tilts((5.0, 5.0), (6.0, 5.0)), baseline=(5.0, 5.0))

    radii = sorted(shape.x1 for shape in figure.layout.shapes)
    assert radii == pytest.approx([12.0, 26.68])  # by hand: 4 m × 3 and 6.67 mm/m
    assert "watch 12.0\u2009mm" in texts(figure)


def test_the_plan_is_to_scale_and_says_its_unit():
    figure = plan(tilts((0.0, 0.0), (1.0, 1.0)))

    assert (figure.layout.yaxis.scaleanchor, figure.layout.yaxis.scaleratio) == ("x", 1)
    assert "mm" in texts(figure)
    assert "N ↑" in texts(figure)


def test_without_bearing_and_length_the_plan_says_what_up_is_and_shows_the_tilt():
    figure = plan(tilts((0.0, 0.0), (1.0, 1.0)), bearing_deg=None, length_m=None)

    assert "away from the stem" in texts(figure)
    assert "mm/m" in texts(figure)


def test_the_ellipse_holds_95_percent_of_a_plane_normal_distribution():
    # chi square with 2 degrees of freedom: 5.991 at 95 % (any table)
    assert math.isclose(INSIDE_95**2, 5.991, abs_tol=0.001)
    figure = plan(
        tilts((0.0, 0.0), (1.0, 1.0)), position=(1.0, 1.0, 0.5, 0.5, 0.0), length_m=None
    )

    ellipse = next(trace for trace in figure.data if trace.name == "ellipse")
    far = np.hypot(np.asarray(ellipse.x) - 1.0, np.asarray(ellipse.y) - 1.0)
    assert far == pytest.approx(0.5 * INSIDE_95)


def test_a_plan_without_positions_is_a_sentence():
    assert "not been measured along both axes" in texts(plan(tilts()))[0]


def rings(*sizes: tuple[float, float]) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "on": [START + timedelta(days=365 * n) for n in range(len(sizes))],
            "width": [w for w, _ in sizes],
            "height": [h for _, h in sizes],
        }
    )


def test_each_look_is_a_ring_of_the_wound_s_own_size():
    sketch = wound_rings(rings((40.0, 60.0), (20.0, 30.0)), hardware_mm=19.0)
    figure = sketch.figure()

    drawn = {trace.name: trace for trace in figure.data}
    first = drawn["2010"]
    assert max(first.x) - min(first.x) == pytest.approx(40.0)
    assert max(first.y) - min(first.y) == pytest.approx(60.0)
    assert figure.layout.yaxis.scaleratio == 1
    assert any("2011: 20.0\u2009mm × 30.0\u2009mm" in text for text in texts(figure))
    assert any(
        "the disc is the hardware, 19.0\u2009mm" in text for text in texts(figure)
    )


def test_a_closed_wound_is_still_drawn():
    assert wound_rings(rings((40.0, 60.0), (0.0, 0.0)), hardware_mm=None).figure().data


def test_a_wound_never_measured_is_a_sentence():
    figure = wound_rings(rings(), hardware_mm=None).figure()

    assert "not been measured together" in texts(figure)[0]


def test_the_rail_has_a_tick_a_look_and_a_number_a_flag():
    flags = [
        RailFlag(1, date(2012, 1, 1), "work", "repair"),
        RailFlag(2, date(2012, 2, 1), "event", "storm"),
    ]
    figure = time_rail([START, date(2015, 5, 1)], flags, SETTING.span).figure()

    by_name = {trace.name: trace for trace in figure.data}
    assert len(by_name["looks"].x) == 2
    assert by_name["work"].text[0] == "1: repair, 1 January 2012"
    assert {"1", "2"} <= set(texts(figure))


def test_an_empty_figure_is_the_sentence_and_no_axis():
    figure = empty_figure("Nothing yet.")

    assert texts(figure) == ["Nothing yet."]
    assert figure.layout.xaxis.visible is False


def test_a_forecast_that_leaves_the_drawing_says_how_far_it_goes():
    steep = [(date(2026 + n, 6, 1), -1.0, 5.0 * n, 40.0 * n) for n in range(9)]

    figure = chart(some_points(1.0, 2.0, 3.0), fan=steep)

    top = figure.layout.yaxis.range[1]
    assert top < 320.0
    # by hand: the 95 % level after eight years is 8 × 40 mm
    assert "↑ on to 320.0\u2009mm, 2034" in texts(figure)


def test_a_forecast_that_fits_is_drawn_whole():
    flat = [(date(2026 + n, 6, 1), 2.0, 3.0, 4.0 + n / 10) for n in range(9)]

    figure = chart(some_points(1.0, 2.0, 3.0), fan=flat)

    assert figure.layout.yaxis.range[1] > 4.8
    assert not [text for text in texts(figure) if "on to" in text]
