"""Numbers that look as if they had been written in another unit."""

from datetime import date, timedelta

import pytest

from monitor.domain.vocabulary import Standing
from monitor.services.assessing.assess import assess, assess_all
from monitor.services.assessing.calibrate import adopt, calibrate
from monitor.store import records
from tests.build import a_support, some_readings
from tests.conftest import NOON

DAYS = [date(2014 + 2 * n, 5, 1) for n in range(6)]
SOUND = [6.3, 6.2, 6.3, 6.1, 6.2, 6.1]


@pytest.fixture
def fleet(store):
    """Twelve posts of much the same wall, and their numbers in force."""
    with store.write_session() as session:
        for n in range(12):
            wall = [value + 0.1 * (n % 5) for value in SOUND]
            built = a_support(session, f"S-{n}", mark="at grade")
            some_readings(session, built, "wall", dict(zip(DAYS, wall, strict=True)))
        found = calibrate(session, now=NOON)
        adopt(session, found)
    return store


def one_more(store, values, *, quantity="wall"):
    with store.write_session() as session:
        built = a_support(session, "S-99", mark="at grade")
        days = dict(zip(DAYS, values, strict=False))
        some_readings(session, built, quantity, days)
        assess(session, [built.support.id], now=NOON)
    with store.read_session() as session:
        outlook = records.OUTLOOKS.find(session, support_id=built.support.id)
        standing = records.STANDINGS.find(session, support_id=built.support.id)
        due = records.DUES.find(session, support_id=built.support.id)
    return outlook, standing, due


def test_a_series_in_centimetres_among_millimetres_is_not_reassuring(fleet):
    outlook, standing, due = one_more(fleet, [v / 10.0 for v in SOUND])

    assert outlook.sentence == (
        "No answer: its readings look 10 times too small for their kind: were they "
        "written in another unit?"
    )
    assert outlook.rate is outlook.level is outlook.act_on.early is None
    assert standing.standing is Standing.WATCH
    assert "written in another unit" in standing.reasons[0]
    assert due.due_on <= NOON.date() + timedelta(days=93)


def test_a_doubted_unit_does_not_silence_an_alarm(fleet):
    with fleet.write_session() as session:
        assess_all(session, now=NOON)
    sound, _, _ = one_more(fleet, [6.3, 6.2, 5.0, 3.0, 1.5, 0.62])

    assert sound.p_beyond_act > 0.5
    assert not sound.refusal


@pytest.mark.parametrize("place", [0, 2, 5])
def test_one_reading_in_another_unit_is_named_with_its_day(fleet, place):
    values = list(SOUND)
    values[place] = 0.62

    outlook, standing, _ = one_more(fleet, values)

    named = f"reading of {DAYS[place]:%-d %B %Y}, typed “0.62”,"
    assert named in outlook.sentence
    assert "10 times too small" in outlook.sentence
    if place == 0:  # the baseline: every limit hangs on it
        assert outlook.sentence.startswith("No answer: ")
        assert standing.standing is not Standing.HOLDING
    else:
        assert outlook.rate is not None


def test_a_sound_series_is_left_in_peace(fleet):
    outlook, _, _ = one_more(fleet, [5.0, 4.9, 5.0, 4.8, 4.9, 4.8])

    assert "unit" not in outlook.sentence
    assert outlook.rate is not None


def test_without_a_fleet_nothing_is_held_against_a_series(store):
    outlook, _, _ = one_more(store, [v / 10.0 for v in SOUND])

    assert not outlook.refusal
