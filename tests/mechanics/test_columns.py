"""Columns: AISC and Eurocode kept apart; values stand in `checks/columns.py`."""

import math
from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import eigh_tridiagonal

from monitor.errors import InsufficientData, InvalidInput
from monitor.mechanics import columns_aisc as aisc
from monitor.mechanics import columns_ec3 as ec3
from monitor.mechanics.screening import CAUTION
from monitor.mechanics.sections import (
    RoundTube,
    aisc_box,
    box_section,
    hot_finished_box,
    round_section,
)
from tests.mechanics.checks.columns import printed_column


def test_the_curve_of_columns_is_continuous_where_buckling_turns_elastic():
    for fy in (240.0, 345.0):
        limit = math.pi * math.sqrt(2.25 * aisc.MODULUS_MPA / fy)

        below = aisc.critical_stress_mpa(limit * (1 - 1e-9), fy)
        above = aisc.critical_stress_mpa(limit * (1 + 1e-9), fy)

        # 0.658^2.25 against 0.877/2.25, by hand: 0.3899 and 0.3898
        assert below == pytest.approx(above, rel=0.001)


def test_a_column_at_its_euler_load_sways_without_end():
    assert aisc.amplifier(24.41, 24.41, 1.0) == math.inf


def test_the_methods_never_share_a_field_or_a_name():
    column = printed_column(3.37, 1.52, 10, 46)
    tube = box_section(hot_finished_box(100.0, 100.0, 6.3))
    european = ec3.Column(tube, 3000.0, 355.0, ec3.Forming.HOT_FINISHED, 34.0)

    results = (
        aisc.allowable_column(column),
        aisc.design_column(column),
        ec3.resistance_column(european),
    )

    assert len({result.method for result in results}) == 3
    strengths = [{f.name for f in fields(r) if f.name.endswith("_kn")} for r in results]
    assert strengths == [{"allowable_kn"}, {"design_kn"}, {"resistance_kn"}]
    assert {result.caution for result in results} == {CAUTION}


def test_eulers_load_is_the_first_eigenvalue_of_the_column_equation():
    # oracle: finite differences of E I y'' + P y = 0, pinned at both ends
    inertia, length, n = 3.247e6, 3657.6, 400
    step = length / n
    first = eigh_tridiagonal(
        np.full(n - 1, 2.0 / step**2),
        np.full(n - 2, -1.0 / step**2),
        select="i",
        select_range=(0, 0),
    )[0][0]

    found = aisc.euler_n(inertia, length)

    assert found == pytest.approx(aisc.MODULUS_MPA * inertia * first, rel=1e-4)


@given(st.floats(500.0, 6000.0), st.floats(1.0, 1.5), st.floats(235.0, 460.0))
def test_a_longer_column_is_never_stronger(length, longer, fy):
    tube = round_section(RoundTube(114.3, 5.0))

    def both(mm):
        column = aisc.Column(tube, mm, 1.0, fy, 60.0)
        europe = ec3.Column(tube, mm, fy, ec3.Forming.COLD_FORMED, 60.0)
        return (
            aisc.allowable_column(column).allowable_kn,
            ec3.resistance_column(europe).resistance_kn,
        )

    for short, long in zip(both(length), both(length * longer), strict=True):
        assert long <= short * (1 + 1e-12)


@given(st.floats(0.0, 3.0), st.floats(0.0, 3.0), st.floats(0.0, 0.5))
def test_more_moment_is_never_less_use(axial, moment, more):
    used = aisc.interaction(axial, moment)

    assert aisc.interaction(axial, moment + more) >= used


def test_a_wall_that_buckles_first_needs_an_engineer():
    thin = box_section(aisc_box(200.0, 200.0, 3.0))

    with pytest.raises(InsufficientData, match="engineer"):
        aisc.allowable_column(aisc.Column(thin, 3000.0, 1.0, 345.0, 33.7))
    with pytest.raises(InsufficientData, match="class 4"):
        ec3.resistance_column(
            ec3.Column(thin, 3000.0, 355.0, ec3.Forming.COLD_FORMED, 34.0)
        )


def test_a_slenderness_beyond_range_is_refused_and_200_is_told():
    with pytest.raises(InvalidInput, match="Slenderness"):
        aisc.allowable_column(printed_column(3.37, 1.52, 60, 46))

    told = aisc.allowable_column(printed_column(3.37, 1.52, 27, 46))
    assert "above the advised 200" in told.assumed[1]


@pytest.mark.parametrize("fy", [0.0, -50.0])
def test_a_yield_strength_of_nothing_is_refused(fy):
    with pytest.raises(InvalidInput, match="yield strength"):
        aisc.critical_stress_mpa(80.0, fy)


def test_a_stocky_wall_bends_plastically_and_a_thin_one_does_not():
    tube = round_section(RoundTube(114.3, 5.0))  # D/t = 22.9

    plastic = aisc.nominal_moment_nmm(tube, 250.0, aisc.round_compact_limit(250.0))
    elastic = aisc.nominal_moment_nmm(tube, 250.0, 10.0)

    assert plastic == pytest.approx(250.0 * tube.plastic_mm3)
    assert elastic == pytest.approx(250.0 * tube.elastic_mm3)
