"""Coatings and buried steel against the published tables."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.errors import InvalidInput
from monitor.mechanics.buried import (
    Ground,
    buried_loss_mm,
    fill_steel_loss_um,
    fill_zinc_loss_um,
)
from monitor.mechanics.coating import (
    Durability,
    ZincLife,
    galvanising_minimum_um,
    repaint_window_years,
    rust_grade,
    rust_grade_d610,
    zinc_life_years,
    zinc_mass_g_m2,
)


@pytest.mark.parametrize(
    ("area", "grade"),
    [(0, "Ri0"), (0.05, "Ri1"), (0.5, "Ri2"), (1, "Ri3"), (8, "Ri4"), (45, "Ri5")],
)
def test_rust_grades_are_the_photographs_of_iso_4628(area, grade):
    # ISO 4628-3 as reproduced
    assert rust_grade(area) == grade


@pytest.mark.parametrize(
    ("area", "grade"),
    [(0.01, 10), (0.03, 9), (0.1, 8), (0.3, 7), (1, 6), (3, 5), (33, 2), (60, 0)],
)
def test_rust_grades_of_astm_d610(area, grade):
    # ASTM D610 as reproduced
    assert rust_grade_d610(area) == grade


@given(st.floats(0.0, 100.0), st.floats(0.0, 100.0))
def test_more_rust_is_never_a_better_grade(one, other):
    less, more = sorted((one, other))

    assert rust_grade(less) <= rust_grade(more)
    assert rust_grade_d610(less) >= rust_grade_d610(more)


@pytest.mark.parametrize(
    ("steel_mm", "expected"),
    [(8, (70, 85)), (6, (55, 70)), (3, (45, 55)), (1.5, (45, 55)), (1.2, (35, 45))],
)
def test_galvanising_minimum_follows_the_steel(steel_mm, expected):
    # ISO 1461 table 3 as reproduced
    assert galvanising_minimum_um(steel_mm) == expected


def test_eighty_five_micrometres_weigh_about_610_grams():
    # ISO 1461 as reproduced: 85 um = 610 g/m2
    assert zinc_mass_g_m2(85.0) == pytest.approx(610, abs=3)


@pytest.mark.parametrize(
    ("rate", "law", "expected"),
    [
        (2.1, ZincLife.CONSTANT, 40.5),  # by hand: 85 / 2.1
        (0.7, ZincLife.CONSTANT, 121.4),  # by hand: 85 / 0.7
        (4.2, ZincLife.MEAN, 39.0),  # derived from ISO 9224
        (8.4, ZincLife.UPPER, 14.2),  # derived from ISO 9224
    ],
)
def test_the_life_of_85_micrometres(rate, law, expected):
    assert zinc_life_years(85.0, rate, law) == pytest.approx(expected, abs=0.1)


@given(st.floats(25.0, 200.0), st.floats(1.0, 25.0))
def test_the_constant_rate_gives_the_shortest_life(coating, rate):
    lives = [zinc_life_years(coating, rate, law) for law in ZincLife]

    assert min(lives) == pytest.approx(lives[0])


def test_a_high_class_paint_is_due_between_15_and_25_years():
    # ISO 12944-1 as reproduced
    assert repaint_window_years(Durability.HIGH) == (15.0, 25.0)
    assert repaint_window_years(Durability.VERY_HIGH)[1] == float("inf")


@pytest.mark.parametrize("area", [-0.1, 101.0])
def test_an_impossible_rusted_area_is_refused(area):
    with pytest.raises(InvalidInput, match="rusted area"):
        rust_grade(area)


@pytest.mark.parametrize(
    ("ground", "years", "expected"),
    [
        (Ground.NATURAL, 40, 0.48),  # EN 1993-5 table 4-1, interpolated by hand
        (Ground.PEAT, 30, 1.15),
        (Ground.FILL, 50, 1.20),  # table entry
        (Ground.ASH_FILL, 100, 5.75),
        (Ground.POLLUTED, 125, 3.75),
    ],
)
def test_loss_in_the_ground_follows_the_table(ground, years, expected):
    assert buried_loss_mm(ground, years) == pytest.approx(expected, abs=0.005)


def test_86_micrometres_of_zinc_last_16_years_in_clean_fill():
    # AASHTO model as reproduced
    assert fill_zinc_loss_um(16.0) == pytest.approx(86.0)
    assert fill_steel_loss_um(86.0, 16.0) == pytest.approx(0.0)
    assert fill_steel_loss_um(86.0, 26.0) == pytest.approx(120.0)


def test_the_table_is_not_stretched_beyond_its_last_column():
    with pytest.raises(InvalidInput, match="0 to 125"):
        buried_loss_mm(Ground.NATURAL, np.array([10.0, 126.0]))
