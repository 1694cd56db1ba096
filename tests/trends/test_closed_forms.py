"""Pieces of the engine against closed forms and other libraries."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.stats import binomtest, ncx2, norm

from monitor.trends import Law, LawSet, discoveries
from monitor.trends.audit import chance_as_odd
from monitor.trends.evidence import likelihood_ratio
from monitor.trends.laws import PRIOR_LAW_WEIGHTS, floored, warp, warp_rate
from monitor.trends.look import Standing, look_again
from monitor.trends.mixture import Mixture
from monitor.trends.pooling import Slopes, deconvolve, default_regimes
from monitor.trends.reach import chance_outside_circle


def test_the_e_value_of_a_normal_drift():
    """sqrt(V/(V+tau^2)) exp(b^2 tau^2 / (2V(V+tau^2))), Robbins 1970; by hand.

    V = 0.04, tau = 0.5, b = 0.6: sqrt(0.04/0.29) = 0.371391 and
    exp(0.36 * 0.25 / (2 * 0.04 * 0.29)) = exp(3.879310) = 48.3908.
    """
    found = likelihood_ratio((0.6 / 0.04) ** 2, 1.0 / 0.04, 0.5, 1)

    assert found == pytest.approx(0.371391 * 48.3908, rel=1e-5)


def test_an_e_value_of_still_readings_is_one_on_average():
    rng = np.random.default_rng(1)
    score = 0.2 * rng.normal(size=400_000) / 0.04

    found = [likelihood_ratio(s * s, 1.0 / 0.04, 0.1, 1) for s in score.tolist()]

    assert np.mean(found) == pytest.approx(1.0, abs=0.01)


def test_e_values_that_are_one_over_p_give_the_benjamini_hochberg_list():
    """Benjamini and Hochberg 1995, 15 p values: 4 rejected at 5 %."""
    p = [
        0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344,
        0.0459, 0.3240, 0.4262, 0.5719, 0.6528, 0.7590, 1.0,
    ]  # fmt: skip

    listed = discoveries(1.0 / np.array(p), rate=0.05)

    assert listed.tolist() == [True] * 4 + [False] * 11


def test_nothing_is_listed_where_nothing_moves():
    assert not np.any(discoveries(np.ones(50)))


@pytest.mark.parametrize("distance", [0.0, 0.5, 2.0, 6.0, 20.0])
@pytest.mark.parametrize("sd", [0.2, 1.0, 4.0])
def test_leaving_a_circle_is_the_non_central_chi_square(distance, sd):
    radius = np.linspace(0.5, 25.0, 40)

    found = np.array([chance_outside_circle(distance, sd, r) for r in radius])

    exact = ncx2.sf((radius / sd) ** 2, 2, (distance / sd) ** 2)
    np.testing.assert_allclose(found, exact, atol=0.016)
    likely = exact < 0.9  # where dates are decided the approximation is finer
    np.testing.assert_allclose(found[likely], exact[likely], atol=0.007)


@settings(max_examples=60)
@given(
    st.lists(
        st.tuples(st.floats(-5, 5), st.floats(0.01, 5), st.floats(0.01, 1)),
        min_size=1,
        max_size=6,
    ),
    st.sampled_from([0.05, 0.5, 0.95]),
)
def test_a_mixture_quantile_has_its_chance_below_it(parts, chance):
    mean, sd, weight = (np.array(v)[:, None] for v in zip(*parts, strict=True))
    weight = weight / weight.sum()

    found = Mixture(mean, sd, weight).quantile(chance)[0]

    def miss(x):
        return float(np.sum(weight * norm.cdf((x - mean) / sd)) - chance)

    assert miss(found) == pytest.approx(0.0, abs=1e-7)
    assert miss(brentq(miss, -60, 60)) == pytest.approx(0.0, abs=1e-7)


def test_a_mixture_quantile_does_not_depend_on_its_neighbours():
    rng = np.random.default_rng(3)
    parts = (
        rng.normal(size=(4, 50)),
        rng.uniform(0.01, 3, (4, 50)),
        np.full((4, 50), 0.25),
    )

    together = Mixture(*parts).quantile(0.05)

    alone = [Mixture(*(p[:, [i]] for p in parts)).quantile(0.05)[0] for i in range(50)]
    np.testing.assert_allclose(together, alone, rtol=1e-12)


@pytest.mark.parametrize(
    ("years", "metal"),
    [(2.0, 1.4369), (5.0, 2.3204), (10.0, 3.3343), (20.0, 4.7911), (50.0, 7.7368)],
)
def test_the_corrosion_law_grows_with_the_power_0523(years, metal):
    """t^0.523, carbon steel, ISO 9224:2012 (from memory); powers by hand."""
    one, many = warp(Law.CORROSION, np.array([1.0, years]))

    assert many / one == pytest.approx(metal, abs=1e-4)


@pytest.mark.parametrize("law", list(Law))
def test_every_law_agrees_at_ten_years_and_its_rate_is_its_slope(law):
    t = np.array([0.5, 3.0, 10.0, 40.0])

    slope = (warp(law, t + 1e-6) - warp(law, t - 1e-6)) / 2e-6

    np.testing.assert_allclose(warp_rate(law, t), slope, rtol=1e-6)
    assert warp(law, np.array(10.0)) == pytest.approx(10.0)


def test_the_dangerous_law_is_never_dropped():
    laws = PRIOR_LAW_WEIGHTS[LawSet.GROUND]
    sure = {law: np.array(float(law is Law.LINEAR)) for law in laws}

    kept = floored(sure, LawSet.GROUND, 0.0)

    assert kept[Law.ACCELERATING] >= 0.047
    assert sum(kept.values()) == pytest.approx(1.0)


def test_half_of_the_time_to_the_early_date_governs_between_its_bounds():
    standing = Standing(
        early_years=np.array([4.0, 100.0, 0.6, 0.3, 4.0, 4.0]),
        since_last=np.zeros(6),
        readings=np.array([9, 9, 9, 9, 2, 9]),
        is_unconfirmed=np.array([False, False, False, False, False, True]),
        early_if_right=np.array([np.nan, np.nan, np.nan, np.nan, np.nan, 3.0]),
        max_interval_years=np.full(6, 3.0),
        first_gap_years=np.full(6, 1.0),
    )

    years, rule = look_again(standing)

    np.testing.assert_allclose(years, [2.0, 3.0, 0.3, 0.25, 1.0, 0.25])
    assert rule.tolist() == [1, 0, 1, 5, 2, 3]


def test_a_doubtful_reading_that_may_be_past_the_limit_is_owed_since_it_was_taken():
    standing = Standing(
        early_years=np.full(2, 40.0),
        since_last=np.full(2, 0.1),
        readings=np.full(2, 9),
        is_unconfirmed=np.full(2, True),
        early_if_right=np.array([0.0, 0.2]),
        max_interval_years=np.full(2, 3.0),
        first_gap_years=np.full(2, 1.0),
    )

    years, _ = look_again(standing)

    np.testing.assert_allclose(years, [-0.1, 0.05])


def test_twenty_pseudo_series_keep_a_tiny_fleet_near_the_default():
    start = default_regimes(15.0, one_way=False)
    slopes = Slopes(np.zeros((1, 3)), np.full(3, 0.01))

    found = deconvolve(slopes, start, sideless=False)

    assert np.max(np.abs(found.weight - start.weight)) < 0.15
    assert found.weight[3] >= 0.05


def test_two_heaps_of_slopes_are_found():
    rng = np.random.default_rng(1)
    true = np.where(rng.random(800) < 0.7, 0.0, 1.0) + 0.05 * rng.normal(size=800)
    slopes = Slopes((true + 0.1 * rng.normal(size=800))[None], np.full(800, 0.01))

    found = deconvolve(slopes, default_regimes(15.0, one_way=False), sideless=False)

    assert found.weight[0] == pytest.approx(0.66, abs=0.06)
    assert np.min(np.abs(found.mean[1:3] - 1.0)) < 0.1


@pytest.mark.parametrize("tried", [10, 57, 412])
def test_the_chance_of_a_count_as_odd_is_the_exact_binomial_test(tried):
    found = [chance_as_odd(held, tried) for held in range(tried + 1)]

    exact = [binomtest(held, tried, 0.9).pvalue for held in range(tried + 1)]
    np.testing.assert_allclose(found, exact, rtol=1e-9, atol=1e-12)
