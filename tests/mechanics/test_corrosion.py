"""Properties of the laws of rust; their values stand in `checks/corrosion.py`."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.errors import InsufficientData, InvalidInput
from monitor.mechanics.corrosion import (
    Category,
    Climate,
    Galvanised,
    Law,
    Metal,
    category_of,
    first_year_band_um,
    multiplier,
    power_multiplier,
    steel_loss_um,
    steel_rate_um,
    years_for,
    years_to_attack,
    zinc_left_um,
    zinc_rate_um,
)

rates = st.floats(0.01, 700.0)
ages = st.floats(0.0, 120.0)
exponents = st.floats(0.4, 0.95)


def test_dose_response_is_continuous_at_ten_degrees():
    below = Climate(10.0, 80.0, 5.0, 10.0)
    above = Climate(10.0 + 1e-9, 80.0, 5.0, 10.0)

    assert steel_rate_um(above) == pytest.approx(steel_rate_um(below), rel=1e-8)


def test_arrays_give_the_same_as_one_by_one():
    years = np.array([0.0, 3.0, 20.0, 60.0])

    together = multiplier(years, 0.523)

    assert together.shape == years.shape
    assert list(together) == [multiplier(float(t), 0.523) for t in years]


@given(ages, exponents)
def test_the_inverse_leads_back(years, b):
    assert years_for(multiplier(years, b), b) == pytest.approx(years, abs=1e-9)


@given(ages, ages, exponents)
def test_metal_is_never_won_back(t1, t2, b):
    early, late = sorted((t1, t2))

    assert multiplier(early, b) <= multiplier(late, b) + 1e-12


@given(st.floats(20.0, 120.0), exponents)
def test_the_straight_tail_is_the_safe_side(years, b):
    assert multiplier(years, b) >= power_multiplier(years, b) - 1e-12


def test_steel_starts_when_the_zinc_is_gone():
    part = Galvanised(85.0, Law(4.2, 0.813), Law(80.0, 0.523))
    gone = years_to_attack(part.zinc, 85.0)

    assert zinc_left_um(part, gone - 1.0) > 0.0
    assert steel_loss_um(part, gone) == pytest.approx(0.0, abs=1e-9)
    assert zinc_left_um(part, gone + 1.0) == 0.0
    assert steel_loss_um(part, gone + 1.0) == pytest.approx(80.0)


@pytest.mark.parametrize(
    "climate",
    [
        Climate(28.8, 80.0, 5.0, 10.0),  # ISO 9223: valid to 28.7 deg C
        Climate(-17.2, 80.0, 5.0, 10.0),  # and from -17.1
        Climate(35.0, 80.0, 5.0, 10.0),
        Climate(10.0, 20.0, 5.0, 10.0),
        Climate(10.0, 80.0, 200.0, 10.0),
        Climate(10.0, 80.0, 5.0, 900.0),
    ],
)
def test_outside_the_published_range_no_rate_is_given(climate):
    with pytest.raises(InvalidInput, match="expected"):
        steel_rate_um(climate)


def test_a_missing_humidity_is_named():
    with pytest.raises(InsufficientData, match="humidity is missing"):
        zinc_rate_um(Climate(10.0, float("nan"), 5.0, 10.0))


def test_a_rate_beyond_the_last_category_is_refused():
    with pytest.raises(InvalidInput, match="beyond category CX"):
        category_of(Metal.STEEL, 701.0)


def test_no_band_is_given_for_metals_without_a_checked_one():
    with pytest.raises(InvalidInput, match="steel or zinc"):
        first_year_band_um(Metal.COPPER, Category.C3)
