"""Who reads steadily: simulated readers whose scatter is known, and traps."""

from datetime import date, timedelta
from uuid import uuid4

import numpy as np
import pandas as pd
import pytest

from monitor.services.showing.fleet_rates import group_rates
from monitor.services.showing.fleet_readers import steadiness, triples

NO_SEGMENTS = pd.DataFrame(columns=["mark_id", "series", "starts_on"])


def readings(rng, *, marks=40, looks=12, noisy="Bram", factor=1.0):
    """Readings on straight lines by three people, one of them with more scatter."""
    rows = []
    for n in range(marks):
        support, mark = uuid4(), uuid4()
        slope = rng.normal(0, 1)
        for look in range(looks):
            who = ("Bram", "Ilse", "Wenna")[int(rng.integers(3))]
            sd = 2.0 * (factor if who == noisy else 1.0)
            rows.append(
                {
                    "support_id": support, "mark_id": mark, "quantity": "settlement",
                    "inspected_on": date(2000, 1, 1) + timedelta(days=300 * look + n),
                    "answer": "measured", "relation": "=", "inspector": who,
                    "value": slope * look + rng.normal(0, sd), "method": "level",
                    "sd_instrument": 2.0, "sd_placement": 0.0, "resolution": 0.0,
                }
            )  # fmt: skip
    return pd.DataFrame(rows)


def test_everyone_reads_as_declared_when_they_do():
    found = triples(readings(np.random.default_rng(1)), NO_SEGMENTS)

    ratios = {one.name: one.ratio for one in steadiness(found, "inspector")}

    assert ratios == pytest.approx({"Bram": 1.0, "Ilse": 1.0, "Wenna": 1.0}, abs=0.2)


def test_who_scatters_twice_as_much_is_named():
    frame = readings(np.random.default_rng(2), marks=80, factor=2.5)

    first, *others = steadiness(triples(frame, NO_SEGMENTS), "inspector")

    assert first.name == "Bram"
    assert first.is_unsteady
    assert not any(one.is_unsteady for one in others)
    assert first.low < first.ratio < first.high


def test_equal_readers_are_seldom_called_unsteady():
    named = sum(
        any(
            one.is_unsteady
            for one in steadiness(
                triples(readings(np.random.default_rng(n), marks=25), NO_SEGMENTS),
                "inspector",
            )
        )
        for n in range(40)
    )

    # Holm at 5 %: 2 of 40 expected; 7 or more have a chance below 1 % (binomial).
    assert named <= 6


def test_readings_across_a_restart_are_not_compared():
    frame = readings(np.random.default_rng(3), marks=1, looks=3)
    restart = pd.DataFrame(
        [(frame["mark_id"][0], "settlement", frame["inspected_on"][1])],
        columns=["mark_id", "series", "starts_on"],
    )

    assert len(triples(frame, NO_SEGMENTS)) == 1
    assert len(triples(frame, restart)) == 0


def test_too_few_supports_have_no_bounds():
    found = triples(readings(np.random.default_rng(4), marks=3), NO_SEGMENTS)

    assert all(one.low is None for one in steadiness(found, "inspector"))


def test_nothing_read_compares_nobody():
    frame = readings(np.random.default_rng(5)).iloc[:0]

    assert steadiness(triples(frame, NO_SEGMENTS), "inspector") == ()
    assert group_rates({}, [], None, "settlement") == ()
