"""What a fleet teaches, what its past says of us, and readings one at a time."""

from dataclasses import replace

import numpy as np
import pytest

from monitor.errors import InvalidInput
from monitor.trends import (
    Hyper,
    Law,
    LawSet,
    Outlooks,
    Refusal,
    Verdict,
    append,
    applied,
    audit,
    audit_words,
    fit,
    follow,
    outlooks,
    outlooks_of,
    settle,
)
from monitor.trends.bench.worlds import IDEAL, REAL, World, mixed_lengths, simulate


def taught(world, n=250, many=16, law=LawSet.STEADY, seed=3):
    rng = np.random.default_rng(seed)
    truth = simulate(world, n, many, rng)
    return truth.readings(mixed_lengths(truth, rng)), truth.series(law)


@pytest.fixture(scope="module")
def real():
    readings, series = taught(REAL)
    return readings, series, fit(readings, series)


def test_the_season_a_fleet_shares_is_found(real):
    """The world swings by 0.30 mm with noise 0.5 mm: 0.6, by hand."""
    group = real[2].of(0)

    assert group.season_cos == pytest.approx(0.6, abs=0.12)
    assert group.season_sin == pytest.approx(0.0, abs=0.12)


def test_still_and_moving_shares_are_found(real):
    group = real[2].of(0)

    assert group.weights[0] == pytest.approx(0.65, abs=0.12)
    assert group.weights[3] >= 0.05


def test_fitted_numbers_survive_the_store(real):
    assert Hyper.from_dict(real[2].to_dict()) == real[2]


def test_an_accelerating_fleet_is_told_from_a_steady_one():
    bent = taught(replace(IDEAL, power=1.4), n=110, law=LawSet.GROUND)
    straight = taught(IDEAL, n=110, law=LawSet.GROUND)

    assert fit(*bent).of(0).laws[Law.ACCELERATING] > 0.9
    assert fit(*straight).of(0).laws[Law.LINEAR] > 0.5


def test_a_fleet_of_two_keeps_the_default_noise():
    readings, series = taught(IDEAL, n=2)

    group = fit(readings, series).of(0)

    assert group.noise == 1.0
    assert group.series_count == 2


def test_forecasts_of_a_known_world_are_trusted(real):
    readings, series, hyper = real

    found = audit(readings, series, hyper)[0]

    assert found.verdict in (Verdict.TRUSTED, Verdict.LABELLED)
    assert found.one_step.held / found.one_step.tried > 0.82
    assert not found.is_beaten
    assert "forecast" in audit_words(found)


def test_a_law_that_is_wrong_for_all_is_caught():
    readings, series = taught(replace(IDEAL, power=1.8, still=0.2), n=120, many=14)
    hyper = fit(readings, series)

    found = audit(readings, series, hyper)[0]

    assert found.half_record.bend_t > 3.0
    assert found.verdict >= Verdict.WIDENED
    assert found.widen > 1.0


def test_what_the_audit_asks_for_reaches_the_outlook():
    readings, series = taught(IDEAL, n=20)
    hyper = Hyper()
    asked = applied(hyper, audit(readings, series, hyper))
    wide = replace(asked, groups={0: replace(hyper.of(0), widen=2.0)})
    refused = replace(asked, groups={0: replace(hyper.of(0), is_refused=True)})

    plain, widened = outlooks(readings, series), outlooks(readings, series, wide)
    silent = outlooks(readings, series, refused)

    assert np.all(np.ptp(widened.level, axis=0) > 1.5 * np.ptp(plain.level, axis=0))
    assert np.all(silent.refusal == Refusal.AUDIT_FAILED)
    assert np.all(np.isnan(silent.act_years))
    assert not np.any(np.isnan(silent.rate))


def test_a_fleet_too_young_to_judge_is_not_judged():
    readings, series = taught(IDEAL, n=4)

    found = audit(readings, series, Hyper())

    assert all(a.verdict is Verdict.UNTRIED for a in found.values())


@pytest.mark.parametrize("law", [LawSet.STEADY, LawSet.GROUND])
@pytest.mark.parametrize("world", [IDEAL, REAL])
def test_readings_one_at_a_time_give_the_answer_of_all_at_once(world, law):
    truth = simulate(world, 60, 12, np.random.default_rng(8))
    readings, series = truth.readings(), truth.series(law)
    column = np.tile(np.arange(12), 60)

    following = follow(readings.take(column < 9), series)
    for late in (9, 10, 11):
        some = (column == late) & (readings.series % 5 != late % 5)
        append(following, readings.take(some))
        if late == 10:
            settle(following)
    found = outlooks_of(following)

    wanted = outlooks(following.readings(), series)
    for name in Outlooks.__slots__:
        if name != "version":
            np.testing.assert_allclose(
                getattr(found, name), getattr(wanted, name), rtol=1e-9, atol=1e-9
            )


def test_two_new_readings_of_one_series_are_refused():
    truth = simulate(IDEAL, 3, 6, np.random.default_rng(8))
    readings, series = truth.readings(), truth.series()
    following = follow(readings.take(readings.t_years < 1.0), series)

    with pytest.raises(InvalidInput):
        append(following, readings.take(readings.t_years >= 1.0))


def test_a_new_reading_older_than_the_last_is_refused_and_changes_nothing():
    truth = simulate(IDEAL, 3, 6, np.random.default_rng(8))
    readings, series = truth.readings(), truth.series()
    following = follow(readings, series)
    before = outlooks_of(following)

    with pytest.raises(InvalidInput):
        append(
            following, replace(readings.take(np.array([0])), t_years=np.array([-1.0]))
        )

    np.testing.assert_array_equal(outlooks_of(following).rate, before.rate)


def test_ninety_per_cent_intervals_hold_about_ninety_per_cent(real):
    hyper = real[2]
    truth = simulate(REAL, 1500, 5, np.random.default_rng(21))
    series = replace(
        truth.series(), now_years=truth.next_t, season_now=truth.next_season
    )

    low, _, high = outlooks(truth.readings(), series, hyper).next_now

    held = np.mean((truth.next_value >= low) & (truth.next_value <= high))
    assert 0.86 < held < 0.94


def test_still_supports_looked_at_for_twenty_years_are_left_in_peace():
    world = World(still=1.0, fast=0.0, pace=0.0, outliers=0.03)
    truth = simulate(world, 300, 26, np.random.default_rng(4))
    told = np.zeros(300, dtype=bool)

    for n in range(2, 27, 2):
        part = replace(truth, t=truth.t[:, :n], value=truth.value[:, :n])
        told |= outlooks(part.readings(), part.series()).evidence > 20.0

    assert np.mean(told) <= 0.05
