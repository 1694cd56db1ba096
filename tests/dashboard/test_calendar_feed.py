"""Calendars at secret addresses: open to who holds one, closed to anyone else."""

from dataclasses import replace
from datetime import timedelta

import pytest
from icalendar import Calendar

from dashboard import calendar_feed
from monitor.services.planning.calendar import calendar_secret, feeds, token_of
from monitor.store import records


@pytest.fixture
def addresses(context):
    return dict(calendar_feed.links(context))


def events(client, address):
    answer = client.get(address)
    assert answer.status_code == 200
    assert answer.mimetype == "text/calendar"
    return {
        str(event["SUMMARY"]).split(":")[0]: event
        for event in Calendar.from_ical(answer.data).events
    }


def test_a_stranger_with_the_address_sees_every_due(stranger, addresses, context):
    found = events(stranger, addresses["all inspections"])

    with context.store.read_session() as session:
        due = records.DUES.all(session)[0]
        support = records.SUPPORTS.get(session, due.support_id)
    assert found[support.code].decoded("dtstart") == due.due_on


def test_a_removed_support_is_called_off(stranger, addresses, context):
    with context.store.write_session() as session:
        support = records.SUPPORTS.find(session, code="S-0101")
        gone = context.clock.now().date() - timedelta(days=3)
        records.SUPPORTS.change(session, replace(support, removed_on=gone))

    found = events(stranger, addresses["all inspections"])

    assert found["S-0101"]["STATUS"] == "CANCELLED"


def test_the_uid_stays_and_the_sequence_rises_when_a_due_moves(
    stranger, addresses, context
):
    before = events(stranger, addresses["all inspections"])["S-0101"]
    with context.store.write_session() as session:
        support = records.SUPPORTS.find(session, code="S-0101")
        due = records.DUES.find(session, support_id=support.id)
        later = timedelta(days=30)
        moved = replace(
            due,
            due_on=due.due_on + later,
            late_on=due.late_on + later,
            serious_on=due.serious_on + later,
            computed_at=due.computed_at + timedelta(hours=1),
        )
        records.DUES.put(session, [moved])

    after = events(stranger, addresses["all inspections"])["S-0101"]

    assert after["UID"] == before["UID"]
    assert after["SEQUENCE"] > before["SEQUENCE"]
    assert after.decoded("dtstart") == moved.due_on


def test_the_calendar_of_another_owner_holds_nothing_of_mine(stranger, context):
    with context.store.read_session() as session:
        named = {feed.name: feed.scope for feed in feeds(session)}
    secret = calendar_secret(context.settings.data_folder)
    scope = named["City of Velmarsh"]

    own = events(stranger, f"/calendar/{scope}/{token_of(secret, scope)}.ics")

    assert "S-0101" in own


@pytest.mark.parametrize(
    "wrong",
    [
        "/calendar/all/.ics",
        "/calendar/all/" + 32 * "0" + ".ics",
        "/calendar/all/é.ics",
        "/calendar/",
        "/calendar/all",
        "/calendar/../due",
    ],
)
def test_without_the_key_nothing_is_there(stranger, wrong):
    assert stranger.get(wrong).status_code in (401, 404)


def test_the_key_of_one_calendar_opens_no_other(stranger, addresses, context):
    secret = calendar_secret(context.settings.data_folder)
    with context.store.read_session() as session:
        everything, owner, *_ = feeds(session)

    crossed = f"/calendar/{owner.scope}/{token_of(secret, everything.scope)}.ics"

    assert stranger.get(crossed).status_code == 404


def test_the_secret_is_made_once_and_readable_by_its_user_only(tmp_path):
    first = calendar_secret(tmp_path)

    assert calendar_secret(tmp_path) == first
    assert len(first) == 32
    assert (tmp_path / "calendar.secret").stat().st_mode & 0o077 == 0
