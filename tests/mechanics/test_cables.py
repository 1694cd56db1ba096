"""Strand and span against data sheets, an exact beam solution and published facts."""

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from monitor.errors import InsufficientData, InvalidInput
from monitor.mechanics.cables import (
    GUY_FACTOR,
    NEWTON_PER_LBF,
    ROPE_FACTOR,
    STEEL_EXPANSION_PER_K,
    STRANDS,
    Grade,
    Span,
    breaking_n,
    clamped_tension_n,
    metal_left_share,
    pinned_tension_n,
    sag_m,
    sag_number,
    slack_m,
    stiffness_number,
    strand,
    strand_mass_kg_m,
    string_frequency_hz,
    string_tension_n,
    tension_from_sag_n,
    warming_n,
    wires_left_share,
    working_load_n,
)
from monitor.mechanics.synthetic import (
    Support,
    minimum_strength_kn,
    service_life,
    share_of_life,
)


@pytest.mark.parametrize(
    ("size", "grade", "lbf", "kn"),
    [
        # ASTM A475 as reproduced, kN column as printed
        ("1/4", Grade.EXTRA_HIGH, 6650, 29.58),
        ("1/4", Grade.COMMON, 1900, 8.45),
        ("1/8", Grade.SIEMENS_MARTIN, 910, 4.05),
        ("3/16", Grade.HIGH, 2850, 12.68),
        ("7/32", Grade.EXTRA_HIGH, 5400, 24.02),
        ("5/16", Grade.SIEMENS_MARTIN, 5350, 23.80),
        # from memory
        ("3/8", Grade.EXTRA_HIGH, 15400, 68.5),
        ("1/2", Grade.EXTRA_HIGH, 26900, 119.7),
    ],
)
def test_strand_breaks_where_the_standard_says(size, grade, lbf, kn):
    found = breaking_n(size, grade)

    assert found / NEWTON_PER_LBF == pytest.approx(lbf, rel=1e-12)
    assert found / 1000 == pytest.approx(kn, abs=0.05)


def test_a_higher_grade_and_a_thicker_strand_are_stronger():
    for row in STRANDS.values():
        assert list(row.breaking_lbf) == sorted(row.breaking_lbf)
    heavy = [row.breaking_lbf[3] for row in STRANDS.values()]
    assert heavy == sorted(heavy)


def test_the_working_load_is_a_share_of_breaking():
    # WAC 296-24-29401: a fifth; Alberta OHS: a third for guys
    assert working_load_n(29580.0, ROPE_FACTOR) == pytest.approx(5916)
    assert working_load_n(29580.0, GUY_FACTOR) == pytest.approx(9860)


def test_one_broken_wire_of_seven_is_a_seventh():
    # by hand: 14.29 %
    assert 100 * (1 - wires_left_share(1.0)) == pytest.approx(14.29, abs=0.005)


def test_taut_string_values():
    # textbook form, by hand: 3000 N; L 8 m, 0.18 kg/m, 1000 N: 4.66 Hz
    assert string_tension_n(Span(10.0, 0.3), 5.0) == pytest.approx(3000.0, rel=1e-12)
    assert string_frequency_hz(Span(8.0, 0.18), 1000.0) == pytest.approx(4.66, abs=0.01)


def test_the_string_of_the_open_benchmark():
    # open finite element benchmark: 62.732 and 88.728 Hz at 6171.05 and 12345.30 N
    span = Span(1.0, 6171.05 / (2 * 62.732) ** 2)

    low = string_frequency_hz(span, 6171.05)
    high = string_frequency_hz(span, 12345.30)

    assert high / low == pytest.approx(1.41440, abs=1e-5)
    assert high == pytest.approx(88.728, abs=0.002)


def test_sag_and_tension_are_each_others_inverse():
    # by hand: w L^2 / 8 s
    assert tension_from_sag_n(2.942, 10.0, 0.05) == pytest.approx(735.5, abs=0.2)
    assert tension_from_sag_n(1.766, 8.0, 0.05) == pytest.approx(283, abs=0.5)
    assert sag_m(2.942, 10.0, 3000.0) == pytest.approx(0.01226, abs=1e-5)


@pytest.mark.parametrize(
    ("sag", "span", "slack_mm"),
    # formula by hand; Kletterblatt 2004 says about 2, 5 and 2 cm
    [(0.15, 3.0, 20.0), (0.20, 2.0, 53.3), (0.20, 5.0, 21.3)],
)
def test_sag_hides_little_slack(sag, span, slack_mm):
    assert 1000 * slack_m(span, sag) == pytest.approx(slack_mm, abs=0.05)


def test_five_percent_of_play_is_a_sag_of_fourteen():
    # Kletterblatt 2004: about 14 % of the span; 13.7 % by hand
    assert slack_m(1.0, 0.137) == pytest.approx(0.05, abs=0.0002)


def first_clamped_frequency(span, tension):
    """Oracle: first root of the clamped-clamped beam under tension."""
    length, mass, bending = span.length_m, span.mass_kg_m, span.bending_n_m2
    half = tension / (2 * bending)

    def equation(hz):
        root = np.sqrt(half**2 + mass * (2 * np.pi * hz) ** 2 / bending)
        a, b = np.sqrt(root + half), np.sqrt(root - half)
        sech = 1 / np.cosh(min(a * length, 300.0))
        return 2 * a * b * (sech - np.cos(b * length)) + (a**2 - b**2) * np.tanh(
            a * length
        ) * np.sin(b * length)

    taut = string_frequency_hz(span, tension)
    grid = np.linspace(1.0001 * taut, 3.0 * taut, 4000)
    values = [equation(hz) for hz in grid]
    turn = next(i for i in range(len(grid) - 1) if values[i] * values[i + 1] < 0)
    return brentq(equation, grid[turn], grid[turn + 1])


