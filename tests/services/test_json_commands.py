"""Inspections as JSON, read strictly."""

import json
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.errors import InvalidInput
from monitor.services.recording.json_commands import inspection_from_json

HEAD = {"support": "S-0142", "date": "2026-05-14", "inspector": "Ines"}


def read(**said):
    return inspection_from_json(json.dumps(HEAD | said))


def test_an_inspection_is_read_with_numbers_or_text():
    command = read(
        readings=[
            {"quantity": "gap", "value": 0.4, "unit": "mm"},
            {"quantity": "tilt_x", "value": "1:500", "repeat": 2, "sd": 1},
        ],
        findings=[{"code": "ooze", "grade": "act"}],
        device_at="2026-05-14T09:30:00+02:00",
        sure=["P1/face/tilt_x/2"],
    )

    assert command.inspected_on == date(2026, 5, 14)
    assert [reading.text for reading in command.readings] == ["0.4", "1:500"]
    assert [reading.sd for reading in command.readings] == [None, 1.0]
    assert command.findings[0].grade == "act"
    assert command.sure == {"P1/face/tilt_x/2"}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no JSON"),
        ("[]", "one JSON object"),
        ("[" * 100_000, "nested too deeply|no JSON"),
        (
            '{"support": NaN, "date": "2026-05-14", "inspector": "Ilse"}',
            "“support”: found nan, expected text",
        ),
        ('{"support": "a", "support": "b"}', "said twice"),
        ('{"date": "2026-05-14"}', "“support”: it is missing"),
    ],
)
def test_what_is_no_inspection_is_refused(text, said):
    with pytest.raises(InvalidInput, match=said):
        inspection_from_json(text)


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("date", "14/05/2026", "an ISO date"),
        ("id", "7", "a UUID"),
        ("device_at", "2026-05-14T09:30:00", "with its zone"),
        ("support", 142, "expected text"),
        ("colour", "red", "no such key"),
        ("readings", {"quantity": "gap"}, "a list is expected"),
        ("readings", ["gap"], "a list of objects"),
        ("readings", [{"quantity": "gap", "value": True}], "a number or text"),
        ("readings", [{"quantity": "gap", "value": []}], "a number or text"),
        ("readings", [{"quantity": "gap", "value": None}], "a number or text"),
        ("readings", [{"quantity": "gap", "repeat": 1.5}], "a whole number"),
        ("readings", [{"quantity": "gap", "depth": 1}], "no such key"),
        ("findings", [{"code": "ooze", "size": 1}], "no such key"),
    ],
)
def test_a_strange_key_or_type_is_named(key, value, said):
    with pytest.raises(InvalidInput, match=said) as caught:
        read(**{key: value})

    assert caught.value.field


JSON = st.recursive(
    st.none() | st.booleans() | st.floats(allow_nan=False) | st.text(max_size=5),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(max_size=8), inner),
    max_leaves=8,
)


@given(JSON, st.sampled_from(["readings", "findings", "date", "id", "sure", "air"]))
def test_any_json_is_read_or_refused_in_words(value, key):
    try:
        read(**{key: value})
    except InvalidInput as no:
        assert no.message.startswith("The JSON of the inspection")  # noqa: PT017
