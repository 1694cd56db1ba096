"""The link in the letter to a new address: a look changes nothing, a click does."""

from datetime import timedelta
from uuid import uuid4

import pytest

from monitor.services.notices.confirming import OPEN_FOR, answer_token
from monitor.services.notices.recipients import (
    SECRET_FILE,
    Choices,
    choose,
    recipient_named,
)
from monitor.services.secret import own_secret
from monitor.store.ledger import entries
from tests.dashboard.conftest import NAME

FROM_AFAR = {"Sec-Fetch-Site": "cross-site"}  # a mail program is no page of ours


@pytest.fixture
def person(context):
    return told(context, NAME)


def told(context, name, email="ines@trees.example"):
    choices = Choices(name, email=email)
    with context.store.write_session() as session:
        return choose(session, choices, actor="test", now=context.clock.now())


def address_of(context, person):
    secret = own_secret(context.settings.data_folder, SECRET_FILE)
    return f"/confirm/{person.id}/{answer_token(secret, person)}"


def confirmed_at(context, name=NAME):
    with context.store.read_session() as session:
        return recipient_named(session, name).confirmed_at


def answers_in_ledger(context):
    with context.store.read_session() as session:
        said = [entry.change.action for entry in entries(session)]
    return said.count("confirmed address")


def test_a_look_at_the_link_changes_nothing(stranger, context, person):
    address = address_of(context, person)

    looks = [stranger.get(address) for _ in range(3)]

    assert {one.status_code for one in looks} == {200}
    assert f'action="{address}"' in looks[0].text
    assert "If you did not ask for them" in looks[0].text
    assert confirmed_at(context) is None
    assert answers_in_ledger(context) == 0


def test_one_click_confirms_and_the_link_is_used_up(stranger, context, person):
    address = address_of(context, person)

    clicked = stranger.post(address, headers=FROM_AFAR)
    first = confirmed_at(context)
    context.clock.at += timedelta(hours=1)
    again = stranger.post(address, headers=FROM_AFAR)

    assert (clicked.status_code, again.status_code) == (200, 404)
    assert "come to this address" in clicked.text
    assert stranger.get(address).status_code == 404
    assert confirmed_at(context) == first
    assert answers_in_ledger(context) == 1


def test_a_link_of_two_weeks_ago_is_not_there_any_more(stranger, context, person):
    address = address_of(context, person)
    context.clock.at += OPEN_FOR

    assert stranger.get(address).status_code == 404
    assert stranger.post(address).status_code == 404
    assert confirmed_at(context) is None


def test_the_last_minute_of_the_two_weeks_still_counts(stranger, context, person):
    address = address_of(context, person)
    context.clock.at += OPEN_FOR - timedelta(minutes=1)

    assert stranger.post(address).status_code == 200
    assert confirmed_at(context) is not None


def test_the_link_of_one_person_confirms_no_other(stranger, context, person):
    other = told(context, "Odile", "odile@trees.example")
    wrong = address_of(context, other).replace(str(other.id), str(person.id))
    nobody = address_of(context, other).replace(str(other.id), str(uuid4()))

    for address in (wrong, nobody):
        assert stranger.get(address).status_code == 404
        assert stranger.post(address).status_code == 404
    assert confirmed_at(context) is confirmed_at(context, "Odile") is None


def test_an_address_that_was_changed_is_not_confirmed_by_the_old_letter(
    stranger, context, person
):
    old = address_of(context, person)
    context.clock.at += timedelta(days=1)
    told(context, NAME, "ines@other.example")

    assert stranger.post(old).status_code == 404
    assert confirmed_at(context) is None


def test_a_link_that_is_cut_short_does_not_pass_the_gate(stranger, context, person):
    address = address_of(context, person)

    for cut in (address[:-1], address + "0", address.upper(), "/confirm/"):
        answer = stranger.get(cut)
        assert answer.status_code in (401, 404), cut
        assert "Yes, send them here" not in answer.text
