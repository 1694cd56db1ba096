"""Signing in at an organisation's provider: who comes in by it, and who does not."""

import socket
from dataclasses import replace
from datetime import timedelta
from itertools import product
from urllib.parse import parse_qs, urlsplit

import pyotp
import pytest

from dashboard.app import create_app
from monitor.domain.vocabulary import Role
from monitor.errors import InvalidInput
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.services.entry import second
from monitor.services.entry.provider_calls import Calls
from monitor.services.entry.roles import disable
from monitor.settings import from_environ
from monitor.store import records
from tests.conftest import NOON
from tests.dashboard.conftest import NAME, OWN
from tests.dashboard.openid_provider import Provider

PAGE = {"Accept": "text/html"}


@pytest.fixture
def provider(clock):
    found = Provider(clock.now)
    yield found
    found.close()


@pytest.fixture
def world(context, provider):
    """The small record, whose Ines was invited under an e-mail address."""
    with context.store.write_session() as session:
        ines = access.account_named(session, NAME)
        records.ACCOUNTS.change(session, replace(ines, email="Ines@Trees.example"))
    settings = replace(context.settings, **provider.settings())
    return replace(context, settings=settings)


@pytest.fixture
def browser(world):
    return create_app(world).server.test_client()


def leave(browser, to="/"):
    return browser.post("/sign-in/provider", data={"next": to}, headers=OWN)


def come_back(browser, provider, to="/"):
    return browser.get(provider.lets_in(leave(browser, to).location))


def is_in(browser):
    return browser.get("/_dash-layout").status_code == 200


def test_an_invited_person_comes_in_and_goes_where_they_wanted(
    browser, provider, world
):
    answer = come_back(browser, provider, "/due")

    assert (answer.status_code, answer.location) == (303, "/due")
    assert is_in(browser)
    with world.store.read_session() as session:
        account = access.account_named(session, NAME)
        (one,) = access.sign_ins_of(session, account, NOON, idle=world.idle)
    assert one.account_id == account.id


def test_the_way_there_says_who_asks_and_shows_a_challenge_only(browser, provider):
    address = leave(browser).location

    asked = {
        name: value[0] for name, value in parse_qs(urlsplit(address).query).items()
    }
    assert address.startswith(provider.issuer + "/authorise?")
    assert asked["response_type"] == "code"
    assert asked["code_challenge_method"] == "S256"
    assert asked["redirect_uri"] == "http://localhost/sign-in/provider/back"
    assert {len(asked[name]) for name in ("state", "nonce")} == {43}
    assert "code_verifier" not in asked


def test_the_button_is_there_only_with_a_provider_and_may_lead_to_it(
    browser, stranger, provider
):
    with_one = browser.get("/sign-in")

    assert "Sign in with your organisation" in with_one.text
    policy = with_one.headers["Content-Security-Policy"]
    assert f"form-action 'self' {provider.issuer.removesuffix('/city')}" in policy
    assert "organisation" not in stranger.get("/sign-in").text
    assert stranger.post("/sign-in/provider", headers=OWN).status_code == 404
    assert stranger.get("/sign-in/provider/back").status_code == 404


LIES = [
    {"nonce": "another"},
    {"nonce": None},
    {"aud": "another client"},
    {"aud": ["underprop", "another"], "azp": "another"},
    {"iss": "https://elsewhere.example"},
    {"exp": int(NOON.timestamp()) - 61},
    {"exp": None},
    {"iat": int(NOON.timestamp()) + 3600},
    {"iat": int(NOON.timestamp()) - 3600},
    {"iat": "now"},
    {"nbf": int(NOON.timestamp()) + 3600},
    {"sub": None},
    {"sub": 7},
    {"sub": "x" * 256},
]


def test_a_token_that_does_not_fit_lets_nobody_in(browser, provider):
    for lies in LIES:
        provider.lies = lies

        answer = come_back(browser, provider)

        assert answer.status_code == 403, lies
        assert "does not fit" in answer.text
        assert not is_in(browser)


def test_a_token_that_the_provider_did_not_sign_lets_nobody_in(browser, provider):
    right = provider.header
    for algorithm in ("none", "HS256"):
        provider.header = {"alg": algorithm, "kid": "one"}
        assert come_back(browser, provider).status_code == 403, algorithm
    provider.header, provider.signs_with = right, provider.other_key

    assert come_back(browser, provider).status_code == 403
    assert not is_in(browser)


def test_an_address_that_the_provider_does_not_vouch_for_is_nobodys(browser, provider):
    for says in (False, None, "true", 1):
        provider.claims["email_verified"] = says

        answer = come_back(browser, provider)

        assert answer.status_code == 403, says
        assert "no account here" in answer.text
        assert not is_in(browser)


def test_a_state_is_good_once_and_for_the_browser_it_was_given_to(
    browser, provider, world
):
    way_back = provider.lets_in(leave(browser).location)
    cookie = browser.get_cookie("underprop-provider").value
    other = create_app(world).server.test_client()

    assert other.get(way_back).status_code == 403  # another browser
    assert browser.get(way_back).status_code == 303
    thief = create_app(world).server.test_client()
    thief.set_cookie("underprop-provider", cookie)
    asked = len(provider.asked)
    replayed = thief.get(way_back)

    assert replayed.status_code == 403
    assert not is_in(thief)
    assert len(provider.asked) == asked  # nothing was even asked


def test_a_state_is_too_old_after_ten_minutes(browser, provider, clock):
    way_back = provider.lets_in(leave(browser).location)
    clock.at += timedelta(minutes=10)

    assert browser.get(way_back).status_code == 403


