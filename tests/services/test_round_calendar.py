"""Agreed rounds in calendars: one UID, a rising number, called off when taken back."""

from datetime import UTC, datetime, timedelta

from icalendar import Calendar

from monitor.exchange.calendar_file import calendar_file
from monitor.schedule.round_task import Arranged
from monitor.services.planning.agreed import take_back
from monitor.services.planning.calendar import EVERYTHING, entries_of, feeds
from tests.services.test_agreed_rounds import (
    NOW,
    TODAY,
    TUESDAY,
    agreed,
    owed,
    standing,
    wish,
)

__all__ = ["owed"]


def rounds_in(store, name):
    with store.read_session() as session:
        feed = {feed.name: feed for feed in feeds(session)}[name]
        entries = entries_of(session, feed, "https://example.org/", today=TODAY)
    events = Calendar.from_ical(calendar_file(name, entries)).events
    return [event for event in events if str(event["UID"]).startswith("round-")]


def test_the_round_is_in_the_calendar_of_who_goes_and_in_that_of_all(store, owed):
    agreed(store, wish())

    (own,) = rounds_in(store, "the rounds of Edda")
    (same,) = rounds_in(store, "all inspections")

    assert (
        own["UID"]
        == same["UID"]
        == f"round-{standing(store)[0].round.root_id}@underprop"
    )
    assert own["SEQUENCE"] == 0
    assert own["STATUS"] == "CONFIRMED"
    assert "S-1" in own["DESCRIPTION"]


def test_its_hours_are_those_of_the_site(store, owed):
    agreed(store, wish())
    one = standing(store)[0].round

    (event,) = rounds_in(store, "the rounds of Edda")

    midnight = datetime(2026, 6, 2, tzinfo=UTC)  # the site of the test is at UTC
    assert event.decoded("dtstart") == midnight + timedelta(minutes=one.leaves_min)
    assert event.decoded("dtend") == midnight + timedelta(minutes=one.back_min)


def test_a_change_keeps_the_uid_and_raises_the_sequence(store, owed):
    agreed(store, wish())
    (before,) = rounds_in(store, "the rounds of Edda")

    backwards = Arranged("Edda", TUESDAY, ("S-3", "S-2", "S-1"))
    agreed(store, wish(arranged=(backwards,)), now=NOW + timedelta(hours=1))

    (after,) = rounds_in(store, "the rounds of Edda")
    assert after["UID"] == before["UID"]
    assert after["SEQUENCE"] == before["SEQUENCE"] + 1


def test_a_round_taken_back_is_called_off_and_may_come_again(store, owed):
    agreed(store, wish())
    root = standing(store)[0].round.root_id
    with store.write_session() as session:
        take_back(session, root, reason="Rain.", actor="Ines", now=NOW)

    (off,) = rounds_in(store, "the rounds of Edda")
    agreed(store, wish())
    (again,) = rounds_in(store, "the rounds of Edda")

    assert (off["STATUS"], off["SEQUENCE"]) == ("CANCELLED", 1)
    assert "Rain." in off["DESCRIPTION"]
    assert (again["STATUS"], again["SEQUENCE"]) == ("CONFIRMED", 2)
    assert again["UID"] == off["UID"]


def test_the_calendar_of_an_owner_does_not_name_who_goes(store, owed):
    agreed(store, wish())
    with store.read_session() as session:
        owners = [f for f in feeds(session) if not f.person and f.scope != EVERYTHING]

    assert owners
    assert all(rounds_in(store, feed.name) == [] for feed in owners)
