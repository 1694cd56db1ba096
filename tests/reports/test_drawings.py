"""The arithmetic of drawings, and drawings of odd series."""

import xml.etree.ElementTree as ET
from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.reports.axis import Scale, label, spread, ticks, year_ticks
from monitor.reports.chart import HEIGHT, WIDTH, Chart, Dot, Limit, chart, span_of

TODAY = date(2031, 5, 14)
SVG = "{http://www.w3.org/2000/svg}"


def drawn(dots, **more) -> ET.Element:
    span = span_of(dots[0].on, TODAY, None)
    return ET.fromstring(chart(Chart("mm", span, TODAY, tuple(dots), **more)))


def test_ticks_are_round_by_hand():
    assert ticks(-0.3, 8.1, 5) == [0.0, 2.0, 4.0, 6.0, 8.0]
    assert [label(v, 0.25) for v in (-0.25, 0.0, 0.5)] == ["−0.25", "0.00", "0.50"]
    assert label(12000.0, 2000.0) == "12\u202f000"
    assert year_ticks(date(1994, 3, 1), date(2031, 5, 14), 8) == [
        1995, 2000, 2005, 2010, 2015, 2020, 2025, 2030,
    ]  # fmt: skip


@given(st.floats(-1e4, 1e4), st.floats(1e-3, 1e4))
def test_ticks_lie_between_the_ends_and_are_few(low, width):
    found = ticks(low, low + width, 5)

    assert 1 <= len(found) <= 6
    assert all(low - 1e-6 * width <= t <= low + width * (1 + 1e-6) for t in found)


@given(st.lists(st.floats(0, 150), min_size=1, max_size=8))
def test_labels_never_touch(places):
    found = sorted(spread(places, gap=9.0))

    gaps = [b - a for a, b in pairwise(found)]
    assert all(gap >= 9.0 - 1e-6 for gap in gaps)


def test_a_series_of_one_reading_without_noise_is_drawn():
    tree = drawn([Dot(date(2031, 5, 14), 3.0, 0.0)])

    assert len(tree.findall(f".//{SVG}circle")) == 1


def test_a_doubted_reading_is_hollow_and_every_reading_has_its_bar():
    dots = [
        Dot(date(2020 + n, 5, 1), float(n), 0.5, is_doubted=n == 2) for n in range(5)
    ]

    circles = drawn(dots).findall(f".//{SVG}circle")

    assert [c.get("fill") == "#ffffff" for c in circles] == [n == 2 for n in range(5)]


def test_limits_are_named_at_the_right_end_and_the_fan_is_named_once():
    dots = [Dot(date(2020 + n, 5, 1), float(n), 0.5) for n in range(5)]
    limits = (Limit("watch 3.0 mm", 3.0, date(2020, 5, 1), False),
              Limit("act 8.0 mm", 8.0, date(2020, 5, 1), True))  # fmt: skip
    fan = tuple(
        (TODAY + timedelta(days=365 * n), 4.0 - n / 9, 4.0, 4 + n / 9.0)
        for n in range(9)
    )

    words = [t.text for t in drawn(dots, limits=limits, fan=fan).iter(f"{SVG}text")]

    assert {"watch 3.0 mm", "act 8.0 mm", "half", "today", "mm"} <= set(words)
    assert words.count("half") == 1


@pytest.mark.parametrize("value", [0.0, -250.0, 1e-6, 9e9])
def test_nothing_is_drawn_off_the_sheet(value):
    dots = [
        Dot(date(2020 + n, 5, 1), value * (1 + n), abs(value) / 9) for n in range(3)
    ]

    tree = drawn(dots)

    for circle in tree.iter(f"{SVG}circle"):
        assert 0 <= float(circle.get("cx", "")) <= WIDTH
        assert 0 <= float(circle.get("cy", "")) <= HEIGHT


def test_a_scale_goes_on_beyond_its_ends():
    scale = Scale(0.0, 10.0, 100.0, 0.0)

    assert (scale.at(0), scale.at(10), scale.at(12)) == (100.0, 0.0, -20.0)
