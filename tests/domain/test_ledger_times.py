"""Times that do not fit each other are told, never hidden."""

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from monitor.domain.ledger import Change
from monitor.domain.ledger_times import time_flags

NOON = datetime(2026, 6, 1, 12, tzinfo=UTC)
VISIT = {"inspection": {"inspected_on": "2026-06-01"}}
CHANGE = Change(
    7, NOON, "Ines", "inspection recorded", "support P-1", json.dumps(VISIT)
)


@pytest.mark.parametrize(
    ("days", "flags"), [(0, ()), (7, ()), (8, ("entered 8 days after",))]
)
def test_an_entry_long_after_the_visit_is_late(days, flags):
    assert time_flags(replace(CHANGE, recorded_at=NOON + timedelta(days=days))) == flags


def test_a_correction_is_not_called_late():
    said = json.dumps({"reading": {"inspected_on": "2020-01-01"}, "was": {}})

    assert time_flags(replace(CHANGE, payload=said)) == ()


@pytest.mark.parametrize("payload", ["{}", "[]", "3", '"text"', '{"n":{"x":1}}'])
def test_a_payload_without_a_day_has_no_flag(payload):
    assert time_flags(replace(CHANGE, payload=payload)) == ()


def test_a_device_that_is_ahead_is_told():
    ahead = replace(CHANGE, device_at=NOON + timedelta(days=730))

    assert time_flags(ahead) == ("the device's clock was ahead of the server's",)


def test_a_device_that_waited_long_to_send_is_told():
    waited = replace(CHANGE, payload="{}", device_at=NOON - timedelta(days=40))

    assert time_flags(waited) == ("entered 40 days after",)


def test_a_server_clock_that_went_back_is_told():
    said = time_flags(CHANGE, before=NOON + timedelta(hours=3))

    assert said == ("the server's clock had gone back",)
