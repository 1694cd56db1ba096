"""Strand and span against data sheets, an exact beam solution and published facts."""

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.errors import InsufficientData, InvalidInput
from monitor.mechanics.cables import (
    STRANDS,
    Span,
    clamped_tension_n,
    metal_left_share,
    pinned_tension_n,
    sag_m,
    stiffness_number,
    strand,
    string_tension_n,
    tension_from_sag_n,
    wires_left_share,
)
from monitor.mechanics.synthetic import (
    Support,
    minimum_strength_kn,
    service_life,
    share_of_life,
)
from tests.mechanics.checks.cables import first_clamped_frequency


def test_a_higher_grade_and_a_thicker_strand_are_stronger():
    for row in STRANDS.values():
        assert list(row.breaking_lbf) == sorted(row.breaking_lbf)
    heavy = [row.breaking_lbf[3] for row in STRANDS.values()]
    assert heavy == sorted(heavy)


@pytest.mark.parametrize("number", [10.0, 17.0, 25.0, 60.0, 150.0, 300.0])
def test_a_clamped_cable_gives_its_tension_within_two_percent(number):
    tension, length = 3000.0, 10.0
    span = Span(length, 0.3, tension * (length / number) ** 2)

    hz = first_clamped_frequency(span, tension)

    assert stiffness_number(span, tension) == pytest.approx(number)
    assert clamped_tension_n(span, hz) == pytest.approx(tension, rel=0.022)


@given(st.floats(500.0, 20e3), st.floats(0.1, 50.0))
def test_a_pinned_cable_is_solved_exactly(tension, bending):
    span = Span(6.0, 0.3, bending)
    stiff = (np.pi / 6.0) ** 2 * bending

    hz = 1 / (2 * 6.0) * np.sqrt((tension + stiff) / 0.3)

    assert pinned_tension_n(span, hz) == pytest.approx(tension, rel=1e-9)


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


@given(st.floats(1e3, 20e3), st.floats(1.0, 30.0))
def test_sag_and_tension_lead_back(tension, line):
    found = tension_from_sag_n(line, 10.0, sag_m(line, 10.0, tension))

    assert found == pytest.approx(tension, rel=1e-9)


def test_a_giant_limb_is_an_individual_design():
    with pytest.raises(InsufficientData, match="individual design"):
        minimum_strength_kn(Support.DYNAMIC, 900.0)
