"""The log: every sign-in and every no is in it, and no secret ever is."""

import io
import json
import logging
from dataclasses import replace
from urllib.parse import parse_qs, urlsplit

import pyotp
import pytest

from dashboard import events_log
from dashboard.app import create_app
from monitor.domain.people import KeyKind, KeyScope
from monitor.domain.vocabulary import Role
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.services.entry import invite, keys, second
from monitor.services.entry.keys import Wish
from monitor.store import records
from tests.conftest import NOON
from tests.dashboard.conftest import NAME, OWN, PASSWORD, sign_in
from tests.dashboard.openid_provider import SECRET, Provider
from tests.quick_hash import quicken

BY = ("test", NOON)


@pytest.fixture
def told(monkeypatch):
    """Everything that is logged meanwhile, by whatever part of the program."""
    stream = io.StringIO()
    handler = logging.StreamHandler(stream)
    handler.setFormatter(events_log.JsonLines())
    root, ours = logging.getLogger(), logging.getLogger("underprop")
    before = root.level, ours.level
    root.addHandler(handler)
    root.setLevel(logging.DEBUG)
    ours.setLevel(logging.DEBUG)
    yield stream
    root.removeHandler(handler)
    root.setLevel(before[0])
    ours.setLevel(before[1])


@pytest.fixture
def provider(clock):
    found = Provider(clock.now)
    yield found
    found.close()


def events(told):
    return [json.loads(line) for line in told.getvalue().splitlines()]


def test_no_secret_of_any_way_in_is_ever_logged(
    context, clock, provider, told, monkeypatch
):
    quicken(monkeypatch)
    settings = replace(context.settings, **provider.settings())
    app = create_app(replace(context, settings=settings))
    secrets = [PASSWORD, "canary-wrong", SECRET]
    with context.store.write_session() as session:
        new = NewAccount("Ada", "ines@trees.example", Role.ADMINISTRATOR, PASSWORD)
        account = access.add_account(session, new, actor="test", now=NOON)
        seed = second.begin(session, account, context.seal)
        first = pyotp.TOTP(seed).at(int(NOON.timestamp()) - 30)
        codes = second.confirm(session, account, first, NOON, context.seal)
        support = records.SUPPORTS.find(session, code="S-0101")
        share = Wish(KeyKind.SHARE, "S-0101", KeyScope.READ, 3, support.id)
        token = Wish(KeyKind.TOKEN, "scales", KeyScope.READ, 3)
        _, shared = keys.make_key(session, None, share, by=BY)
        _, program = keys.make_key(session, account, token, by=BY)
        inspector = access.account_named(session, NAME)
        reset = invite.link(session, inspector, KeyKind.RESET, by=BY)
    secrets += [seed, *codes, shared, program, reset.rpartition("/")[2]]

    browser = app.server.test_client()
    sign_in(browser, name="Ada", password="canary-wrong")
    sign_in(browser, name="Ada")
    browser.post("/sign-in/code", data={"code": "canary-wrong"}, headers=OWN)
    browser.post("/sign-in/code", data={"code": codes[0]}, headers=OWN)
    secrets.append(browser.get_cookie("underprop").value)
    browser.post("/account/prove", data={"proof": "canary-wrong"}, headers=OWN)
    browser.post("/account/prove", data={"proof": codes[1]}, headers=OWN)
    made = browser.post("/account/tokens", data={"days": "3"}, headers=OWN)
    secrets.append(made.text.partition('class="secret">')[2].partition("<")[0])
    browser.get(f"/shared/{shared}")
    browser.get(reset)
    browser.post(reset, data={"password": "canary-wrong"}, headers=OWN)
    browser.get("/api/v1/supports", headers={"Authorization": f"Bearer {program}"})
    browser.get("/api/v1/none", headers={"Authorization": f"Bearer {program}"})
    other = app.server.test_client()
    away = other.post("/sign-in/provider", headers=OWN).location
    back = provider.lets_in(away)
    secrets += [parse_qs(urlsplit(back).query)[name][0] for name in ("state", "code")]
    other.get(back)
    provider.lies = {"nonce": "other"}
    again = app.server.test_client()
    again.get(provider.lets_in(again.post("/sign-in/provider", headers=OWN).location))

    text = told.getvalue()
    assert [secret for secret in secrets if secret in text] == []
    assert all(len(secret) > 4 for secret in secrets)
    names = {one["event"] for one in events(told)}
    assert {
        "sign-in refused", "second factor refused", "signed in", "proof refused",
        "proved again", "token made", "provider refused",
    } <= names  # fmt: skip


def test_a_denial_is_logged_with_who_and_which_address(client, told):
    client.post("/account/shares", data={"code": "S-0101"}, headers=OWN)
    client.post("/password", headers={"Sec-Fetch-Site": "cross-site"})

    denied = [one for one in events(told) if one["event"] == "denied"]
    assert [(one["who"], one["route"]) for one in denied] == [
        (NAME, "/account/shares"),
        ("", "/password"),  # refused before anybody is looked at
    ]
