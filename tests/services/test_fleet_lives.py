"""How long things last: published values, small numbers, nothing ended."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.services.showing.fleet_lives import Life, survival_of

# E. J. Freireich et al., Blood 21 (1963), 699-716: weeks of remission under 6-MP, as in
# D. R. Cox, D. Oakes, Analysis of Survival Data (1984); + is censored.
ENDED = (6, 6, 6, 7, 10, 13, 16, 22, 23)
STILL = (6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35)


def test_the_share_that_lasts_is_the_published_one():
    lives = [Life(float(t), True) for t in ENDED] + [
        Life(float(t), False) for t in STILL
    ]

    found = survival_of("6-MP", lives)

    share = {year: step for year, step, *_ in found.steps}
    # Collett, Modelling Survival Data, and many others: 0.857, 0.807, 0.753, 0.690,
    # 0.627, 0.538, 0.448.
    assert share[6.0] == pytest.approx(0.857, abs=5e-4)
    assert share[7.0] == pytest.approx(0.807, abs=5e-4)
    assert share[10.0] == pytest.approx(0.753, abs=5e-4)
    assert share[13.0] == pytest.approx(0.690, abs=5e-4)
    assert share[22.0] == pytest.approx(0.538, abs=5e-4)
    assert share[23.0] == pytest.approx(0.448, abs=5e-4)
    assert found.median_years == 23.0
    assert (found.count, found.ended) == (21, 9)


def test_nothing_ended_is_said_with_the_rule_of_three():
    found = survival_of("post", [Life(30.0, False)] * 10)

    assert found.median_years is None
    # By hand: 3 of 10 at most may have ended.
    assert found.at_20 == pytest.approx((1.0, 0.7, 1.0))
    assert found.is_few


@given(
    st.lists(
        st.tuples(st.floats(0, 80, allow_nan=False), st.booleans()),
        min_size=1,
        max_size=60,
    )
)
def test_shares_fall_and_lie_within_their_bounds(lives):
    found = survival_of("any", [Life(years, ended) for years, ended in lives])

    shares = [step[1] for step in found.steps]
    assert shares == sorted(shares, reverse=True)
    for _, share, low, high in found.steps:
        assert -1e-9 <= low <= share + 1e-9
        assert share - 1e-9 <= high <= 1 + 1e-9
    assert found.steps[-1][0] == pytest.approx(max(years for years, _ in lives))
