"""Calendars at secret addresses: open to who holds one, closed to anyone else."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from flask import g
from icalendar import Calendar

from dashboard import calendar_feed
from monitor.clock import new_id
from monitor.domain.places import Party
from monitor.domain.vocabulary import Role
from monitor.services import access
from monitor.services.planning.calendar import calendar_secret, feeds, token_of
from monitor.services.planning.calendar_memory import note_shown
from monitor.store import records
from tests.build import LONG_AGO, a_support
from tests.dashboard.conclusions import is_owed
from tests.services.notice_world import a_person


@pytest.fixture
def addresses(context):
    return dict(calendar_feed.links(context))


def events(client, address):
    answer = client.get(address)
    assert answer.status_code == 200
    assert answer.mimetype == "text/calendar"
    return {
        str(event["SUMMARY"]).split(":")[0].split(" ")[0]: event
        for event in Calendar.from_ical(answer.data).events
    }


def test_a_stranger_with_the_address_sees_every_due(stranger, addresses, context):
    found = events(stranger, addresses["all inspections"])

    with context.store.read_session() as session:
        due = records.DUES.all(session)[0]
        support = records.SUPPORTS.get(session, due.support_id)
    assert found[support.code].decoded("dtstart") == due.due_on


def note(context):
    """The hourly job, a little later."""
    context.clock.at += timedelta(hours=1)
    with context.store.write_session() as session:
        note_shown(session, now=context.clock.now())


def address_of(context, name):
    return dict(calendar_feed.links(context))[name]


def test_a_removed_support_is_called_off_and_comes_back_if_it_was_not(
    stranger, addresses, context
):
    note(context)
    shown = events(stranger, addresses["all inspections"])["S-0101"]
    with context.store.write_session() as session:
        support = records.SUPPORTS.find(session, code="S-0101")
        gone = context.clock.now().date() - timedelta(days=3)
        records.SUPPORTS.change(session, replace(support, removed_on=gone))
    note(context)
    off = events(stranger, addresses["all inspections"])["S-0101"]
    with context.store.write_session() as session:
        records.SUPPORTS.change(session, support)
    note(context)
    back = events(stranger, addresses["all inspections"])["S-0101"]

    assert [event["STATUS"] for event in (shown, off, back)] == [
        "CONFIRMED",
        "CANCELLED",
        "CONFIRMED",
    ]
    assert shown["SEQUENCE"] < off["SEQUENCE"] < back["SEQUENCE"]
    assert shown["UID"] == off["UID"] == back["UID"]


def test_a_due_that_vanishes_is_called_off(stranger, addresses, context):
    from monitor.store.conclusions import delete_dues

    note(context)
    with context.store.write_session() as session:
        support = records.SUPPORTS.find(session, code="S-0101")
        delete_dues(session, [support.id])
    note(context)

    off = events(stranger, addresses["all inspections"])["S-0101"]

    assert off["STATUS"] == "CANCELLED"


def test_a_support_that_changes_owner_leaves_one_calendar_for_the_other(
    stranger, context
):
    with context.store.write_session() as session:
        parish = Party(new_id(), "The Parish", "", LONG_AGO)
        records.PARTIES.add(session, [parish])
        own = a_support(session, "S-9001")
        is_owed(session, own.support.id, date(2026, 8, 1), "two years")
        records.SITES.change(session, replace(own.site, owner_id=parish.id))
        moving = a_support(session, "S-9002")
        is_owed(session, moving.support.id, date(2026, 8, 2), "two years")
    city, other = "City of Velmarsh", "The Parish"
    note(context)
    before = events(stranger, address_of(context, city))["S-9002"]
    assert set(events(stranger, address_of(context, other))) == {"S-9001"}

    with context.store.write_session() as session:
        records.SITES.change(session, replace(moving.site, owner_id=parish.id))
    note(context)

    left = events(stranger, address_of(context, city))["S-9002"]
    came = events(stranger, address_of(context, other))["S-9002"]
    assert (left["STATUS"], came["STATUS"]) == ("CANCELLED", "CONFIRMED")
    assert left["SEQUENCE"] > before["SEQUENCE"]
    assert "Chapel Row" not in left.to_ical().decode()


def test_a_person_follows_the_sites_they_answer_for(stranger, context):
    with context.store.write_session() as session:
        mine = a_support(session, "S-9001")
        is_owed(session, mine.support.id, date(2026, 8, 1), "two years")
        a_person(session, "Odile", sites=(str(mine.site.id),))

    found = events(stranger, address_of(context, "what Odile answers for"))

    assert set(found) == {"S-9001"}


def test_who_plans_hands_out_every_calendar_and_others_their_own(app, context):
    from tests.dashboard.conftest import NAME

    with context.store.write_session() as session:
        a_person(session, NAME)
        a_person(session, "Odile")
    everything = {name for name, _ in calendar_feed.links(context)}

    def handed_to(role):
        with context.store.write_session() as session:
            account = access.account_named(session, NAME)
            records.ACCOUNTS.change(session, replace(account, role=role))
        with app.server.test_request_context("/due"):
            g.signed_in = access.SignedIn(replace(account, role=role), None)
            return {name for name, _ in calendar_feed.links(context)}

    assert handed_to(Role.PLANNER) == everything
    assert handed_to(Role.INSPECTOR) == {f"what {NAME} answers for"}
    assert handed_to(Role.AUDITOR) == {f"what {NAME} answers for"}


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
