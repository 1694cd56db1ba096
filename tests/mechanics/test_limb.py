"""Limb weight and the load on a post, against statics and brute integration."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from monitor.errors import InsufficientData, InvalidInput
from monitor.mechanics.gravity import gravity_of
from monitor.mechanics.limb import Crown, Limb, prop_demand, simulate_demand_n
from monitor.mechanics.limb_statics import (
    fixed_reaction_even_n,
    fixed_reaction_point_n,
)
from monitor.mechanics.screening import CAUTION, spread_interval
from monitor.mechanics.species import (
    WOODS,
    green_density_kg_m3,
    species_density_kg_m3,
    wood,
)
from tests.mechanics.checks.limb import BARE, TAPERED


@given(st.floats(1.0, 8.0))
def test_the_envelope_is_the_larger_of_both_roots(a):
    demand = prop_demand(TAPERED, a, BARE)

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


def test_even_load_is_the_sum_of_its_points():
    # oracle: quadrature of the point-load formula
    summed = quad(lambda b: fixed_reaction_point_n(1.0, b, 6.0), 0, 10, points=[6.0])[0]

    assert fixed_reaction_even_n(1.0, 10.0, 6.0) == pytest.approx(summed, rel=1e-8)


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


def test_an_unknown_species_is_refused_with_what_is_known():
    with pytest.raises(InvalidInput, match="white oak"):
        wood("triffid")


def test_a_species_without_moisture_asks_for_a_density():
    with pytest.raises(InsufficientData, match="measured green density"):
        species_density_kg_m3("loblolly pine")


def test_every_species_says_where_its_row_comes_from():
    assert all(row.source for row in WOODS.values())
    assert green_density_kg_m3(0.5, 100.0) == pytest.approx(1000.0)


@pytest.mark.parametrize("name", ["mountain ash", "oak", "", "chestnut"])
def test_a_name_that_may_be_another_wood_has_no_gravity(name):
    assert gravity_of(name) is None


def test_the_lower_of_two_published_gravities_is_kept():
    # Zanne et al. 2009: Carpinus betulus 0.706 and 0.68, Quercus robur 0.56 and above
    assert gravity_of("hornbeam").basic == 0.68
    assert gravity_of("Quercus robur").basic == 0.56
    assert gravity_of("white oak").basic == wood("white oak").gravity
