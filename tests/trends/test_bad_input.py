"""What the engine answers to input that is wrong, odd or far too much.

An unknown unit never reaches it: a number in a unit that does not fit its quantity is
refused where it is written down, see `tests/services/test_record.py`.
"""

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.errors import InvalidInput
from monitor.trends import (
    REFUSAL_WORDS,
    About,
    EvidenceWord,
    LookRule,
    Readings,
    Refusal,
    Series,
    outlooks,
    sentence,
)
from monitor.units import parse
from tests.conftest import NOON

NOW = 10.0
CONCLUSIONS = ("level", "rate", "next_now", "next_year", "classes", "evidence")
DATES = ("watch_years", "act_years")


def readings_of(values, t=None, sd=0.5):
    values = np.asarray(values, dtype=float)
    t = np.arange(float(values.size)) if t is None else np.asarray(t, dtype=float)
    index = np.zeros(values.size, dtype=int)
    return Readings.simple(index, t, values, np.array(sd))


def answer(readings, **known):
    series = Series.simple(np.array([15.0]), np.array([NOW]))
    return outlooks(readings, replace(series, **known)).one(0)


def spoken(outlook):
    about = About(unit="mm", limit="15 mm", now_years=NOW)
    return sentence(outlook, about, NOON.date())


def is_blank(outlook, names):
    return all(np.isnan(getattr(outlook, name)).all() for name in names)


def test_a_unit_nobody_knows_is_refused_before_it_is_a_reading():
    with pytest.raises(InvalidInput, match="furlong"):
        parse("3 furlong", "mm")


def test_without_a_limit_there_is_a_rate_and_no_date():
    found = answer(readings_of([0.0, 1.1, 2.0, 2.9]), act=np.array([np.nan]))

    assert found.refusal == Refusal.LIMIT_MISSING
    assert found.rate[0] < 1.0 < found.rate[2]
    assert is_blank(found, DATES)
    assert "no date can be named" in spoken(found)


def test_times_out_of_order_are_refused_in_words():
    found = answer(readings_of([0.0, 1.0, 2.0], t=[0.0, 2.0, 1.0]))

    assert found.refusal == Refusal.TIME_ORDER
    assert is_blank(found, (*CONCLUSIONS, *DATES))
    assert spoken(found) == f"No answer: {REFUSAL_WORDS[Refusal.TIME_ORDER]}."


@pytest.mark.parametrize("odd", [np.nan, np.inf, -np.inf])
@pytest.mark.parametrize(
    "column", ["value", "t_years", "sd_instrument", "sd_placement", "resolution"]
)
def test_what_is_not_a_finite_number_is_refused_in_words(column, odd):
    readings = readings_of([0.0, 1.0, 2.0])
    getattr(readings, column)[1] = odd

    found = answer(readings)

    assert found.refusal == Refusal.NOT_FINITE
    assert is_blank(found, (*CONCLUSIONS, *DATES))
    assert "finite" in spoken(found)


def test_a_vector_with_one_axis_missing_is_refused():
    found = answer(readings_of([0.0, 1.0, 2.0]), is_vector=np.array([True]))

    assert found.refusal == Refusal.NOT_FINITE


@pytest.mark.parametrize("sd", [0.0])
def test_noise_of_nothing_is_refused(sd):
    found = answer(readings_of([0.0, 1.0, 2.0], sd=sd))

    assert found.refusal == Refusal.NOISE_MISSING


def test_a_series_without_readings_says_so():
    series = Series.simple(np.full(2, 15.0), np.full(2, NOW))

    found = outlooks(readings_of([0.0, 1.0]), series).one(1)

    assert found.refusal == Refusal.NO_READINGS
    assert is_blank(found, (*CONCLUSIONS, *DATES))


def test_equal_readings_are_still_within_what_the_scale_can_show():
    readings = replace(readings_of([2.0] * 8), resolution=np.full(8, 1.0))

    found = answer(readings)

    assert found.evidence_word == EvidenceWord.NONE
    assert found.rate[0] <= -1.0 / 7.0
    assert found.rate[2] >= 1.0 / 7.0
    assert np.isinf(found.act_years[1])


def test_one_reading_claims_no_rate_and_wants_another():
    found = answer(readings_of([2.0]))

    assert found.evidence <= 1.0
    assert found.rate[0] < 0.0 < found.rate[2]
    assert found.look_rule == LookRule.FIRST_YEARS
    assert "no rate can be claimed" in spoken(found)


