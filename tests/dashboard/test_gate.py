"""Nobody in who should not be, nothing taken from elsewhere."""

from datetime import timedelta

import pytest

from dashboard.access import OPEN_PATHS
from monitor.services.access import LONGEST
from monitor.store import records
from tests.dashboard.conftest import NAME, OWN, PASSWORD, sign_in

COOKIE = "underprop"


def test_every_route_is_closed_to_a_stranger_but_the_few_named_open(app, stranger):
    answers = {}
    for rule in app.server.url_map.iter_rules():
        path = rule.rule
        for part in rule.arguments:
            path = path.replace(f"<{part}>", "x").replace(f"<path:{part}>", "x")
            path = path.replace(f"<string:{part}>", "x")
        for method in rule.methods - {"OPTIONS", "HEAD"}:
            answer = stranger.open(path, method=method, headers=OWN)
            answers[method, path] = answer.status_code

    opened = {path for (_, path), status in answers.items() if status not in {401}}
    assert opened <= OPEN_PATHS
    assert ("POST", "/_dash-update-component") in answers
    assert ("GET", "/_dash-layout") in answers
    assert ("GET", "/_dash-dependencies") in answers


def test_a_page_leads_a_stranger_to_the_sign_in_and_back(stranger):
    answer = stranger.get("/supports/S-0101", headers={"Accept": "text/html"})

    assert answer.status_code == 302
    assert answer.location == "/sign-in?next=%2Fsupports%2FS-0101"


def test_a_layout_is_refused_even_when_it_is_asked_for_as_a_page(stranger):
    answer = stranger.get("/_dash-layout", headers={"Accept": "text/html"})

    assert answer.status_code == 401


@pytest.mark.parametrize("path", ["/", "/register", "/due", "/supports/S-0101"])
def test_a_signed_in_browser_gets_pages(client, path):
    assert client.get(path, headers={"Accept": "text/html"}).status_code == 200


def test_health_says_no_more_than_that_it_is_there(stranger):
    answer = stranger.get("/healthz")

    assert (answer.status_code, answer.text) == (200, "ok")


@pytest.mark.parametrize(
    "headers",
    [
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Origin": "https://elsewhere.example"},
        {"Origin": "null"},
        {},
    ],
)
@pytest.mark.parametrize("path", ["/_dash-update-component", "/sign-out", "/password"])
def test_a_post_from_another_site_is_refused(client, path, headers):
    answer = client.post(path, json={}, headers=headers)

    assert answer.status_code == 403


def test_a_post_from_our_own_origin_is_taken_where_the_browser_names_only_that(
    stranger,
):
    form = {"name": NAME, "password": PASSWORD}
    answer = stranger.post(
        "/sign-in", data=form, headers={"Origin": "http://localhost"}
    )

    assert answer.status_code == 303


def test_the_cookie_is_kept_from_scripts_and_other_sites(stranger):
    cookie = sign_in(stranger).headers["Set-Cookie"]

    assert cookie.startswith(f"{COOKIE}=")
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie
    assert "Path=/" in cookie


def test_a_copied_cookie_is_worthless_after_signing_out(app, client):
    token = client.get_cookie(COOKIE).value
    thief = app.server.test_client()
    thief.set_cookie(COOKIE, token)
    assert thief.get("/_dash-layout").status_code == 200

    client.post("/sign-out", headers=OWN)

    assert thief.get("/_dash-layout").status_code == 401


def test_the_record_holds_no_token_that_would_let_someone_in(client, context):
    token = client.get_cookie(COOKIE).value
    with context.store.read_session() as session:
        kept = records.SIGN_INS.all(session)

    assert [sign_in.token_hash != token for sign_in in kept] == [True]
    assert len(kept[0].token_hash) == 64


def test_a_sign_in_ends_when_it_is_not_used(client, clock):
    clock.at += timedelta(hours=11, minutes=59)
    assert client.get("/_dash-layout").status_code == 200
    clock.at += timedelta(hours=12)

    assert client.get("/_dash-layout").status_code == 401