@pytest.mark.parametrize("number", [10.0, 17.0, 25.0, 60.0, 150.0, 300.0])
def test_a_clamped_cable_gives_its_tension_within_two_percent(number):
    tension, length = 3000.0, 10.0
    span = Span(length, 0.3, tension * (length / number) ** 2)

    hz = first_clamped_frequency(span, tension)

    assert stiffness_number(span, tension) == pytest.approx(number)
    assert clamped_tension_n(span, hz) == pytest.approx(tension, rel=0.022)


@pytest.mark.parametrize(
    ("number", "over_pct"), [(10, 70), (18, 30), (30, 16), (60, 7.3), (100, 4.2)]
)
def test_a_plain_string_over_reads_a_clamped_cable(number, over_pct):
    # derived by hand from the exact clamped solution
    span = Span(10.0, 0.3, 3000.0 * (10.0 / number) ** 2)

    hz = first_clamped_frequency(span, 3000.0)

    over = 100 * (string_tension_n(span, hz) / 3000.0 - 1)
    assert over == pytest.approx(over_pct, rel=0.03)


@given(st.floats(500.0, 20e3), st.floats(0.1, 50.0))
def test_a_pinned_cable_is_solved_exactly(tension, bending):
    span = Span(6.0, 0.3, bending)
    stiff = (np.pi / 6.0) ** 2 * bending

    hz = 1 / (2 * 6.0) * np.sqrt((tension + stiff) / 0.3)

    assert pinned_tension_n(span, hz) == pytest.approx(tension, rel=1e-9)


@pytest.mark.parametrize(("tension", "expected"), [(5000.0, 0.101), (2000.0, 1.58)])
def test_sag_matters_when_slack(tension, expected):
    # Irvine, by hand for 3/8 in strand over 10 m, EA 7.98 MN
    span = Span(10.0, strand_mass_kg_m("3/8"))

    assert sag_number(span, tension, 7.98e6) == pytest.approx(expected, rel=0.01)


def test_a_warm_day_slackens_a_stiffly_held_strand():
    # by hand: 7.98 MN x 12e-6 x 20 K = 1.9 kN
    assert warming_n(7.98e6, 20.0) == pytest.approx(1915, abs=1)


def test_a_published_guy_chart_loses_41_newtons_a_kelvin():
    # erection chart for 1/4 in strand between rigid ends: 980 lb at 0 deg F, 360 lb at
    # 120 deg F; strand of 22.6 mm2 at 160 GPa (stiffness from memory)
    charted = (980 - 360) / 120 * NEWTON_PER_LBF * 9 / 5

    assert charted == pytest.approx(41, abs=0.5)
    assert warming_n(22.6 * 160e3, 1.0) == pytest.approx(charted, rel=0.10)


def test_a_post_of_three_metres_grows_by_a_millimetre_and_a_half():
    # textbook expansion of steel, by hand: 3 m, 40 K: 1.44 mm
    assert pytest.approx(1.44) == 3000.0 * 40.0 * STEEL_EXPANSION_PER_K


@given(st.floats(0.5, 5.0), st.floats(0.0, 0.2), st.floats(0.0, 0.05))
def test_rust_never_adds_metal(wire, loss, more):
    assert metal_left_share(wire, loss + more) <= metal_left_share(wire, loss)


@pytest.mark.parametrize("broken", [-1.0, 8.0])
def test_an_impossible_count_of_wires_is_refused(broken):
    with pytest.raises(InvalidInput, match="broken wires"):
        wires_left_share(broken)


def test_an_unknown_size_and_a_hanging_bow_are_refused():
    with pytest.raises(InvalidInput, match="known: 1/8"):
        strand("9/16")
    with pytest.raises(InvalidInput, match="not shallow"):
        tension_from_sag_n(3.0, 10.0, 2.5)


def test_a_missing_length_is_named():
    with pytest.raises(InsufficientData, match="length is missing"):
        string_tension_n(Span(float("nan"), 0.3), 5.0)


def test_the_makers_date_overrules_the_rule_of_years():
    installed = date(2016, 2, 29)

    by_rule = service_life(installed, None)
    by_maker = service_life(installed, date(2021, 6, 1))

    # ZTV-Baumpflege as reproduced: eight years
    assert by_rule.ends_on == date(2024, 2, 29)
    assert service_life(installed, None, 7).ends_on == date(2023, 2, 28)
    assert by_maker.ends_on == date(2021, 6, 1)
    assert "maker" in by_maker.reason
    assert share_of_life(installed, by_rule, by_rule.ends_on) == 1.0


def test_no_date_at_all_asks_for_one():
    with pytest.raises(InsufficientData, match="end cap"):
        service_life(None, None)


def test_a_life_that_ends_before_it_starts_is_refused():
    with pytest.raises(InvalidInput, match="before the installation"):
        service_life(date(2020, 1, 1), date(2019, 1, 1))


@pytest.mark.parametrize(
    ("support", "base", "tonnes"),
    # ZTV-Baumpflege, secondary reproduction
    [
        (Support.DYNAMIC, 400.0, 2),
        (Support.DYNAMIC, 610.0, 8),
        (Support.HOLDING, 390.0, 4),
        (Support.STATIC, 800.0, 16),
    ],
)
def test_least_strength_by_base_diameter(support, base, tonnes):
    assert minimum_strength_kn(support, base) == pytest.approx(tonnes * 9.80665)


def test_a_giant_limb_is_an_individual_design():
    with pytest.raises(InsufficientData, match="individual design"):
        minimum_strength_kn(Support.DYNAMIC, 900.0)
