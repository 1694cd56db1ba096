"""Expected values: ISO 9223/9224 as reproduced publicly, or derived by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.errors import InsufficientData, InvalidInput
from monitor.mechanics.corrosion import (
    Bound,
    Category,
    Climate,
    Galvanised,
    Law,
    Metal,
    attack_um,
    category_of,
    exponent,
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

# ISO 9224:2012 table 3 as reproduced: t, steel B1 B2, zinc B1 B2, Cu B1 B2, Al B1 B2.
TABLE_3 = [
    (1, 1, 1, 1, 1, 1, 1, 1, 1),
    (2, 1.437, 1.490, 1.757, 1.831, 1.588, 1.654, 1.656, 1.750),
    (5, 2.320, 2.523, 3.701, 4.076, 2.926, 3.217, 3.227, 3.665),
    (10, 3.334, 3.758, 6.501, 7.464, 4.645, 5.321, 5.346, 6.412),
    (15, 4.122, 4.745, 9.040, 10.635, 6.088, 7.142, 7.181, 8.894),
    (20, 4.791, 5.599, 11.422, 13.671, 7.375, 8.801, 8.854, 11.218),
    (50, 7.737, 9.482, 24.058, 30.423, 13.590, 17.118, 17.252, 23.500),
]

rates = st.floats(0.01, 700.0)
ages = st.floats(0.0, 120.0)
exponents = st.floats(0.4, 0.95)


@pytest.mark.parametrize("row", TABLE_3)
def test_the_power_law_prints_the_published_table(row):
    years, *expected = row

    found = [
        power_multiplier(float(years), exponent(metal, bound))
        for metal in Metal
        for bound in Bound
    ]

    assert found == pytest.approx(expected, abs=0.001)


@pytest.mark.parametrize(
    ("metal", "rate", "bound", "years", "expected", "tol"),
    [
        (Metal.STEEL, 50, Bound.MEAN, 20, 239.6, 0.1),  # ISO 9224 table x rate
        (Metal.STEEL, 50, Bound.MEAN, 50, 427.5, 0.2),  # derived: straight tail
        (Metal.ZINC, 2.1, Bound.MEAN, 10, 13.65, 0.02),  # ISO 9224 table x rate
        (Metal.STEEL, 700, Bound.MEAN, 30, 4231, 1),  # derived
        (Metal.ZINC, 0.7, Bound.MEAN, 50, 17.75, 0.01),  # derived
    ],
)
def test_attack_is_rate_times_multiplier(metal, rate, bound, years, expected, tol):
    law = Law(rate, exponent(metal, bound))

    assert attack_um(law, years) == pytest.approx(expected, abs=tol)


@pytest.mark.parametrize(
    ("coating", "rate", "bound", "expected"),
    [
        (85, 4.2, Bound.MEAN, 39.0),  # derived from ISO 9224
        (85, 8.4, Bound.UPPER, 14.2),
        (85, 25, Bound.MEAN, 4.5),
        (55, 2.1, Bound.UPPER, 41.0),
        (70, 0.7, Bound.MEAN, 211),
    ],
)
def test_the_life_of_zinc_is_the_inverse_law(coating, rate, bound, expected):
    law = Law(rate, exponent(Metal.ZINC, bound))

    life = years_to_attack(law, coating)

    assert life == pytest.approx(expected, abs=0.5 if expected > 100 else 0.1)


@pytest.mark.parametrize(
    ("rate", "expected"),
    [(25, "C2"), (25.1, "C3"), (80, "C4"), (200, "C5"), (1.3, "C1"), (700, "CX")],
)
def test_the_upper_end_of_a_band_belongs_to_it(rate, expected):
    # ISO 9223 table 2 as reproduced
    assert category_of(Metal.STEEL, rate) == Category(expected)


def test_the_zinc_bands_are_those_of_the_standard():
    # ISO 9223 table 2 as reproduced
    uppers = [first_year_band_um(Metal.ZINC, category)[1] for category in Category]

    assert uppers == [0.1, 0.7, 2.1, 4.2, 8.4, 25]


def test_dose_response_gives_the_rates_of_the_equations():
    # ISO 9223 equations 1 and 2 as reproduced; values derived by hand
    climate = Climate(10.0, 80.0, 5.0, 10.0)

    assert steel_rate_um(climate) == pytest.approx(29.13, abs=0.02)
    assert zinc_rate_um(climate) == pytest.approx(1.327, abs=0.002)


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


def test_the_tail_sets_out_with_the_slope_of_the_power_law():
    # ISO 9224; slopes 0.12529 and 0.46430 derived by hand: b 20^(b-1)
    for b, slope in ((0.523, 0.12529), (0.813, 0.46430), (0.575, 0.16096)):
        gained = multiplier(21.0, b) - multiplier(20.0, b)

        assert gained == pytest.approx(slope, abs=1e-5)


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
