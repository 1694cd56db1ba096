"""Coming in by links, codes and tokens, as browsers and programs do it."""

import io
import json
import logging
import re
from dataclasses import replace
from datetime import timedelta

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
from tests.dashboard.conftest import NAME, OWN, PASSWORD, sign_in, signed_in_client
from tests.quick_hash import quicken

BY = ("test", NOON)
FAR = {"REMOTE_ADDR": "203.0.113.7"}


def an_app(context, **changes):
    return create_app(replace(context, settings=replace(context.settings, **changes)))


def of(context, name=NAME):
    with context.store.read_session() as session:
        return access.account_named(session, name)


def with_factor(context):
    account = of(context)
    with context.store.write_session() as session:
        secret = second.begin(session, account, context.seal)
        code = pyotp.TOTP(secret).at(int(NOON.timestamp()) - 30)
        second.confirm(session, account, code, NOON, context.seal)
    return pyotp.TOTP(secret)


def test_with_a_second_factor_the_password_alone_opens_nothing(
    stranger, context, clock
):
    totp = with_factor(context)

    first = sign_in(stranger)
    assert first.location.startswith("/sign-in/code")
    assert stranger.get("/_dash-layout").status_code == 401
    wrong = stranger.post("/sign-in/code", data={"code": "000000"}, headers=OWN)
    assert wrong.status_code == 403
    code = totp.at(int(clock.now().timestamp()))
    right = stranger.post("/sign-in/code", data={"code": code}, headers=OWN)

    assert right.status_code == 303
    assert stranger.get("/_dash-layout").status_code == 200


def test_the_second_step_waits_five_minutes_and_believes_no_forged_word(
    stranger, context, clock
):
    with_factor(context)
    forged = f"{of(context).id}.{int(NOON.timestamp())}.{'0' * 64}"
    stranger.set_cookie("underprop-half", forged)
    assert stranger.get("/sign-in/code").location == "/sign-in"

    sign_in(stranger)
    assert stranger.get("/sign-in/code").status_code == 200
    clock.at += timedelta(minutes=5)
    assert stranger.get("/sign-in/code").location == "/sign-in"


def test_a_role_that_needs_a_second_factor_gets_no_further_without(context):
    app = an_app(context, second_factor_for="inspector")
    client = signed_in_client(app, context, NAME)
    page = {"Accept": "text/html"}

    assert client.get("/register", headers=page).location == "/account"
    assert client.get("/field/api/start").status_code == 403
    assert client.get("/account", headers=page).status_code == 200
    with_factor(context)
    assert client.get("/field/api/start").status_code == 200


def test_an_invited_person_comes_in_by_the_link_and_only_once(
    stranger, context, monkeypatch
):
    quicken(monkeypatch)
    with context.store.write_session() as session:
        new = NewAccount("Bo", "", Role.PLANNER, "")
        _, path = invite.invite(session, new, actor="test", now=NOON)

    looked = [stranger.get(path).status_code for _ in range(2)]
    form = {"password": "a quiet larch on Sunday"}
    taken = stranger.post(path, data=form, headers=OWN)
    again = stranger.post(path, data=form, headers=OWN)

    assert looked == [200, 200]  # looking uses nothing up
    assert (taken.status_code, again.status_code) == (200, 404)
    assert sign_in(stranger, name="Bo", password=form["password"]).status_code == 303
    assert stranger.get(path).headers["Referrer-Policy"] == "no-referrer"


def test_a_link_is_not_taken_from_another_site(stranger, context):
    with context.store.write_session() as session:
        path = invite.link(session, of(context), KeyKind.RESET, by=BY)

    assert stranger.post(path, data={"password": "x" * 20}).status_code == 403


def token(context, scope=KeyScope.READ, name=NAME):
    with context.store.write_session() as session:
        wish = Wish(KeyKind.TOKEN, "scales", scope)
        return keys.make_key(session, of(context, name), wish, by=BY)[1]


def test_a_token_opens_the_measures_to_who_may_see_them(app, stranger, context):
    quiet = {"Authorization": f"Bearer {token(context, name='Mira')}"}
    inspector = {"Authorization": f"Bearer {token(context)}"}

    found = stranger.get("/metrics", headers=quiet, environ_base=FAR)
    refused = stranger.get("/metrics", headers=inspector, environ_base=FAR)

    assert "underprop_supports 6" in found.text
    assert found.content_type.startswith("text/plain; version=0.0.4")
    assert refused.status_code == 404


def test_a_token_is_no_sign_in_for_pages(stranger, context):
    headers = {"Authorization": f"Bearer {token(context)}"}

    for path in ("/_dash-layout", "/field/api/start", "/account"):
        assert stranger.get(path, headers=headers).status_code == 401


def test_a_token_for_reading_posts_nothing(stranger, context):
    headers = {"Authorization": f"Bearer {token(context)}"}

    answer = stranger.post("/api/none", headers=headers, json={})
    assert answer.status_code in {403, 404, 405}
    bad = {"Authorization": "Bearer underprop_none"}
    assert stranger.post("/api/none", headers=bad, json={}).status_code == 401


def test_a_share_shows_one_support_to_whoever_has_the_link(app, client, context):
    with context.store.write_session() as session:
        found = records.SUPPORTS.find(session, code="S-0101")
        wish = Wish(KeyKind.SHARE, "S-0101", KeyScope.READ, 3, found.id)
        key, secret = keys.make_key(session, None, wish, by=(NAME, NOON))
    anybody = app.server.test_client()

    page = anybody.get(f"/shared/{secret}")

    assert page.status_code == 200
    assert "S-0101" in page.text
    assert "Screening only" in page.text
    assert page.headers["X-Robots-Tag"] == "noindex, nofollow"
    assert anybody.get("/supports/S-0101").status_code == 401
    client.post(f"/account/keys/{key.id}/revoke", headers=OWN)
    assert anybody.get(f"/shared/{secret}").status_code == 404


