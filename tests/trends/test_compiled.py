"""The normal distribution inside compiled loops, and when compiled code is renewed."""

import numpy as np
import pytest
from scipy.special import log_ndtr, ndtr, ndtri

from monitor.trends import compiled
from monitor.trends.compiled import (
    _stamp,
    log_normal_below,
    normal_below,
    normal_below_and_bell,
    normal_quantile,
)

FACTOR = 2.0


def test_chances_below_are_those_of_another_library():
    z = np.linspace(-40.0, 40.0, 801)

    found = [normal_below(v) for v in z]

    np.testing.assert_allclose(found, ndtr(z), rtol=0.0, atol=4e-16)


def test_the_bell_beside_a_chance_is_its_exponential():
    z = np.linspace(-8.0, 8.0, 33)

    found = [normal_below_and_bell(v)[1] for v in z]

    np.testing.assert_allclose(found, np.exp(-0.5 * z * z), rtol=1e-14)


def test_logs_of_far_chances_are_those_of_another_library():
    z = np.concatenate((-np.geomspace(1e-3, 1e4, 400), [0.0, 1.0, 3.0]))

    found = [log_normal_below(v) for v in z]

    np.testing.assert_allclose(found, log_ndtr(z), rtol=1e-10)


def test_quantiles_are_those_of_another_library():
    chance = np.concatenate((np.geomspace(1e-300, 0.5, 500), np.linspace(0.5, 1, 99)))
    chance = chance[chance < 1.0]

    found = [normal_quantile(p) for p in chance]

    np.testing.assert_allclose(found, ndtri(chance), rtol=1e-13, atol=1e-15)


@compiled.inlined
def inner(x: float) -> float:
    return FACTOR * x


def outer(x: float) -> float:
    return inner(x)


def test_machine_code_is_renewed_when_a_constant_of_what_it_calls_changes(monkeypatch):
    before = _stamp(outer)
    assert _stamp(outer) == before

    monkeypatch.setitem(globals(), "FACTOR", 3.0)

    assert _stamp(outer) != before


def test_nan_stays_nan():
    assert normal_below(np.nan) == pytest.approx(np.nan, nan_ok=True)
