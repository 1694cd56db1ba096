"""The lean that a margin counts with is never milder than what was last read."""

from dataclasses import replace

import pytest

from monitor.domain.vocabulary import MemberKind
from monitor.services.margins.case import Findings
from monitor.services.margins.lean import lean_of
from tests.domain.test_standing import CALM
from tests.services.margin_world import BUILT, POST, a_run, known


def leaning(newest_mm_m):
    """Estimated at 13 mm/m with a spread of 2; last read at `newest_mm_m`."""
    run = a_run({2020: 1.0, 2026: newest_mm_m}, across=[0.0, 0.0], noise=1.0)
    details = {
        "segment_from": BUILT.isoformat(),
        "position": [13.0, 0.0, 2.0, 2.0, 0.0],
    }
    outlook = replace(CALM, series="tilt", details=details)
    one = replace(
        known(MemberKind.POST, POST, {"tilt": (run,)}), outlooks={"tilt": (outlook,)}
    )
    return lean_of(one, Findings())


def test_a_newest_reading_far_worse_than_foretold_counts_until_repeated():
    assert leaning(36.0).now_mm_m == pytest.approx(36.0)


@pytest.mark.parametrize("newest_mm_m", [13.5, 5.0])
def test_a_newest_reading_in_reach_or_milder_leaves_the_estimate(newest_mm_m):
    assert leaning(newest_mm_m).now_mm_m == pytest.approx(13.0)
