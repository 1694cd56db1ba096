"""Coatings and buried steel against the published tables."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.errors import InvalidInput
from monitor.mechanics.buried import (
    Ground,
    buried_loss_mm,
)
from monitor.mechanics.coating import (
    ZincLife,
    rust_grade,
    rust_grade_d610,
    zinc_life_years,
)


@given(st.floats(0.0, 100.0), st.floats(0.0, 100.0))
def test_more_rust_is_never_a_better_grade(one, other):
    less, more = sorted((one, other))

    assert rust_grade(less) <= rust_grade(more)
    assert rust_grade_d610(less) >= rust_grade_d610(more)


@given(st.floats(25.0, 200.0), st.floats(1.0, 25.0))
def test_the_constant_rate_gives_the_shortest_life(coating, rate):
    lives = [zinc_life_years(coating, rate, law) for law in ZincLife]

    assert min(lives) == pytest.approx(lives[0])


@pytest.mark.parametrize("area", [-0.1, 101.0])
def test_an_impossible_rusted_area_is_refused(area):
    with pytest.raises(InvalidInput, match="rusted area"):
        rust_grade(area)


def test_the_table_is_not_stretched_beyond_its_last_column():
    with pytest.raises(InvalidInput, match="0 to 125"):
        buried_loss_mm(Ground.NATURAL, np.array([10.0, 126.0]))
