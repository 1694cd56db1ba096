"""Evidence of drift and of a jump, and doubts about the newest reading."""

from typing import Final

import numpy as np
from scipy.special import log_ndtr, ndtri_exp

from monitor.trends.codes import FloatArray
from monitor.trends.evidence import (
    STEP_EVIDENCE,
    drift_evidence,
    goes_on,
    step_evidence,
)
from monitor.trends.filter import SUSPECT_BELOW, Run, spread_factor
from monitor.trends.filtered import Filtered, leading_run
from monitor.trends.hyper import Hyper
from monitor.trends.robust import inflated
from monitor.trends.track import Foresight, axes_sum

NEWEST_Z: Final = 3.0
ODD_Z: Final = 2.5
"""A jump is looked for where a reading was this far off. [sd]"""


def doubts(filtered: Filtered, hyper: Hyper) -> dict[str, FloatArray]:
    """Return evidence of drift and of a jump, and doubts about the newest reading."""
    block, prior = filtered.block, filtered.prior
    leading = leading_run(filtered)
    spread = spread_factor(leading.track, prior)
    noise = inflated(block, leading.weights, hyper) * np.maximum(spread, 1.0)
    z = newest_z(leading.newest)
    alone = block.begin < block.t.shape[0] - 1
    doubted = (leading.weights[-1] < SUSPECT_BELOW) | (np.abs(z) > NEWEST_Z)
    return {
        "evidence": drift_evidence(block, prior, noise, hyper),
        "newest_z": np.where(alone, z, 0.0),
        "newest_unconfirmed": (alone & doubted).astype(np.float64),
        "spread": spread,
        "weightless": np.all(
            (leading.weights < SUSPECT_BELOW) | ~block.valid, axis=0
        ).astype(np.float64),
    } | _steps(filtered, leading, hyper)


def _steps(filtered: Filtered, leading: Run, hyper: Hyper) -> dict[str, FloatArray]:
    block = filtered.block
    n = block.rows.size
    years, size, evidence = np.full(n, np.nan), np.zeros(n), np.ones(n)
    odd = np.abs(leading.z).max(axis=0) > ODD_Z
    at = np.flatnonzero(filtered.suspect | odd)
    if at.size:
        part = block.columns(at)
        found = step_evidence(
            part, filtered.prior.columns(at), leading.weights[:, at], hyper
        )
        seen = (found.evidence > STEP_EVIDENCE) & ~goes_on(part, found.row)
        when = part.t[found.row, np.arange(at.size)]
        years[at] = np.where(seen, when, np.nan)
        size[at] = np.where(seen, found.size * part.sign, 0.0)
        evidence[at] = found.evidence
    return {"step_years": years, "step_size": size, "step_evidence": evidence}


def newest_z(seen: Foresight) -> FloatArray:
    """Return the normal score of the newest reading under what was expected.

    For a vector it is the length of the mean error in sds.
    """
    sd = np.sqrt(seen.variance)
    if seen.error.shape[0] > 1:
        centre = np.sum(seen.weight * seen.error, axis=1)
        spread = np.sum(seen.weight * seen.variance, axis=0)
        return np.asarray(np.sqrt(axes_sum(centre**2) / spread / 2.0))
    sign = np.sign(np.sum(seen.weight * seen.error[0], axis=0))
    log_weight = np.log(np.maximum(seen.weight, 1e-300))
    tail = log_weight + log_ndtr(-sign * seen.error[0] / sd)
    top = tail.max(axis=0)
    log_tail = np.minimum(top + np.log(np.sum(np.exp(tail - top), axis=0)), -1e-12)
    return np.asarray(-sign * ndtri_exp(log_tail))