def test_a_sign_in_ends_in_time_however_often_it_is_used(client, clock):
    start = clock.at
    while clock.at < start + LONGEST - timedelta(hours=6):
        clock.at += timedelta(hours=6)
        assert client.get("/_dash-layout").status_code == 200
    clock.at += timedelta(hours=6)

    assert client.get("/_dash-layout").status_code == 401


def test_wrong_passwords_are_answered_alike_and_then_slowed(stranger, clock):
    unknown = sign_in(stranger, name="Nobody", password="a wrong password")
    wrong = [sign_in(stranger, password="a wrong password") for _ in range(6)]

    assert unknown.status_code == wrong[0].status_code == 403
    assert "do not belong together" in unknown.text
    assert unknown.text == wrong[0].text
    assert wrong[5].status_code == 429
    assert sign_in(stranger).status_code == 429
    clock.at += timedelta(minutes=15)
    assert sign_in(stranger).status_code == 303


def test_a_new_password_ends_the_other_browsers(app, client):
    other = app.server.test_client()
    sign_in(other)

    answer = client.post(
        "/password",
        data={"old": PASSWORD, "new": "a longer rope and beam"},
        headers=OWN,
    )

    assert answer.status_code == 303
    assert client.get("/_dash-layout").status_code == 200
    assert other.get("/_dash-layout").status_code == 401
    assert sign_in(other).status_code == 403


def test_a_new_password_needs_the_present_one(client):
    answer = client.post(
        "/password", data={"old": "not this one", "new": "x" * 20}, headers=OWN
    )

    assert answer.status_code == 400
    assert "present password is not right" in answer.text


@pytest.mark.parametrize(
    "wanted",
    [
        "//elsewhere.example",
        "https://elsewhere.example/",
        "/\\elsewhere",
        "/_dash-layout",
    ],
)
def test_signing_in_never_leads_to_another_site(stranger, wanted):
    form = {"name": NAME, "password": PASSWORD, "next": wanted}
    answer = stranger.post("/sign-in", data=form, headers=OWN)

    assert answer.location == "/"


def test_signing_in_leads_back_to_the_page_that_was_wanted(stranger):
    form = {"name": NAME, "password": PASSWORD, "next": "/supports/S-0101"}
    answer = stranger.post("/sign-in", data=form, headers=OWN)

    assert answer.location == "/supports/S-0101"


def test_what_is_typed_comes_back_as_text_and_never_as_markup(stranger):
    answer = stranger.get('/sign-in?next=/"><script>alert(1)</script>')

    assert "<script>" not in answer.text


def test_every_answer_carries_the_security_headers(stranger, client):
    for answer in (stranger.get("/sign-in"), client.get("/"), stranger.get("/due")):
        policy = answer.headers["Content-Security-Policy"]
        assert "default-src 'self'" in policy
        assert "frame-ancestors 'none'" in policy
        assert "object-src 'none'" in policy
        scripts = policy.split("script-src ")[1].split(";")[0]
        assert "unsafe" not in scripts
        assert "'sha256-" in scripts
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["X-Frame-Options"] == "DENY"
        assert answer.headers["Cache-Control"] == "no-store"


def test_a_body_beyond_the_limit_is_refused(client, context):
    body = b"x" * (context.settings.upload_mb * 1_000_000 + 1)
    answer = client.post("/password", data=body, headers=OWN)

    assert answer.status_code == 413


@pytest.mark.parametrize("body", [b"", b"{", b"[]", b'{"output": 5}', b"null"])
def test_a_malformed_callback_is_refused_and_never_an_error_of_ours(client, body):
    headers = {**OWN, "Content-Type": "application/json"}
    answer = client.post("/_dash-update-component", data=body, headers=headers)

    assert answer.status_code == 400
