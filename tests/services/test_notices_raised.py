"""Each thing is told to each person once, whatever fires how often."""

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from monitor.domain.notices import NoticeKind, NoticeState
from monitor.domain.vocabulary import Standing
from monitor.services.notices.raising import raise_escalations, raise_notices
from monitor.store import records
from tests.build import a_support, an_inspection
from tests.services.notice_world import (
    MONDAY,
    a_grave_support,
    a_person,
    owes,
    stands,
)

HOUR, DAY = timedelta(hours=1), timedelta(days=1)


def raise_at(store, now):
    with store.write_session() as session:
        return raise_notices(session, now=now)


def notices(store, kind=NoticeKind.ESCALATION):
    with store.read_session() as session:
        return [n for n in records.NOTICES.all(session) if n.kind is kind]


def test_a_worse_standing_is_told_once_however_often_it_is_asked(any_store):
    with any_store.write_session() as session:
        a_person(session, wants_digest=False)
        a_grave_support(session)

    counts = [raise_at(any_store, MONDAY + n * HOUR) for n in range(4)]

    assert counts == [1, 0, 0, 0]
    (notice,) = notices(any_store)
    assert notice.subject == "S-0101 wants work"
    assert "The tilt is beyond its act limit." in notice.lines[0].text


def test_a_clock_that_is_set_back_repeats_nothing(any_store):
    with any_store.write_session() as session:
        a_person(session)
        built = a_grave_support(session)
        owes(session, built, date(2026, 5, 1), serious_days=31)  # serious from today

    raise_at(any_store, MONDAY)
    again = [raise_at(any_store, MONDAY - n * HOUR) for n in (3, 13, 3, 0)]

    assert again == [0, 0, 0, 0]


def test_worse_again_is_told_again_and_better_is_not(store):
    with store.write_session() as session:
        a_person(session, wants_digest=False)
        built = a_grave_support(session)
    told = []

    for standing in (
        Standing.ACT, Standing.MAKE_SAFE, Standing.ACT, Standing.MAKE_SAFE,
        Standing.HOLDING, Standing.ACT,
    ):  # fmt: skip
        with store.write_session() as session:
            stands(session, built, standing, "Why.")
        told.append(raise_at(store, MONDAY))

    assert told == [1, 1, 0, 1, 0, 1]
    assert [n.is_urgent for n in notices(store)] == [False, True, True, False]


def test_serious_lateness_is_told_once_until_it_is_looked_at_or_put_off(store):
    with store.write_session() as session:
        a_person(session, wants_digest=False)
        built = a_support(session)
        owes(session, built, date(2025, 1, 1))
    counts = [raise_at(store, MONDAY)]

    with store.write_session() as session:  # a policy moves it a little earlier
        owes(session, built, date(2024, 12, 1))
    counts.append(raise_at(store, MONDAY))
    with store.write_session() as session:  # put off, and late again
        owes(session, built, date(2025, 3, 1))
    counts.append(raise_at(store, MONDAY))
    with store.write_session() as session:
        records.INSPECTIONS.add(
            session, [an_inspection(built.support.id, date(2026, 5, 30))]
        )
        owes(session, built, date(2028, 5, 30))
    counts.append(raise_at(store, MONDAY + DAY))

    assert counts == [1, 0, 1, 0]


def test_a_person_is_told_of_their_own_sites_only(store):
    with store.write_session() as session:
        mine, other = a_grave_support(session, "S-1"), a_grave_support(session, "S-2")
        a_person(session, "Ines", sites=(str(mine.site.id),))
        a_person(session, "Odile", sites=(str(other.site.id),))

    raise_at(store, MONDAY)

    with store.read_session() as session:
        names = {one.id: one.name for one in records.RECIPIENTS.all(session)}
    assert {(names[n.recipient_id], n.subject) for n in notices(store)} == {
        ("Ines", "S-1 wants work"),
        ("Odile", "S-2 wants work"),
    }


