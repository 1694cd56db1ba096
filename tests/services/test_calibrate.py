"""The fleet's shared numbers are fitted on the record, kept, and used."""

from datetime import date, timedelta

import numpy as np
import pytest

from monitor import trends
from monitor.services.assessing.assess import assess_all
from monitor.services.assessing.calibrate import (
    adopt,
    calibrate,
    latest_calibration,
    numbers_in_force,
)
from monitor.store import records
from tests.build import a_support, some_readings
from tests.conftest import NOON


@pytest.fixture
def fleet(store):
    """Twelve posts that hardly move, read ten times each with 0.9 mm of noise."""
    rng = np.random.default_rng(20260601)
    with store.write_session() as session:
        for number in range(12):
            built = a_support(session, f"S-{number:02}")
            values = {
                date(2014 + n, 5, 1): float(rng.normal(0, 0.9)) for n in range(10)
            }
            some_readings(session, built, "settlement", values)
    return store


def test_nothing_recorded_gives_no_fit_and_the_defaults(store):
    with store.write_session() as session:
        assert calibrate(session, now=NOON) is None
        assert numbers_in_force(session).hyper == trends.DEFAULT


def test_outlooks_carry_the_version_of_the_newest_fit(fleet):
    with fleet.write_session() as session:
        first = calibrate(session, now=NOON)
        second = calibrate(session, now=NOON + timedelta(days=1))
        adopt(session, second)
        adopt(session, first)
        assess_all(session, now=NOON + timedelta(days=1))

    with fleet.read_session() as session:
        assert latest_calibration(session) == second
        versions = {o.method_version for o in records.OUTLOOKS.all(session)}
    assert first.version != second.version
    assert versions == {f"{trends.METHOD_VERSION} {second.version}"}


def test_the_numbers_come_back_from_the_store_as_they_were_fitted(fleet):
    with fleet.write_session() as session:
        found = calibrate(session, now=NOON)
        adopt(session, found)

    with fleet.read_session() as session:
        numbers = numbers_in_force(session).hyper
    assert numbers.version == found.version
    assert list(found.numbers["groups"]) == ["settlement, post"]
    assert len(numbers.groups) == 1


def test_forecasts_of_a_still_fleet_are_audited_and_hold(fleet):
    with fleet.write_session() as session:
        (audit,) = calibrate(session, now=NOON).audits

    assert (audit.series, audit.kind) == ("settlement", "post")
    assert audit.tried == 12
    assert 9 <= audit.held <= 12
    assert audit.verdict in {"trusted", "labelled", "untried"}
    assert f"{audit.held} of {audit.tried}" in audit.sentence or audit.tried < 10
