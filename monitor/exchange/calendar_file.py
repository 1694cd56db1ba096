"""Calendars as other programs read them (RFC 5545)."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from icalendar import Calendar, Event

PRODUCT = "-//Underprop//Inspections//EN"
REFRESH = timedelta(hours=6)
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class CalendarEntry:
    """One day in a calendar, or some hours of it.

    Attributes
    ----------
    hours : when it begins and ends, None for the whole day
    uid : the same for ever, whatever moves
    sequence : higher after every change
    changed_at : when it last changed
    is_cancelled : whether it goes from the calendars that show it
    """

    uid: str
    on: date
    summary: str
    description: str
    location: str
    url: str
    sequence: int
    changed_at: datetime
    is_cancelled: bool = False
    hours: tuple[datetime, datetime] | None = None


def calendar_file(name: str, entries: Iterable[CalendarEntry]) -> bytes:
    """The calendar as a file; line breaks in words can add no line of their own."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", _tidy(name))
    calendar.add("x-wr-calname", _tidy(name))
    calendar.add("refresh-interval", REFRESH, parameters={"VALUE": "DURATION"})
    for entry in entries:
        calendar.add_component(_event(entry))
    return bytes(calendar.to_ical())


def _event(entry: CalendarEntry) -> Event:
    event = Event()
    event.add("uid", entry.uid)
    event.add("dtstamp", entry.changed_at)
    event.add("last-modified", entry.changed_at)
    event.add("sequence", entry.sequence)
    begins, ends = entry.hours or (entry.on, entry.on + _DAY)
    event.add("dtstart", begins)
    event.add("dtend", ends)
    event.add("summary", _tidy(entry.summary))
    event.add("description", _tidy(entry.description))
    if entry.location:
        event.add("location", _tidy(entry.location))
    if entry.url:
        event.add("url", entry.url)
    event.add("transp", "OPAQUE" if entry.hours else "TRANSPARENT")
    event.add("status", "CANCELLED" if entry.is_cancelled else "CONFIRMED")
    return event


def _tidy(text: str) -> str:
    """Words on one line, without what a calendar may not hold."""
    printable = (c if c.isprintable() else " " for c in text)
    return " ".join("".join(printable).split())