def test_ten_readings_on_one_day_are_no_ten_years():
    one_day = answer(readings_of(np.arange(10.0), t=np.zeros(10)))

    assert one_day.readings == 1
    assert one_day.evidence <= 1.0
    assert one_day.rate[0] < 0.0 < one_day.rate[2]


def test_a_logger_of_ten_thousand_readings_is_answered_like_its_visits():
    """Known truth 0.3 mm a year; placement noise is common to no two readings."""
    rng = np.random.default_rng(5)
    t = np.linspace(0.0, NOW, 10_000)
    found = answer(readings_of(0.3 * t + 0.5 * rng.normal(size=t.size), t=t))

    assert 200 <= found.readings <= 257
    assert found.rate[0] < 0.3 < found.rate[2]
    assert found.evidence_word == EvidenceWord.CERTAIN


def test_a_logger_says_as_much_of_every_one_of_its_readings():
    rng = np.random.default_rng(6)
    t = np.linspace(0.0, NOW, 10_000)
    readings = readings_of(rng.normal(size=t.size), t=t, sd=1.0)

    found = outlooks(readings, Series.simple(np.array([15.0]), np.array([NOW])))

    assert np.isfinite(found.weight).all()
    assert np.isfinite(found.z).all()


def test_the_future_of_a_reading_from_tomorrow_is_answered():
    """A clock set wrong: the newest reading lies half a year after today."""
    found = answer(readings_of([0.0, 0.5, 1.0], t=[8.0, 9.0, 10.5]))

    assert np.isfinite(found.level).all()


@st.composite
def odd_fleets(draw):
    """Series of any length, order, size and noise, with any number gone wrong."""
    counts = draw(st.lists(st.integers(0, 6), min_size=1, max_size=5))
    index = np.repeat(np.arange(len(counts)), counts)
    number = st.one_of(
        st.floats(-1e6, 1e6),
        st.sampled_from([0.0, np.nan, np.inf, -np.inf, 1e-300, 1e300, -1e300, 1e5]),
    )

    def column(values):
        return np.array([draw(values) for _ in index], dtype=float)

    base = Readings.simple(index, column(st.floats(0, 40)), column(number), np.array(1))
    readings = replace(
        base,
        sd_instrument=column(st.sampled_from([0.0, 0.5, 0.01, 1e9, np.nan])),
        resolution=column(st.sampled_from([0.0, 0.1])),
        relation=column(st.sampled_from([-1, 0, 0, 1])).astype(int),
        instrument=column(st.sampled_from([0, 0, 1])).astype(int),
    )
    if draw(st.booleans()):  # in order of time, at least
        order = np.lexsort((readings.t_years, readings.series))
        readings = readings.take(order)
    n = len(counts)
    limits = [draw(st.sampled_from([15.0, 0.0, -5.0, np.nan, 1e9])) for _ in range(n)]
    series = replace(
        Series.simple(np.array(limits), np.full(n, 41.0)),
        direction=np.array([draw(st.sampled_from([-1, 0, 1])) for _ in range(n)]),
        law_set=np.array([draw(st.integers(0, 4)) for _ in range(n)]),
    )
    return readings, series


@given(odd_fleets())
def test_no_number_is_missing_without_a_word_for_it(fleet):
    readings, series = fleet

    found = outlooks(readings, series)

    for i in range(len(series)):
        one = found.one(i)
        word = Refusal(one.refusal)
        if word in (Refusal.NONE, Refusal.LIMIT_MISSING):
            for name in (*CONCLUSIONS, "newest_z", "spread"):
                assert not np.isnan(getattr(one, name)).any(), (word, name)
        if word is Refusal.NONE:
            assert not np.isnan(one.act_years).any()
        if word is not Refusal.NONE:
            assert REFUSAL_WORDS[word]
        if word not in (Refusal.NONE, Refusal.LIMIT_MISSING, Refusal.AUDIT_FAILED):
            assert is_blank(one, (*CONCLUSIONS, *DATES))
        assert one.look_rule in set(LookRule)
        assert spoken(one)


def test_every_field_of_an_outlook_is_a_plain_number():
    """Nothing of numpy reaches the store, where it would be kept as bytes."""
    found = answer(readings_of([0.0, 1.0, 2.0]))

    for name in (f.name for f in fields(found)):
        value = getattr(found, name)
        flat = value if isinstance(value, tuple) else (value,)
        assert all(type(v) in (int, float, bool, str) for v in flat), name
