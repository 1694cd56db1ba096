"""First passage in closed form, and the engine's dates where the two overlap."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import invgauss, norm

from monitor.trends import GroupHyper, Hyper, Readings, Series, outlooks
from monitor.trends.plain_passage import Passage

LEVELS = np.array([0.05, 0.5, 0.95])


def inverse_gaussian(mean, shape):
    return Passage(gap=1.0, drift=1.0 / mean, diffusion=shape**-0.5)


@pytest.mark.parametrize(
    ("mean", "shape", "quantiles"),
    [  # computed once by bisection on the closed form of Chhikara and Folks 1989
        (1.0, 1.0, (0.1841132772, 0.6758413057, 2.922075977)),
        (10.0, 40.0, (4.126601711, 8.904967267, 19.605961)),
        (8.0, 20.0, (2.623473421, 6.692466159, 17.83249804)),
    ],
)
def test_quantiles_of_the_inverse_gaussian(mean, shape, quantiles):
    found = inverse_gaussian(mean, shape).quantile(LEVELS)

    assert found == pytest.approx(quantiles, rel=1e-8)
    assert found == pytest.approx(
        invgauss.ppf(LEVELS, mean / shape, scale=shape), rel=1e-7
    )


@settings(max_examples=50, deadline=None)
@given(st.floats(0.1, 50.0), st.floats(0.05, 5.0), st.floats(0.05, 5.0))
def test_a_known_drift_is_the_inverse_gaussian(gap, drift, diffusion):
    passage = Passage(gap, drift, diffusion)
    t = passage.mean_years * np.array([0.2, 0.7, 1.0, 1.5, 4.0])

    law = invgauss(passage.mean_years / passage.shape_years, scale=passage.shape_years)
    assert passage.chance_by(t) == pytest.approx(law.cdf(t), abs=1e-9)


def test_an_uncertain_drift_is_the_average_of_known_ones():
    """Gap 10, drift N(1, 0.3^2), diffusion 0.5, against a quadrature over the drift."""
    passage = Passage(10.0, 1.0, 0.5, drift_sd=0.3)
    years = [5.0, 8.0, 10.0, 15.0, 20.0]

    def average(t):
        def part(drift):
            known = Passage(10.0, drift, 0.5).chance_by(t)
            return float(known) * norm.pdf(drift, 1.0, 0.3)

        return quad(part, -1.5, 3.5, points=[1.0], limit=200)[0]

    found = passage.chance_by(years)

    assert found == pytest.approx([average(t) for t in years], abs=1e-8)
    assert found == pytest.approx(
        [0.004174061, 0.2477364226, 0.5146853085, 0.8550002121, 0.945155605], abs=1e-9
    )


def test_a_drift_away_may_never_arrive():
    """P(ever) = exp(-2 w |m| / k^2) (Karlin and Taylor 1975, from memory)."""
    passage = Passage(1.0, -1.0, 1.0)

    assert passage.chance_by(1e8) == pytest.approx(np.exp(-2.0), rel=1e-6)
    assert np.isinf(passage.quantile(0.5))
    assert np.isfinite(passage.quantile(0.1))


def test_what_lies_ahead_has_not_happened_today():
    assert Passage(1.0, 1.0, 1.0).chance_by(0.0) == 0.0


def engine_years(passage, noise):
    """The engine's dates for one reading at zero and a known law of drift."""
    group = GroupHyper(
        drift_noise=passage.diffusion / noise, season_spread=0.0, hazard=0.0,
        noise_df=np.inf, weights=(0.4, 0.3, 0.3 - 1e-9, 1e-9),
        means=(passage.drift,) * 4, sds=(passage.drift_sd,) * 4,
    )  # fmt: skip
    hyper = Hyper(default=group, outlier_share=1e-12, horizon_years=500.0)
    one = Readings.simple(np.array([0]), np.zeros(1), np.zeros(1), np.array(noise))
    series = Series.simple(np.array([passage.gap]), np.zeros(1))
    return np.array(outlooks(one, series, hyper).one(0).act_years)


@pytest.mark.parametrize("drift_sd", [0.05, 0.1, 0.3])
def test_the_engine_dates_a_limit_as_the_closed_form_does(drift_sd):
    """A level that wanders 0.15 mm in a year, as pooled readings usually show."""
    passage = Passage(15.0, 1.0, 0.15, drift_sd)

    found = engine_years(passage, noise=0.02)

    assert found == pytest.approx(passage.quantile(LEVELS), rel=0.004)


def test_where_wandering_rules_the_engine_is_late_by_an_eighth_at_most():
    """The engine asks where the level is, not where it has been: a path that went
    beyond and came back is not counted. It tells only where drift is next to nothing.
    """
    passage = Passage(10.0, 0.3, 1.0, 0.05)

    found = engine_years(passage, noise=0.01)

    early = float(passage.quantile(0.05))
    assert early < found[0] < 1.125 * early
