"""Calendars come back from a reader as they were written."""

from dataclasses import replace
from datetime import UTC, date, datetime

from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from monitor.exchange.calendar_file import CalendarEntry, calendar_file

ENTRY = CalendarEntry(
    uid="inspection-1@underprop",
    on=date(2028, 2, 29),
    summary="S-1: routine inspection, Chapel Row",
    description="Due on 29 February 2028: two years after the last look.",
    location="Chapel Row, T1",
    url="https://example.org/supports/S-1",
    sequence=7,
    changed_at=datetime(2026, 6, 1, 12, tzinfo=UTC),
)


def read(data: bytes):
    return Calendar.from_ical(data).events[0]


def test_every_part_of_an_entry_comes_back():
    event = read(calendar_file("all", [ENTRY]))

    assert event["UID"] == ENTRY.uid
    assert event["SEQUENCE"] == 7
    assert event.decoded("dtstart") == ENTRY.on
    assert event.decoded("dtend") == date(2028, 3, 1)
    assert event.decoded("dtstamp") == ENTRY.changed_at
    assert event["STATUS"] == "CONFIRMED"
    assert event["DESCRIPTION"] == ENTRY.description


def test_what_is_called_off_says_so_under_the_same_uid():
    event = read(calendar_file("all", [replace(ENTRY, is_cancelled=True)]))

    assert (event["UID"], event["STATUS"]) == (ENTRY.uid, "CANCELLED")


def test_line_breaks_in_a_name_add_no_property():
    nasty = "S-1\r\nATTENDEE:mailto:evil@example.com\nBEGIN:VEVENT"

    data = calendar_file(nasty, [replace(ENTRY, summary=nasty, location=nasty)])

    calendar = Calendar.from_ical(data)
    assert len(calendar.events) == 1
    assert "ATTENDEE" not in calendar.events[0]
    assert not any(line.startswith(b"ATTENDEE") for line in data.split(b"\r\n"))


@given(st.text(max_size=300))
def test_no_line_is_longer_than_75_octets_and_all_end_in_crlf(text):
    # RFC 5545, 3.1: lines should not be longer than 75 octets, and end in CRLF.
    data = calendar_file(text, [replace(ENTRY, summary=text, description=text)])

    lines = data.split(b"\r\n")
    assert max(len(line) for line in lines) <= 75
    assert b"\n" not in b"".join(lines)
    assert len(Calendar.from_ical(data).events) == 1
