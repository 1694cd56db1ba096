"""Letters go at least once, under one Message-ID, when they suit, or are given up."""

import itertools
from collections import Counter
from datetime import UTC, datetime, timedelta

import pytest

from monitor.clock import FixedClock
from monitor.domain.notices import NoticeKind, NoticeState
from monitor.domain.vocabulary import Standing
from monitor.services.notices import sending
from monitor.services.notices.bench import trials
from monitor.services.notices.raising import raise_notices
from monitor.services.notices.sending import DELAYS, MOST_A_DAY, send_notices
from monitor.store import outbox, records
from monitor.store.outbox import Claim
from tests.services.notice_world import (
    MONDAY,
    Carrier,
    a_grave_support,
    a_person,
    a_post,
    stands,
)

HOUR = timedelta(hours=1)


@pytest.fixture
def clock():
    return FixedClock(MONDAY)


def filled(store, codes=("S-1",), standing=Standing.ACT, **person):
    with store.write_session() as session:
        a_person(session, **({"wants_digest": False} | person))
        for code in codes:
            a_grave_support(session, code, standing)
        raise_notices(session, now=MONDAY)


def all_notices(store):
    with store.read_session() as session:
        return records.NOTICES.all(session)


def states(store):
    return Counter(notice.state for notice in all_notices(store))


def test_many_things_at_once_travel_in_one_letter(any_store, clock):
    filled(any_store, [f"S-{n}" for n in range(5)])
    carrier = Carrier()

    send_notices(any_store, a_post(carrier), clock)
    send_notices(any_store, a_post(carrier), clock)

    (letter,) = carrier.letters
    assert letter.subject == "S-0 wants work, and 4 more"
    assert len(letter.sentences) == 5
    assert letter.sentences[0].url == "https://trees.example/supports/S-0"
    assert states(any_store) == {NoticeState.SENT: 1, NoticeState.FOLDED: 4}


def test_it_is_tried_again_later_and_later_and_then_given_up(any_store, clock):
    filled(any_store)
    carrier = Carrier(*["for now"] * (len(DELAYS) + 1))
    tried = []

    while carrier.refusals:
        send_notices(any_store, a_post(carrier, "watch@trees.example"), clock)
        tried.append(clock.at)
        clock.at = all_notices(any_store)[0].next_try_at - timedelta(seconds=1)
        assert send_notices(any_store, a_post(Carrier()), clock).sent == 0
        clock.at += timedelta(seconds=1)
    send_notices(any_store, a_post(carrier, "watch@trees.example"), clock)

    gaps = [after - before for before, after in itertools.pairwise(tried)]
    assert gaps == list(DELAYS)
    assert gaps == sorted(gaps)
    failed, undelivered = all_notices(any_store)
    assert failed.state is NoticeState.FAILED
    assert undelivered.kind is NoticeKind.UNDELIVERED
    assert carrier.addresses == ["watch@trees.example"]
    assert "could not be delivered" in carrier.texts[0]
    assert "beyond its act limit" in carrier.texts[1]


def test_what_was_refused_for_good_is_given_up_at_once(any_store, clock):
    filled(any_store)

    tally = send_notices(any_store, a_post(Carrier("for good")), clock)

    assert (tally.sent, tally.put_off, tally.failed) == (0, 0, 1)
    assert states(any_store)[NoticeState.FAILED] == 1


def test_nobody_is_woken_but_to_make_safe(store, clock):
    clock.at = datetime(2026, 6, 1, 23, 0, tzinfo=UTC)
    filled(store, ["S-1"], quiet_from=21 * 60, quiet_to=6 * 60)
    carrier = Carrier()

    send_notices(store, a_post(carrier), clock)
    assert carrier.letters == []

    with store.write_session() as session:
        support = records.SUPPORTS.find(session, code="S-1")
        made = type("Built", (), {"support": support})
        stands(session, made, Standing.MAKE_SAFE, "It moves.")
        raise_notices(session, now=clock.at)
    send_notices(store, a_post(carrier), clock)
    assert len(carrier.letters) == 1

    clock.at = datetime(2026, 6, 2, 6, 0, tzinfo=UTC)
    send_notices(store, a_post(carrier), clock)
    assert len(carrier.letters) == 2