def test_a_notice_is_kept_or_lost_with_what_it_speaks_of(any_store):
    with any_store.write_session() as session:
        a_person(session)
        built = a_support(session)

    class Died(Exception):
        pass

    with pytest.raises(Died), any_store.write_session() as session:
        stands(session, built, Standing.MAKE_SAFE, "Why.")
        assert raise_escalations(session, [built.support.id], now=MONDAY) == 1
        raise Died

    with any_store.read_session() as session:
        assert records.NOTICES.count(session) == records.STANDINGS.count(session) == 0


def test_a_person_whose_account_was_closed_is_told_nothing(store):
    from monitor.domain.people import Account
    from monitor.domain.vocabulary import Role

    with store.write_session() as session:
        person = a_person(session)
        a_grave_support(session)
        shut = Account(person.id, "Ines", "", Role.INSPECTOR, "hash", False, MONDAY)
        records.ACCOUNTS.add(session, [shut])

    assert raise_at(store, MONDAY) == 0


def test_a_month_of_silence_makes_one_digest_of_200_late_inspections(any_store):
    # 200 due dates, the scheduler stopped for 30 days: one letter a person.
    with any_store.write_session() as session:
        a_person(session)
        first = a_support(session, "S-000")
        owes(session, first, date(2026, 4, 1))
        for count in range(1, 200):
            made = replace(first.support, id=_new(), code=f"S-{count:03}")
            records.SUPPORTS.add(session, [made])
            owes(session, replace(first, support=made), date(2026, 4, 1))

    raise_at(any_store, MONDAY)
    raise_at(any_store, MONDAY + 30 * DAY)
    raise_at(any_store, MONDAY + 30 * DAY + HOUR)

    first, second = notices(any_store, NoticeKind.DIGEST)
    assert first.state is NoticeState.FOLDED
    assert first.folded_into_id == second.id
    assert len(second.lines) == 200
    assert second.subject == "200 inspections late, 0 more owed"


def test_a_week_in_which_nothing_is_owed_is_not_told_unless_wished(store):
    with store.write_session() as session:
        a_person(session, "Ines")
        a_person(session, "Odile", wants_empty=True)
        built = a_support(session)
        owes(session, built, date(2027, 6, 1))

    assert raise_at(store, MONDAY) == 1
    with store.write_session() as session:  # later in the week something comes up
        owes(session, built, date(2026, 6, 3))
    assert raise_at(store, MONDAY + DAY) == 0

    states = {n.state for n in notices(store, NoticeKind.DIGEST)}
    assert states == {NoticeState.NOT_SENT, NoticeState.WAITING}


def test_a_digest_names_what_is_late_first_and_why(store):
    with store.write_session() as session:
        a_person(session)
        owes(session, a_support(session, "S-1"), date(2026, 6, 2))
        owes(session, a_support(session, "S-2"), date(2026, 4, 1))
        owes(session, a_support(session, "S-3"), date(2026, 3, 1))

    raise_at(store, MONDAY)

    (digest,) = notices(store, NoticeKind.DIGEST)
    assert [(line.heading, line.text[:3]) for line in digest.lines] == [
        ("Late", "S-3"),
        ("Late", "S-2"),
        ("Owed now", "S-1"),
    ]
    # 1 March + 30 days = 31 March; 62 days later it is 1 June (by hand).
    assert "62 days late. Due on 1 March 2026: two years" in digest.lines[0].text


@pytest.mark.parametrize("change", [datetime(2026, 3, 29), datetime(2026, 10, 25)])  # noqa: DTZ001 - a civil day
def test_one_digest_on_the_days_the_clocks_change(store, change):
    # Europe/Berlin: 02:30 does not exist on 29 March 2026 and comes twice on
    # 25 October 2026 (IANA time zone database).
    with store.write_session() as session:
        a_person(
            session, timezone="Europe/Berlin", digest_day=6, digest_minute=150,
            wants_empty=True,
        )  # fmt: skip
    start = change.replace(tzinfo=MONDAY.tzinfo) - 2 * HOUR

    raised = [raise_at(store, start + n * HOUR / 4) for n in range(40)]

    assert sum(raised) == 2  # that of the week before, and that of the day
    assert raised[0] == 1


def _new():
    from monitor.clock import new_id

    return new_id()
