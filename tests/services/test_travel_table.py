"""The house's own table of ways: read in its units, held against the map, kept."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from monitor.errors import ImportRejected, InvalidInput, NotFound
from monitor.exchange.tables import ReadOptions, sheet_of
from monitor.exchange.travel_file import read_travel
from monitor.services.planning.travel_table import (
    drop_table,
    keep_table,
    table_in_force,
    travel_by,
)
from monitor.store import records
from tests.build import a_support

NOW = datetime(2026, 6, 1, 9, tzinfo=UTC)


def sheet(text):
    return sheet_of("ways.csv", text.encode(), ReadOptions())


@pytest.fixture
def places(store):
    """A at 47.5 N, B a tenth of a degree north of it: 11.12 km on the mean sphere."""
    with store.write_session() as session:
        for code, north in (("A", 47.5), ("B", 47.6)):
            built = a_support(session, f"S-{code}")
            records.SITES.change(
                session, replace(built.site, code=code, latitude=north, longitude=-20.0)
            )
    return store


def keep(store, text, unit=""):
    with store.write_session() as session:
        return keep_table(session, sheet(text), unit, actor="Ines", now=NOW)


@pytest.mark.parametrize(
    ("text", "unit", "ways"),
    [
        ("from,to,minutes\nA,B,14\n", "min", [("A", "B", 14.0)]),
        ("from;to;km\nA;B;12.5\n", "km", [("A", "B", 12.5)]),
        ("from,to,seconds\nA,B,840\n", "min", [("A", "B", 14.0)]),
        ("from,to,metres\nA,B,12500\n", "km", [("A", "B", 12.5)]),
        # 1 mile is 1.609344 km (international yard and pound agreement of 1959)
        ("from,to,miles\nA,B,10\n", "km", [("A", "B", 16.09344)]),
        ("km,A,B\nA,,12\nB,13,\n", "km", [("A", "B", 12.0), ("B", "A", 13.0)]),
        ("[min],A,B\nA,0,\nB,15,0\n", "min", [("B", "A", 15.0)]),
    ],
)
def test_lists_and_squares_are_read_in_their_unit(text, unit, ways):
    read = read_travel(sheet(text))

    assert read.unit == unit
    assert list(read.ways) == ways


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("A,B,14\n", "minutes or kilometres"),
        ("from,to,min\nA,B,far\n", "row 2, column “C”: found “far”"),
        ("from,to,min\nA,B,-3\n", "0 to 600 min"),
        ("from,to,min\nA,B,nan\n", "0 to 600 min"),
        ("from,to,min\nA,,5\n", "codes of two sites"),
        ("from,to,min\nA,B,5\nA,B,6\n", "said of this way before"),
        ("min,A\nA,1,2\n", "codes of two sites"),
        ("from,to,min\n", "no way"),
    ],
)
def test_what_can_not_be_a_way_is_refused_by_its_cell(text, why):
    with pytest.raises(ImportRejected, match=why):
        read_travel(sheet(text))


def test_a_kept_table_is_used_and_the_newest_counts(places):
    keep(places, "from,to,min\na,b,14\n")
    keep(places, "from,to,km\nA,B,12.5\n")

    with places.read_session() as session:
        table = table_in_force(session)
    assert (table.version, table.ways) == (2, (("A", "B", 12.5),))
    # by hand: 12.5 km at 25 km/h are 30 min
    assert travel_by(table, 25.0).table_min == {("A", "B"): 30.0}


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("from,to,min\nA,XX9,14\n", "no site is called “XX9”"),
        ("from,to,km\nA,B,5\n", "less than the straight line of 11.1 km"),
        ("from,to,min\nA,B,2\n", "faster than 130 km/h"),
    ],
)
def test_a_table_that_can_not_be_true_is_refused_whole(places, text, why):
    with pytest.raises(InvalidInput, match=why):
        keep(places, text)

    with places.read_session() as session:
        assert table_in_force(session) is None


def test_a_table_that_is_taken_back_counts_no_more(places):
    keep(places, "from,to,min\nA,B,14\n")
    with places.write_session() as session:
        drop_table(session, actor="Ines", now=NOW)

    with places.read_session() as session:
        assert table_in_force(session) is None
        assert records.TRAVEL_TABLES.count(session) == 2
    with pytest.raises(NotFound), places.write_session() as session:
        drop_table(session, actor="Ines", now=NOW)
