"""The plain methods beside an outlook, from the record to the words."""

from datetime import date

import pytest

from monitor.services.assessing.assess import assess_all
from monitor.services.showing.cross_check import METHOD_NOTE, cross_check_words
from monitor.store import records
from tests.build import a_reading, a_support, an_inspection, some_readings
from tests.conftest import NOON

SINKING = {date(2016 + n, 5, 1): 1.1 * n + 0.3 * (n % 3) for n in range(10)}


def words_after(store, values):
    with store.write_session() as session:
        built = a_support(session)
        some_readings(session, built, "settlement", values)
        assess_all(session, now=NOON)
    with store.read_session() as session:
        return [cross_check_words(o) for o in records.OUTLOOKS.all(session)]


def test_the_plain_methods_are_named_with_their_numbers_and_their_limits(store):
    (said,) = words_after(store, SINKING)

    assert said.startswith("Cross-check by plain methods: Theil–Sen 1.1 mm a year (90")
    assert "least squares 1.1" in said
    assert "Mann–Kendall p below 0.001" in said
    assert said.endswith("; for one look only.")


def test_with_three_readings_they_say_that_they_can_not_say(store):
    few = dict(list(SINKING.items())[:3])

    (said,) = words_after(store, few)

    assert said == (
        "Cross-check by plain methods: with fewer than four readings they can not say."
    )


def test_equal_readings_are_not_called_certain(store):
    (said,) = words_after(store, dict.fromkeys(SINKING, 6.3))

    assert "every reading is the same" in said
    assert "can not say how sure" in said


def test_each_axis_of_a_tilt_is_checked_by_itself(store):
    still = dict.fromkeys(SINKING, 0.1)
    still[date(2018, 5, 1)] = 0.4

    with store.write_session() as session:
        built = a_support(session, mark="face")
        tilts = {on: {"tilt_x": x, "tilt_y": still[on]} for on, x in SINKING.items()}
        some_tilts(session, built, tilts)
        assess_all(session, now=NOON)
    with store.read_session() as session:
        (outlook,) = records.OUTLOOKS.all(session)

    said = cross_check_words(outlook)
    assert "each axis by itself: away from the stem, Theil–Sen 1.1 mm/m a year" in said
    assert "; to the side, Theil–Sen 0 mm/m a year" in said


def some_tilts(session, built, tilts):
    for on, values in tilts.items():
        inspection = an_inspection(built.support.id, on)
        records.INSPECTIONS.add(session, [inspection])
        records.READINGS.add(
            session,
            [a_reading(inspection, built.mark.id, q, v) for q, v in values.items()],
        )


@pytest.mark.parametrize("figure", ["4 of 10", "3 of 10", "one look only"])
def test_the_note_tells_what_a_repeated_test_does(figure):
    assert figure in METHOD_NOTE
