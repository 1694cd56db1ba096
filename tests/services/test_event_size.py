"""Sizes of events as typed, and a station's file with gaps and wrong units."""

import pytest

from monitor.domain.vocabulary import EventKind
from monitor.errors import InvalidInput
from monitor.exchange.tables import ReadOptions, sheet_of
from monitor.services.planning.event_size import size_in_words, size_of, station_file

FILE = """time,mean [km/h],gust [km/h]
2026-05-29 21:00,40,71
2026-05-29 22:00,,
2026-05-30 03:00,55,102.4
2026-05-30 04:00,50,96
"""


def sheet(text=FILE):
    return sheet_of("station.csv", text.encode(), ReadOptions())


@pytest.mark.parametrize(
    ("kind", "text", "size"),
    [
        # 1 kn = 1852 m/h, 1 mile = 1609.344 m, 1 inch = 25.4 mm: all exact
        (EventKind.STORM, "90 km/h", 25.0),
        (EventKind.STORM, "50 kn", 25.7222),
        (EventKind.STORM, "60mph", 26.8224),
        (EventKind.ICE, "1/2 in", 12.7),
        (EventKind.SNOW, "30 cm", 300.0),
        (EventKind.EARTHQUAKE, "VI", 6.0),
        (EventKind.FLOOD, "", None),
    ],
)
def test_a_size_is_read_with_its_unit(kind, text, size):
    assert size_of(kind, text) == (size and pytest.approx(size, rel=1e-4))


def test_the_strongest_gust_and_its_day_are_found_among_gaps():
    found = station_file(sheet())

    assert found.strongest_m_s == pytest.approx(102.4 / 3.6)
    assert found.on.isoformat() == "2026-05-30"
    assert (found.values, found.gaps) == (3, 1)
    assert "3 gusts, 1 gap, the strongest 102 km/h (28 m/s)." in found.in_words()


def test_a_unit_that_is_said_beats_the_heading():
    assert station_file(sheet(), unit="kn").strongest_m_s == pytest.approx(
        102.4 * 1852 / 3600
    )


def test_a_wrong_unit_is_doubted_in_words():
    assert "check the unit" in station_file(sheet(), unit="m/s").doubt


@pytest.mark.parametrize(
    ("text", "options", "words"),
    [
        (FILE.replace(" [km/h]", ""), {}, "no unit of wind speed"),
        (FILE.replace("gust", "peak"), {}, "no column speaks of gusts"),
        (FILE, {"column": "Böen"}, "no column is called"),
        (FILE.replace("96", "strong"), {}, "Row 5: found “strong”"),
        ("time,gust [m/s]\n2026-05-30,\n", {}, "holds no number"),
    ],
)
def test_a_file_that_can_not_be_used_is_refused_in_words(text, options, words):
    with pytest.raises(InvalidInput, match=words):
        station_file(sheet(text), **options)


def test_a_size_is_said_in_words():
    assert size_in_words(EventKind.STORM, 25.0) == "gusts of 90 km/h (25 m/s)"
    assert size_in_words(EventKind.ICE, 12.0) == "ice 12\u2009mm"
    assert size_in_words(EventKind.EXCAVATION, None) == ""