def test_whoever_calls_the_way_back_without_a_state_is_refused(browser, provider):
    for query in ("", "?state=", "?state=x&code=y", "?error=no"):
        assert browser.get("/sign-in/provider/back" + query).status_code == 403
    assert provider.asked == []


def test_the_answer_of_another_provider_is_refused(browser, provider):
    provider.iss_in_answer = "https://elsewhere.example"

    assert come_back(browser, provider).status_code == 403
    provider.iss_in_answer = provider.issuer
    assert come_back(browser, provider).status_code == 303


def test_once_known_a_person_is_found_by_the_subject_and_not_by_the_address(
    browser, provider, world
):
    come_back(browser, provider)
    browser.post("/sign-out", headers=OWN)
    provider.claims |= {"email": "moved@trees.example", "email_verified": False}

    assert come_back(browser, provider).status_code == 303
    browser.post("/sign-out", headers=OWN)
    provider.claims |= {"sub": "8"}
    assert come_back(browser, provider).status_code == 403


def test_a_disabled_account_and_one_of_two_with_an_address_stay_out(
    browser, provider, world
):
    with world.store.write_session() as session:
        new = NewAccount("Ines two", "ines@trees.example", Role.ADMINISTRATOR, "")
        access.add_account(session, new, actor="test", now=NOON)
    assert come_back(browser, provider).status_code == 403

    with world.store.write_session() as session:
        twin = access.account_named(session, "Ines two")
        records.ACCOUNTS.change(session, replace(twin, email=""))
    assert come_back(browser, provider).status_code == 303
    with world.store.write_session() as session:
        ines = access.account_named(session, NAME)
        disable(session, ines, actor="test", now=NOON)
    assert not is_in(browser)
    assert come_back(browser, provider).status_code == 403


def test_nobody_gets_an_account_by_it_unless_the_settings_say_so(
    browser, provider, world
):
    provider.claims |= {"email": "new@trees.example", "name": "Nadir"}
    assert come_back(browser, provider).status_code == 403

    settings = replace(world.settings, openid_creates=True)
    open_door = create_app(replace(world, settings=settings)).server.test_client()
    assert come_back(open_door, provider).status_code == 303

    with world.store.read_session() as session:
        made = access.account_named(session, "Nadir")
    assert (made.role, made.party_id, made.password_hash) == (Role.OWNER, None, "")
    assert open_door.get("/api/v1/supports").get_json()["items"] == []
    assert open_door.get("/people", headers=PAGE).status_code == 404


def test_the_provider_stands_for_the_password_and_not_for_the_second_factor(
    browser, provider, world, clock
):
    with world.store.write_session() as session:
        account = access.account_named(session, NAME)
        secret = second.begin(session, account, world.seal)
        first = pyotp.TOTP(secret).at(int(NOON.timestamp()) - 30)
        second.confirm(session, account, first, NOON, world.seal)

    answer = come_back(browser, provider, "/due")

    assert answer.location.startswith("/sign-in/code")
    assert not is_in(browser)
    code = pyotp.TOTP(secret).at(int(clock.now().timestamp()))
    form = {"code": code, "next": "/due"}
    assert browser.post("/sign-in/code", data=form, headers=OWN).location == "/due"
    assert is_in(browser)


ENDPOINTS = ("token_endpoint", "jwks_uri", "authorization_endpoint")
ELSEWHERE = ("http://127.0.0.1:9/x", "https://127.0.0.1/x", "file:///etc/passwd", "")


def test_nothing_is_sent_elsewhere_than_to_the_provider(browser, provider, monkeypatch):
    went_to = []
    connect = socket.create_connection

    def watched(place, *more, **other):
        went_to.append(place[1])
        return connect(place, *more, **other)

    monkeypatch.setattr(socket, "create_connection", watched)

    for name, elsewhere in product(ENDPOINTS, ELSEWHERE):
        provider.document = {name: elsewhere}
        assert leave(browser).status_code == 403, (name, elsewhere)
    assert set(went_to) == {provider.server.server_port}


def test_a_document_of_another_provider_is_refused(browser, provider):
    provider.document = {"issuer": "https://elsewhere.example"}

    assert leave(browser).status_code == 403


def test_a_provider_that_is_away_is_said_in_words(browser, provider, world):
    away = replace(world.settings, openid_issuer="http://127.0.0.1:9")
    far = create_app(replace(world, settings=away)).server.test_client()

    answer = leave(far)

    assert answer.status_code == 403
    assert "did not answer" in answer.text
    with pytest.raises(Exception, match="not its own"):
        Calls(provider.issuer).get("http://127.0.0.1:9/")


def test_beginnings_without_end_are_slowed(browser, provider):
    answers = [leave(browser).status_code for _ in range(52)]

    assert answers[0] == 303
    assert answers[-1] == 429


@pytest.mark.parametrize(
    "issuer",
    ["http://id.example", "ftp://id.example", "https://a:b@id.example", "https://x/?a"],
)
def test_a_provider_is_reached_over_tls_or_on_this_machine(issuer):
    with pytest.raises(InvalidInput, match="openid_issuer"):
        from_environ({"UNDERPROP_OPENID_ISSUER": issuer})


def test_a_provider_needs_a_base_address_and_a_name_for_us():
    with pytest.raises(InvalidInput, match=r"base_url.*openid_client_id"):
        from_environ({"UNDERPROP_OPENID_ISSUER": "https://id.example"})
