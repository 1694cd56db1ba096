"""What loggers send is kept whole, weighed by the day, and taken once."""

import json
from datetime import UTC, datetime, timedelta

import pytest

from monitor.services.assessing.assess import assess_stale
from monitor.store import records
from monitor.store.frames import readings_frame

BEGIN = datetime(2026, 5, 1, tzinfo=UTC)


def values(days: int, *, mark: str = "S-0101/P1/face", each_minutes: int = 10):
    steps = days * 24 * 60 // each_minutes
    return [
        {
            "mark": mark,
            "quantity": quantity,
            "at": (BEGIN + n * timedelta(minutes=each_minutes)).isoformat(),
            "value": 8.0 + 0.1 * (n % 3),
        }
        for n in range(steps)
        for quantity in ("tilt_x", "tilt_y")
    ]


def test_ten_days_of_a_tilt_logger_become_ten_lines_and_stay_whole(fresh, context):
    sent = values(10)

    answer = fresh.post("/loggers/readings", json=sent)

    assert (answer.status_code, answer.json["taken"]) == (201, len(sent))
    with context.store.read_session() as session:
        batches = records.LOGGER_BATCHES.all(session)
        frame = readings_frame(session)
    assert sum(len(batch.content["value"]) for batch in batches) == len(sent) == 2880
    days = frame[frame["method"] == "logger"]
    assert len(days) == 20
    assert set(days["value"]) == {8.1}  # the middle of 8.0, 8.1, 8.2, by hand
    # median deviation 0.1 times 1.4826, by hand
    assert days["sd_instrument"].tolist() == pytest.approx([0.14826] * 20)


def test_lines_are_taken_like_an_array_and_a_second_sending_changes_nothing(
    fresh, context
):
    sent = values(1)
    lines = "\n".join(map(json.dumps, sent))
    head = {"Content-Type": "application/x-ndjson"}

    first = fresh.post("/loggers/readings", data=lines, headers=head).json
    again = fresh.post("/loggers/readings", json=sent).json

    assert again == first | {"was_known": True}
    with context.store.read_session() as session:
        assert len(records.LOGGER_BATCHES.all(session)) == 2


def test_the_outlook_rests_on_the_days_of_the_logger(fresh, context):
    fresh.post("/loggers/readings", json=values(30))

    with context.store.write_session() as session:
        assess_stale(session, now=context.clock.now())
        found = records.OUTLOOKS.all(session, records.OUTLOOKS.table.c.series == "tilt")

    assert max(outlook.readings for outlook in found) > 30


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"mark": "S-0101/P1/nowhere"}, "mark"),
        ({"mark": 7}, "mark"),
        ({"quantity": "tension"}, "quantity"),
        ({"at": "2026-05-01T00:00:00"}, "at"),
        ({"at": "2099-05-01T00:00:00Z"}, "at"),
        ({"at": "1900-05-01T00:00:00Z"}, "at"),
        ({"value": "12,5"}, "value"),
        ({"value": True}, "value"),
        ({"value": 1e9}, "value"),
    ],
)
def test_one_bad_value_refuses_the_sending_by_row_and_field(program, change, field):
    good = values(1)[:2]

    answer = program.post("/loggers/readings", json=[*good, good[0] | change])

    assert (answer.status_code, answer.json["field"]) == (422, field)
    assert answer.json["errors"][0]["row"] == 3


@pytest.mark.parametrize("value", ["NaN", "Infinity", "1e400", "9" * 5000])
def test_a_value_beyond_numbers_is_refused_by_name(program, value):
    body = json.dumps(values(1)[:1]).replace("8.0", value)

    answer = program.post(
        "/loggers/readings", data=body, content_type="application/json"
    )

    assert (answer.status_code, answer.json["field"]) == (422, "value")


@pytest.mark.parametrize("body", ["", "[", "[]", "{", "[" * 100_000, "1", '"x"'])
def test_a_body_that_is_no_sending_is_refused(program, body):
    answer = program.post(
        "/loggers/readings", data=body, content_type="application/json"
    )

    assert answer.status_code == 422
