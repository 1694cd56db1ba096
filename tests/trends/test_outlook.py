from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from monitor.errors import InvalidInput
from monitor.trends import (
    About,
    EvidenceWord,
    Hyper,
    LawSet,
    LookRule,
    Readings,
    Refusal,
    Series,
    outlooks,
    sentence,
)

TODAY = date(2026, 11, 25)


def fleet(*paths, sd=0.5, act=15.0):
    """Return readings and series of the given (times, values) paths."""
    index = np.repeat(np.arange(len(paths)), [len(t) for t, _ in paths])
    t = np.concatenate([np.asarray(t, dtype=float) for t, _ in paths])
    y = np.concatenate([np.asarray(y, dtype=float) for _, y in paths])
    now = np.array([t[-1] if len(t) else 0.0 for t, _ in paths])
    return (
        Readings.simple(index, t, y, np.array(sd)),
        Series.simple(np.full(len(paths), act), now),
    )


def calm(n=12, seed=1, sd=0.5, rate=0.0):
    t = 0.75 * np.arange(n)
    return t, rate * t + sd * np.random.default_rng(seed).normal(size=n)


def told(readings, series, index=0):
    outlook = outlooks(readings, series).one(index)
    about = About("mm", "15 mm", float(series.now_years[index]))
    return sentence(outlook, about, TODAY)


def test_a_still_support_is_not_called_moving():
    outlook = outlooks(*fleet(calm())).one(0)

    assert outlook.evidence_word == EvidenceWord.NONE
    assert outlook.look_rule == LookRule.ORDINARY


def test_a_moving_support_is_certain_and_dated():
    outlook = outlooks(*fleet(calm(rate=0.9))).one(0)

    assert outlook.evidence_word == EvidenceWord.CERTAIN
    assert outlook.rate[0] < 0.9 < outlook.rate[2]
    early, middle, late = outlook.act_years
    assert early < (15 - 0.9 * 8.25) / 0.9 < late
    assert early < middle < late


def test_one_reading_claims_no_rate():
    text = told(*fleet(([0.0], [0.0])))

    assert text.startswith("One reading, so no rate can be claimed")


def test_two_readings_are_too_early_or_provisional():
    assert "Too early to tell" in told(*fleet(([0.0, 1.0], [0.0, 0.6])))


def test_a_sentence_for_certain_movement_names_rate_dates_and_next_look():
    text = told(*fleet(calm(rate=0.9)))

    assert text.startswith("Moving ")
    assert "mm a year (" in text
    assert "15 mm" in text
    assert "look again by" in text
    assert text.endswith(".")


def test_a_stray_newest_reading_is_not_believed_until_repeated():
    t, y = calm()
    y[-1] += 7.0

    outlook = outlooks(*fleet((t, y))).one(0)

    assert outlook.newest_unconfirmed
    assert outlook.look_rule == LookRule.UNCONFIRMED
    assert outlook.look_years == pytest.approx(0.25)


def test_a_stray_reading_in_the_past_counts_little_and_is_kept():
    t, y = calm()
    y[4] += 8.0

    result = outlooks(*fleet((t, y)))

    assert result.weight[4] < 0.05
    assert np.all(np.delete(result.weight, 4) > 0.9)
    assert not result.newest_unconfirmed[0]


def test_an_unrecorded_jump_is_named_and_not_split():
    t, y = calm(14)
    y[8:] += 6.0

    outlook = outlooks(*fleet((t, y))).one(0)

    assert outlook.step_years == pytest.approx(t[8])
    assert outlook.step_size == pytest.approx(6.0, abs=1.5)
    assert outlook.readings == 14


def test_a_limit_already_passed_asks_to_act_now():
    text = told(*fleet(calm(24, rate=1.0)))

    assert "already beyond 15 mm" in text
    assert "act now" in text


@pytest.mark.parametrize(
    ("harm", "refusal"),
    [
        (lambda r, s: (replace(r, value=r.value * np.inf), s), Refusal.NOT_FINITE),
        (lambda r, s: (replace(r, t_years=r.t_years[::-1]), s), Refusal.TIME_ORDER),
        (
            lambda r, s: (replace(r, sd_instrument=0 * r.value), s),
            Refusal.NOISE_MISSING,
        ),
        (lambda r, s: (r, replace(s, act=np.array([np.nan]))), Refusal.LIMIT_MISSING),
        (lambda r, s: (r.take(r.t_years < -1.0), s), Refusal.NO_READINGS),
    ],
)
def test_what_can_not_be_answered_is_refused_in_words(harm, refusal):
    readings, series = harm(*fleet(calm()))

    with np.errstate(invalid="ignore"):
        outlook = outlooks(readings, series).one(0)

    assert outlook.refusal == refusal
    about = About("mm", "", float(series.now_years[0]))
    assert len(sentence(outlook, about, TODAY)) > 20


def test_no_number_is_missing_without_a_refusal():
    readings, series = fleet(
        calm(1), calm(2), calm(5), calm(30), ([0, 0, 0], [1, 2, 3])
    )
    series = replace(series, watch=0.5 * series.act)

    result = outlooks(readings, series)

    assert np.all(result.refusal == Refusal.NONE)
    for name in result.__slots__:
        if name not in ("version", "step_years") and not name.endswith("_if_right"):
            assert not np.any(np.isnan(getattr(result, name))), name


def test_unsorted_series_are_refused_at_once():
    readings, series = fleet(calm(), calm())

    with pytest.raises(InvalidInput):
        outlooks(readings.take(np.arange(len(readings))[::-1]), series)


def test_a_tilt_is_a_vector_and_does_not_care_for_the_axes():
    rng = np.random.default_rng(5)
    t = 0.75 * np.arange(12)
    x, y = 0.4 * t + 0.5 * rng.normal(size=(2, 12))
    readings, series = fleet((t, x))
    series = replace(
        series, is_vector=np.array([True]), law_set=np.array([LawSet.GROUND])
    )
    c, s = np.cos(0.7), np.sin(0.7)

    plain = outlooks(replace(readings, value_y=y), series)
    turned = outlooks(
        replace(readings, value=c * x - s * y, value_y=s * x + c * y), series
    )

    for name in ("level", "rate", "act_years", "evidence", "classes"):
        before, after = getattr(plain, name), getattr(turned, name)
        np.testing.assert_allclose(before, after, rtol=1e-9, atol=1e-12)


def test_fleet_numbers_survive_the_store():
    hyper = Hyper()

    assert Hyper.from_dict(hyper.to_dict()) == hyper


def test_foreign_fleet_numbers_are_refused():
    with pytest.raises(InvalidInput):
        Hyper.from_dict({"groups": 3})
