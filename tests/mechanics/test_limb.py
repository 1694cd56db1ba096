"""Limb weight and the load on a post, against statics and brute integration."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from monitor.errors import InsufficientData, InvalidInput
from monitor.mechanics.limb import Crown, Limb, prop_demand, simulate_demand_n
from monitor.mechanics.limb_statics import (
    axial_in_leaning_post_n,
    fixed_reaction_even_n,
    fixed_reaction_point_n,
    frustum_centroid_m,
    frustum_volume_m3,
    growth_factor,
    hinge_reaction_n,
    ice_kg_m,
    wind_pressure_pa,
)
from monitor.mechanics.screening import CAUTION, spread_interval
from monitor.mechanics.species import (
    WOODS,
    at_moisture,
    green_density_kg_m3,
    oven_dry_gravity,
    species_density_kg_m3,
    wood,
)

TAPERED = Limb(np.array([0.0, 8.0]), np.array([500.0, 100.0]), 1020.0)
BARE = Crown(1.0, 0.0)


def test_a_tapered_limb_has_the_volume_of_a_frustum():
    # derived by hand
    assert frustum_volume_m3(500.0, 100.0, 8.0) == pytest.approx(0.6493, abs=1e-4)
    assert frustum_centroid_m(500.0, 100.0, 8.0) == pytest.approx(2.4516, abs=1e-4)


def test_a_cone_and_a_cylinder_are_the_ends_of_a_frustum():
    # schoolbook: L/4 and L/2 from the big end
    assert frustum_centroid_m(400.0, 0.0, 8.0) == pytest.approx(2.0)
    assert frustum_centroid_m(400.0, 400.0, 8.0) == pytest.approx(4.0)


@pytest.mark.parametrize(
    ("a", "fixed", "hinge"),
    # derived by hand for the taper 0.5 to 0.1 m, 8 m, 1020 kg/m3
    [(3.0, 5.51, 5.31), (5.0, 2.329, 3.18), (6.0, 1.53, 2.65)],
)
def test_the_load_of_a_tapered_limb(a, fixed, hinge):
    demand = prop_demand(TAPERED, a, BARE)

    assert demand.weight_n == pytest.approx(6490, abs=6)
    assert demand.fixed_n / 1000 == pytest.approx(fixed, rel=0.005)
    assert demand.hinge_n / 1000 == pytest.approx(hinge, rel=0.005)
    assert demand.envelope_n == max(demand.fixed_n, demand.hinge_n)


def test_the_tapered_reaction_is_the_integral_of_bending():
    # oracle: adaptive quadrature of the unit-load theorem
    def diameter(x):
        return 0.5 - 0.05 * x

    def moment(x):
        big, length = diameter(x), 8.0 - x
        volume = math.pi * length / 12 * (big**2 + big * 0.1 + 0.01)
        lever = length / 4 * (big**2 + 0.2 * big + 0.03) / (big**2 + 0.1 * big + 0.01)
        return 1020 * 9.80665 * volume * lever

    top = quad(lambda x: moment(x) * (5 - x) / diameter(x) ** 4, 0, 5)[0]
    low = quad(lambda x: (5 - x) ** 2 / diameter(x) ** 4, 0, 5)[0]

    assert prop_demand(TAPERED, 5.0, BARE).fixed_n == pytest.approx(top / low, rel=1e-4)


@pytest.mark.parametrize(
    ("a", "fixed", "hinge"),
    [(10, 3.750, 5.000), (6, 8.250, 8.333), (5, 10.625, 10.000)],  # derived by hand
)
def test_the_load_of_an_even_limb(a, fixed, hinge):
    assert fixed_reaction_even_n(1.0, 10.0, a) == pytest.approx(fixed, abs=1e-6)
    assert hinge_reaction_n(10.0, 5.0, a) == pytest.approx(hinge, abs=0.001)


def test_a_post_at_the_tip_carries_three_eighths():
    # propped cantilever, any textbook of mechanics: 3 w L / 8
    assert fixed_reaction_even_n(1.0, 6.0, 6.0) == pytest.approx(2.25, abs=1e-9)


def test_even_load_is_the_sum_of_its_points():
    # oracle: quadrature of the point-load formula
    summed = quad(lambda b: fixed_reaction_point_n(1.0, b, 6.0), 0, 10, points=[6.0])[0]

    assert fixed_reaction_even_n(1.0, 10.0, 6.0) == pytest.approx(summed, rel=1e-8)


@pytest.mark.parametrize(
    ("power", "expected"),
    # derived by hand: 0.5 m, 4 mm a year, 20 years
    [(2.0, 1.3456), (8 / 3, 1.486), (10 / 3, 1.640)],
)
def test_growth_of_a_limb(power, expected):
    assert growth_factor(500.0, 4.0, 20.0, power) == pytest.approx(expected, abs=0.001)


def test_weight_doubles_in_52_years():
    # derived by hand: (sqrt 2 - 1) x 500 / 4
    assert growth_factor(500.0, 4.0, 51.8) == pytest.approx(2.0, abs=0.001)


def test_ice_wind_and_a_raking_post():
    # ice by hand with the density of ASCE 7; wind 0.613 V^2 from memory
    assert ice_kg_m(50.0, 12.7) == pytest.approx(2.244, abs=0.002)
    assert wind_pressure_pa(40.0) == pytest.approx(981, abs=1)
    assert axial_in_leaning_post_n(1000.0, 750.0) == pytest.approx(1250.0)


def test_what_is_not_told_is_said_aloud():
    demand = prop_demand(TAPERED, 5.0, Crown())

    assert demand.caution == CAUTION
    assert len(demand.missing) == 2
    assert any("1.35" in sentence for sentence in demand.assumed)
    assert prop_demand(TAPERED, 5.0, BARE).missing == ()


def test_leaves_branches_and_ice_add_up():
    # by hand: 1.35 x 1.10 of the axis, and 100 N/m of ice over 8 m
    bare = prop_demand(TAPERED, 5.0, BARE).weight_n

    dressed = prop_demand(TAPERED, 5.0, Crown(1.35, 0.10, 100.0)).weight_n

    assert dressed == pytest.approx(1.35 * 1.10 * bare + 800.0)


@given(st.floats(2.0, 8.0), st.floats(0.0, 500.0))
def test_more_load_never_rests_lighter(a, ice):
    plain_load = prop_demand(TAPERED, a, BARE)
    iced = prop_demand(TAPERED, a, Crown(1.0, 0.0, ice))

    assert iced.envelope_n >= plain_load.envelope_n


def test_chance_and_closed_form_tell_the_same_spread():
    rng = np.random.default_rng(7)
    draws = simulate_demand_n(TAPERED, 5.0, rng, 20_000)

    middle, bounds = float(np.median(draws)), np.quantile(draws, [0.05, 0.95])

    spread = float(draws.std() / draws.mean())
    closed = spread_interval(middle, spread)
    assert spread == pytest.approx(0.19, abs=0.03)  # derived by hand, root of squares
    assert closed.low == pytest.approx(bounds[0], rel=0.06)
    assert closed.high == pytest.approx(bounds[1], rel=0.06)


def test_chance_is_repeatable_with_the_same_generator():
    one = simulate_demand_n(TAPERED, 5.0, np.random.default_rng(3), 5)

    again = simulate_demand_n(TAPERED, 5.0, np.random.default_rng(3), 5)

    assert (one == again).all()


@pytest.mark.parametrize("a", [0.0, 8.1])
def test_a_post_beyond_the_limb_is_refused(a):
    with pytest.raises(InvalidInput, match="the limb ends at"):
        prop_demand(TAPERED, a, BARE)


@pytest.mark.parametrize("stations", [[0.5, 8.0], [0.0, 0.0], [0.0]])
def test_stations_that_make_no_limb_are_refused(stations):
    limb = Limb(np.array(stations), np.full(len(stations), 300.0), 900.0)

    with pytest.raises(InvalidInput, match="Stations"):
        prop_demand(limb, 0.4, BARE)


@pytest.mark.parametrize(
    ("species", "density"),
    # Wood Handbook tables 5-3a and 4-1 as reproduced, density by hand:
    # 1000 G (1 + mean of heart and sap moisture)
    [
        ("white ash", 797.5),
        ("sugar maple", 943.6),
        ("northern red oak", 977.2),
        ("white oak", 1026),
        ("Douglas-fir, coast", 792),
        ("ponderosa pine", 737.2),
        ("eastern hemlock", 790.4),
        ("American beech", 915.6),
        ("yellow-poplar", 778),
    ],
)
def test_green_density_by_species(species, density):
    assert species_density_kg_m3(species) == pytest.approx(density, abs=0.1)


def test_the_worked_example_of_drying():
    # Wood Handbook, example to equation 5-3, in kPa: 119 500
    found = at_moisture(103_000.0, 66_000.0, 8.0, 24.0)

    assert found == pytest.approx(119_500, abs=100)


def test_gravity_on_dry_volume_is_higher():
    # shrinkage from memory: red oak 0.56 becomes 0.65, white oak 0.60 becomes 0.72
    assert oven_dry_gravity(0.56, 0.138) == pytest.approx(0.65, abs=0.005)
    assert oven_dry_gravity(0.60, 0.167) == pytest.approx(0.72, abs=0.005)


def test_an_unknown_species_is_refused_with_what_is_known():
    with pytest.raises(InvalidInput, match="white oak"):
        wood("triffid")


def test_a_species_without_moisture_asks_for_a_density():
    with pytest.raises(InsufficientData, match="measured green density"):
        species_density_kg_m3("loblolly pine")


def test_every_species_says_where_its_row_comes_from():
    assert all(row.source for row in WOODS.values())
    assert green_density_kg_m3(0.5, 100.0) == pytest.approx(1000.0)
