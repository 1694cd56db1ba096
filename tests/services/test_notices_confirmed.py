"""A new address gets one letter, and digests once that letter was answered."""

from dataclasses import replace
from datetime import timedelta

import pytest

from monitor.clock import FixedClock
from monitor.domain.notices import Channel, NoticeKind
from monitor.domain.vocabulary import Role, Standing
from monitor.errors import NotFound
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.services.notices.confirming import confirm
from monitor.services.notices.raising import raise_notices
from monitor.services.notices.recipients import Choices, choose, recipient_named
from monitor.services.notices.sending import Post, send_notices
from monitor.store import records
from tests.services.notice_world import HEAD, MONDAY, a_grave_support

CHOICES = Choices("Ines", email="ines@new.example", quiet="never")
WEEK = timedelta(days=7)


class Box:
    """Keeps what it is given, with the address."""

    def __init__(self):
        self.mail = []

    def deliver(self, letter, address):
        self.mail.append((address, letter))


def tell(store, choices=CHOICES, now=MONDAY):
    with store.write_session() as session:
        return choose(session, choices, actor="test", now=now)


def send(store, now=MONDAY, fallback=""):
    box = Box()
    with store.write_session() as session:
        raise_notices(session, now=now)
    send_notices(store, Post({Channel.EMAIL: box}, HEAD, fallback), FixedClock(now))
    return box.mail


def link_in(mail):
    (url,) = [
        s.url for _, letter in mail for s in letter.sentences if "confirm" in s.url
    ]
    return url.rsplit("/", 1)[1]


def answer(store, person, token, now=MONDAY):
    with store.write_session() as session:
        return confirm(session, person.id, token, HEAD.secret, now=now)


@pytest.fixture
def grave(store):
    with store.write_session() as session:
        a_grave_support(session, standing=Standing.ACT)
    return store


def test_no_digest_goes_to_an_address_before_its_letter_was_answered(grave):
    person = tell(grave)
    first = send(grave)
    still = send(grave, MONDAY + WEEK)

    assert [letter.subject for _, letter in first] == ["Please confirm this address"]
    assert still == []
    answer(grave, person, link_in(first), MONDAY + WEEK)
    later = send(grave, MONDAY + 2 * WEEK)
    assert "ines@new.example" in {address for address, _ in later}


def test_the_link_works_once_and_not_after_two_weeks(grave):
    person = tell(grave)
    token = link_in(send(grave))

    with pytest.raises(NotFound):
        answer(grave, person, token, MONDAY + timedelta(days=15))
    answer(grave, person, token)
    with pytest.raises(NotFound):
        answer(grave, person, token)


def test_a_link_for_one_address_does_not_confirm_another(grave):
    person = tell(grave)
    token = link_in(send(grave))

    tell(grave, replace(CHOICES, email="ines@other.example"), MONDAY + WEEK)

    with pytest.raises(NotFound):
        answer(grave, person, token, MONDAY + WEEK)


def test_other_choices_do_not_ask_again(grave):
    person = tell(grave)
    answer(grave, person, link_in(send(grave)))

    tell(grave, replace(CHOICES, digest="friday"), MONDAY + WEEK)

    with grave.read_session() as session:
        assert recipient_named(session, "Ines").confirmed_at == MONDAY
        kinds = [notice.kind for notice in records.NOTICES.all(session)]
    assert kinds.count(NoticeKind.CONFIRMATION) == 1


def test_what_can_not_wait_goes_to_the_invited_address_meanwhile(grave):
    with grave.write_session() as session:
        new = NewAccount("Ines", "ines@invited.example", Role.INSPECTOR, "oak and rope")
        access.add_account(session, new, actor="test", now=MONDAY)
    tell(grave)

    sent = send(grave, fallback="office@trees.example")

    grave_mail = {a for a, letter in sent if "confirm" not in letter.subject}
    assert grave_mail == {"ines@invited.example"}


def test_without_an_invited_address_the_fallback_is_told(grave):
    tell(grave)

    sent = send(grave, fallback="office@trees.example")

    grave_mail = {a for a, letter in sent if "confirm" not in letter.subject}
    assert grave_mail == {"office@trees.example"}