def test_signing_in_again_ends_the_sign_in_before(stranger):
    sign_in(stranger)
    before = stranger.get_cookie("underprop").value
    sign_in(stranger)

    after = stranger.get_cookie("underprop").value
    stranger.set_cookie("underprop", before)
    assert before != after
    assert stranger.get("/_dash-layout").status_code == 401


def test_over_tls_cookies_are_bound_and_browsers_stay_with_tls(context):
    app = an_app(context, base_url="https://trees.example/")
    stranger = app.server.test_client()

    answer = sign_in(stranger)

    cookies = answer.headers.getlist("Set-Cookie")
    assert cookies
    assert cookies[0].startswith("__Host-underprop=")
    for cookie in cookies:
        assert "Secure" in cookie
        assert "HttpOnly" in cookie
        assert "SameSite=Lax" in cookie
        assert "Path=/" in cookie
        assert "Domain" not in cookie
    assert "max-age=63072000" in answer.headers["Strict-Transport-Security"]


def test_without_tls_nothing_is_said_about_it(stranger):
    assert "Strict-Transport-Security" not in stranger.get("/sign-in").headers


@pytest.mark.parametrize("host", ["evil.example", "localhost.evil.example"])
def test_a_strange_host_name_is_refused(stranger, host):
    assert stranger.get("/sign-in", headers={"Host": host}).status_code == 400


def test_a_proxy_is_believed_only_if_it_is_ours(context):
    said = {"X-Forwarded-For": "198.51.100.9, 203.0.113.5"}
    for trusted, expected in (("", "203.0.113.7"), ("203.0.113.7", "203.0.113.5")):
        app = an_app(context, trusted_proxies=trusted)
        client = app.server.test_client()
        client.post(
            "/sign-in",
            data={"name": NAME, "password": PASSWORD},
            headers={**OWN, **said},
            environ_base=FAR,
        )
        with context.store.read_session() as session:
            newest = max(records.SIGN_INS.all(session), key=lambda one: str(one.id))
        assert newest.address == expected


def test_measures_are_for_this_machine_unless_a_proxy_stands_between(stranger):
    assert stranger.get("/metrics").status_code == 200
    behind = {"X-Forwarded-For": "198.51.100.9"}
    assert stranger.get("/metrics", headers=behind).status_code == 404
    assert stranger.get("/metrics", environ_base=FAR).status_code == 404


def test_no_secret_and_no_forged_line_gets_into_the_log(app, context, monkeypatch):
    quicken(monkeypatch)
    stream = io.StringIO()

    handler = logging.StreamHandler(stream)
    handler.setFormatter(events_log.JsonLines())
    logging.getLogger().addHandler(handler)
    logging.getLogger("underprop").setLevel(logging.INFO)
    client = app.server.test_client()
    try:
        forged = 'Ines\r\n{"event": "signed in", "name": "forged"}'
        sign_in(client, name=forged, password="canary-wrong-password")
        sign_in(client)
        cookie = client.get_cookie("underprop").value
        with context.store.write_session() as session:
            path = invite.link(session, of(context), KeyKind.RESET, by=BY)
        client.get(path)
        client.post(path, data={"password": "canary new password"}, headers=OWN)
        program = token(context)
        bearer = {"Authorization": f"Bearer {program}"}
        client.get("/api/x?secret=canary-query", headers=bearer)
    finally:
        logging.getLogger().removeHandler(handler)

    told = stream.getvalue()
    secrets = ("canary", cookie, path.rpartition("/")[2], program, PASSWORD)
    assert not [secret for secret in secrets if secret in told]
    lines = [json.loads(line) for line in told.splitlines()]
    events = [line["event"] for line in lines]
    assert "sign-in refused" in events
    assert events.count("signed in") == 1
    assert all(re.fullmatch(r"\S+\+00:00", line["at"]) for line in lines)


def test_an_error_of_ours_tells_a_number_only(context):
    app = create_app(context)

    def broken():
        raise RuntimeError("the secret reason")

    app.server.add_url_rule("/broken", view_func=broken)
    answer = signed_in_client(app, context, NAME).get("/broken")

    assert answer.status_code == 500
    assert answer.headers["X-Request-Id"] in answer.text
    assert "secret reason" not in answer.text
    assert "Traceback" not in answer.text


def test_ready_is_said_only_with_a_database_of_this_version(stranger, context):
    assert stranger.get("/ready").text == "ready"
    with context.store.engine.begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '0001'")

    assert stranger.get("/ready").status_code == 503
    assert stranger.get("/health").status_code == 200


def test_a_form_takes_no_more_than_a_form_holds(client):
    body = b"x" * 200_001
    for path in ("/password", "/sign-in", "/account/tokens"):
        assert client.post(path, data=body, headers=OWN).status_code == 413


def test_one_signs_out_elsewhere_and_stays(app, context, client):
    other = signed_in_client(app, context, NAME)

    client.post("/account/sign-ins/end", headers=OWN)

    assert other.get("/_dash-layout").status_code == 401
    assert client.get("/_dash-layout").status_code == 200


def test_what_a_form_says_beyond_its_fields_changes_nothing(client, context):
    extra = {"role": "administrator", "is_active": "1", "recorded_at": "2001-01-01"}
    before = of(context)
    client.post("/account/tokens", data={"days": "3", **extra}, headers=OWN)
    client.post("/password", data={"old": PASSWORD, "new": "x", **extra}, headers=OWN)

    assert of(context) == before
