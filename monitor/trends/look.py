"""When to look again: half of the time to the earliest credible limit date.

Half the time from warning to failure is the usual rule of reliability-centred
maintenance (Nowlan and Heap 1978, from memory). The analysis may only shorten the
duty-holder's own interval.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from monitor.trends.codes import BoolArray, FloatArray, IntArray, LookRule

SHORTEST_YEARS: Final = 0.25
FIRST_READINGS: Final = 3


@dataclass(frozen=True, slots=True)
class Standing:
    """What the rule needs to know of each series.

    Parameters
    ----------
    early_years : years from today to the early (5 %) date of the act limit [yr]
    since_last : years from the newest reading to today [yr]
    readings : number of readings in the segment
    is_unconfirmed : the newest reading is doubted
    early_if_right : as `early_years`, should a doubted newest reading be right [yr]
    max_interval_years : the duty-holder's own longest interval [yr]
    first_gap_years : longest gap while there are three readings or fewer [yr]
    """

    early_years: FloatArray
    since_last: FloatArray
    readings: IntArray
    is_unconfirmed: BoolArray
    early_if_right: FloatArray
    max_interval_years: FloatArray
    first_gap_years: FloatArray


def look_again(standing: Standing) -> tuple[FloatArray, IntArray]:
    """Return years from today to the next look and the rule's code.

    Below zero it is owed since then, so that an overdue look does not move with today.
    """
    early = np.where(np.isnan(standing.early_years), np.inf, standing.early_years)
    half = 0.5 * (early + standing.since_last)
    interval = standing.max_interval_years.copy()
    rule = np.full(interval.shape, LookRule.ORDINARY, dtype=np.int64)

    def shorten(to: FloatArray, code: LookRule) -> None:
        shorter = to < interval
        rule[shorter] = code
        np.minimum(interval, to, out=interval)

    shorten(np.maximum(half, SHORTEST_YEARS), LookRule.HALF_TIME)
    rule[(rule == LookRule.HALF_TIME) & (half < SHORTEST_YEARS)] = LookRule.SHORTEST
    young = standing.readings <= FIRST_READINGS
    shorten(np.where(young, standing.first_gap_years, np.inf), LookRule.FIRST_YEARS)
    if_right = np.nan_to_num(standing.early_if_right, nan=np.inf)
    soon = np.minimum(0.5 * (if_right + standing.since_last), SHORTEST_YEARS)
    soon = np.where(if_right > 0.0, soon, 0.0)  # owed from the day it was read
    shorten(np.where(standing.is_unconfirmed, soon, np.inf), LookRule.UNCONFIRMED)
    rule[early <= 2.0 * SHORTEST_YEARS] = LookRule.ACT_NOW
    return interval - standing.since_last, rule