def test_one_person_gets_so_many_letters_a_day_and_then_one_with_the_rest(store, clock):
    filled(store, [])
    carrier = Carrier()

    for count in range(MOST_A_DAY + 5):
        with store.write_session() as session:
            a_grave_support(session, f"S-{count}")
            raise_notices(session, now=clock.at)
        send_notices(store, a_post(carrier), clock)
        clock.at += HOUR / 6
    clock.at = MONDAY + timedelta(days=1, minutes=1)
    send_notices(store, a_post(carrier), clock)

    assert len(carrier.letters) == MOST_A_DAY + 1
    assert len(carrier.letters[-1].sentences) == 5


def test_a_claim_that_ran_out_is_taken_over_with_the_same_message_id(any_store, clock):
    filled(any_store)
    (notice,) = all_notices(any_store)
    with any_store.write_session() as session:
        by = Claim("one who dies", clock.now())
        assert sending.claim(session, notice, a_post(Carrier()), by) is not None
    (claimed,) = all_notices(any_store)
    carrier = Carrier()

    send_notices(any_store, a_post(carrier), clock)
    assert carrier.letters == []

    clock.at += outbox.LASTS
    send_notices(any_store, a_post(carrier), clock)
    assert [letter.message_id for letter in carrier.letters] == [claimed.message_id]


def test_a_claim_of_before_the_clock_was_set_back_does_not_hold_for_hours(store, clock):
    filled(store)
    (notice,) = all_notices(store)
    with store.write_session() as session:
        by = Claim("one who dies", clock.now() + 3 * HOUR)
        sending.claim(session, notice, a_post(Carrier()), by)
    carrier = Carrier()

    send_notices(store, a_post(carrier), clock)

    assert len(carrier.letters) == 1


def test_a_letter_that_kills_its_process_is_given_up_in_the_end(store, clock):
    filled(store)

    class Deadly:
        def deliver(self, letter, address):
            raise KeyboardInterrupt

    for _ in range(sending.MOST_TRIES):
        with pytest.raises(KeyboardInterrupt):
            send_notices(store, a_post(Deadly()), clock)
        clock.at += outbox.LASTS
    send_notices(store, a_post(Carrier()), clock)

    (notice, _) = all_notices(store)
    assert notice.state is NoticeState.FAILED
    assert notice.attempts == sending.MOST_TRIES + 1


def test_a_digest_that_is_wanted_no_more_is_not_sent(store, clock):
    filled(store, wants_digest=True, wants_escalations=False)
    with store.write_session() as session:
        (person,) = records.RECIPIENTS.all(session)
        from monitor.services.notices.recipients import unsubscribe

        unsubscribe(session, person.id, now=MONDAY)
    carrier = Carrier()

    send_notices(store, a_post(carrier), clock)

    assert carrier.letters == []
    assert states(store) == {NoticeState.NOT_SENT: 1}


def test_without_a_mail_server_notices_wait(store, clock):
    from monitor.services.notices.sending import Post
    from tests.services.notice_world import HEAD

    filled(store)

    send_notices(store, Post({}, HEAD, ""), clock)

    assert states(store) == {NoticeState.WAITING: 1}
    assert all_notices(store)[0].attempts == 0


def test_a_process_may_die_at_any_point_and_nothing_is_lost(any_store):
    found = trials(any_store, 20)

    assert found.kills >= 20
    assert (found.lost, found.doubled_otherwise) == (0, 0)
    assert found.doubled <= found.kills


def test_the_trials_would_notice_a_sender_that_marks_before_it_sends(
    store, monkeypatch
):
    deliver = sending._send

    def marked_first(store, post, parcel, by, tally):
        with store.write_session() as session:
            values = {"state": NoticeState.SENT}
            outbox.settle(session, parcel.notice.id, by.holder, values)
        deliver(store, post, parcel, by, tally)

    monkeypatch.setattr(sending, "_send", marked_first)

    assert trials(store, 25).lost > 0


def test_two_senders_at_once_send_each_letter_once(any_store, clock):
    from concurrent.futures import ThreadPoolExecutor

    filled(any_store, [])
    with any_store.write_session() as session:
        for count in range(20):
            a_person(session, f"P{count}", wants_digest=False)
        a_grave_support(session)
        raise_notices(session, now=MONDAY)
    carrier = Carrier()

    with ThreadPoolExecutor(4) as pool:
        for run in [
            pool.submit(send_notices, any_store, a_post(carrier), clock)
            for _ in range(4)
        ]:
            run.result()

    ids = [letter.message_id for letter in carrier.letters]
    assert len(ids) == len(set(ids)) == 21
