"""Gusts in four units, with gaps, and with the unit mistaken."""

import pytest

from monitor.errors import InvalidInput
from monitor.schedule.gusts import gust_in_words, gust_m_s, read_gusts, unit_of


@pytest.mark.parametrize(
    ("value", "unit", "speed_m_s"),
    [
        (36, "km/h", 10.0),  # by hand
        (10, "kt", 5.144444),  # the knot is 1852 m in an hour, exactly
        (100, "mph", 44.704),  # the mile is 1609.344 m, exactly
        (25, "m/s", 25.0),
        (48, "knots", 24.693333),
    ],
)
def test_every_unit_comes_to_metres_per_second(value, unit, speed_m_s):
    assert gust_m_s(value, unit) == pytest.approx(speed_m_s, abs=1e-5)


@pytest.mark.parametrize("text", ["KPH", " [km/h] ", "kmh"])
def test_units_are_read_as_people_write_them(text):
    assert unit_of(text) == "km/h"


@pytest.mark.parametrize("text", ["", "Bft", "kmm"])
def test_an_unknown_unit_is_refused(text):
    with pytest.raises(InvalidInput, match="give km/h, m/s, mph or kn"):
        unit_of(text)


@pytest.mark.parametrize("value", [-1, 130, float("nan"), float("inf")])
def test_a_gust_beyond_the_strongest_on_record_is_refused(value):
    """113.3 m/s, Barrow Island 1996, World Meteorological Organization."""
    with pytest.raises(InvalidInput, match="Is the unit right"):
        gust_m_s(value, "m/s")


def test_gaps_are_gaps_and_not_calm():
    gusts = read_gusts(["", "12,5", "NaN", "M", "31.0", " - "], "m/s")

    assert (gusts.strongest_m_s, gusts.values, gusts.gaps) == (31.0, 2, 4)


def test_a_column_of_gaps_has_no_strongest_gust():
    assert read_gusts(["", "-"], "kn").strongest_m_s is None


def test_kilometres_an_hour_read_as_metres_a_second_are_doubted():
    assert "check the unit" in read_gusts(["62", "75", "88"], "m/s").doubt
    assert read_gusts(["62", "75", "88"], "km/h").doubt == ""


@pytest.mark.parametrize("unit", ["km/h", "mph", "kn"])
def test_metres_a_second_read_as_something_smaller_are_doubted(unit):
    """28 m/s is a whole gale; taken for km/h it would call nobody."""
    doubt = read_gusts(["12", "", "28"], unit).doubt

    assert "in m/s it would be 101 km/h (28 m/s)" in doubt  # 28 * 3.6, by hand
    assert "Check the unit" in doubt
    assert read_gusts(["12", "28"], "m/s").doubt == ""


def test_a_cell_that_is_no_number_is_named_with_its_row():
    with pytest.raises(InvalidInput, match="Row 2: found “strong”"):
        read_gusts(["12", "strong"], "m/s")
    with pytest.raises(InvalidInput, match=r"Row 1: A gust of 420 km/h is 116\.7 m/s"):
        read_gusts(["420"], "km/h")


def test_a_gust_is_told_in_both_units():
    assert gust_in_words(25.0) == "90 km/h (25 m/s)"
