"""What holds for every address at once: other sites, looking, methods, bodies."""

import hashlib
import io
import re
import sqlite3
import zipfile
from uuid import uuid4

import pyotp
import pytest

from monitor.domain.people import KeyKind
from monitor.errors import ImportRejected
from monitor.exchange import workbook
from monitor.exchange.tables import ReadOptions, sheet_of
from monitor.services import access
from monitor.services.entry import invite, second
from tests.conftest import NOON
from tests.dashboard.conftest import NAME, OWN, sign_in
from tests.quick_hash import quicken

ELSEWHERE = {"Sec-Fetch-Site": "cross-site", "Origin": "https://elsewhere.example"}
UNSAFE = {"POST", "PUT", "PATCH", "DELETE"}


def addresses(app, methods):
    """Every address with a made-up value for each part of it."""
    for rule in app.server.url_map.iter_rules():
        path = re.sub(r"<uuid:\w+>", str(uuid4()), rule.rule)
        path = re.sub(r"<[^>]*>", "x", path)
        for method in sorted(rule.methods & methods):
            yield method, path


def fingerprint(context):
    """Of everything in the database."""
    path = context.store.url.removeprefix("sqlite:///")
    with sqlite3.connect(path) as base:
        lines = "\n".join(base.iterdump())
    base.close()
    return hashlib.sha256(lines.encode()).hexdigest()


def test_every_address_that_changes_something_refuses_another_site(
    app, client, context
):
    before, asked = fingerprint(context), 0

    for method, path in addresses(app, UNSAFE):
        for headers in (ELSEWHERE, {}, {"Origin": "null"}):
            answer = client.open(path, method=method, headers=headers)
            assert answer.status_code == 403, (method, path, headers)
            asked += 1

    assert asked > 60
    assert fingerprint(context) == before


def test_looking_twice_changes_nothing_and_every_body_says_what_it_is(
    app, client, context
):
    before, asked = fingerprint(context), 0

    for _, path in addresses(app, {"GET"}):
        for _ in range(2):
            with client.get(path) as answer:
                body, kind = answer.get_data(), answer.headers.get("Content-Type", "")
            assert kind or not body, path
            assert not kind.startswith("text/html") or "charset=utf-8" in kind, path
            assert "Access-Control-Allow-Origin" not in answer.headers
            asked += 1

    assert asked > 100
    assert fingerprint(context) == before


@pytest.mark.parametrize("path", ["/", "/api/v1/supports", "/_dash-layout"])
def test_the_method_that_tells_a_request_back_is_refused(client, path):
    assert client.open(path, method="TRACE", headers=OWN).status_code == 405


def test_a_reset_does_not_pass_the_second_factor_by(stranger, context, monkeypatch):
    quicken(monkeypatch)
    with context.store.write_session() as session:
        account = access.account_named(session, NAME)
        secret = second.begin(session, account, context.seal)
        code = pyotp.TOTP(secret).at(int(NOON.timestamp()))
        second.confirm(session, account, code, NOON, context.seal)
        path = invite.link(session, account, KeyKind.RESET, by=("test", NOON))

    fresh = "a quiet larch on Sunday"
    stranger.post(path, data={"password": fresh}, headers=OWN)
    answer = sign_in(stranger, password=fresh)

    assert answer.location.startswith("/sign-in/code")
    assert stranger.get("/_dash-layout").status_code == 401


def a_workbook(book, rows=b""):
    body = io.BytesIO()
    with zipfile.ZipFile(body, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/workbook.xml", book)
        packed.writestr("xl/worksheets/sheet1.xml", rows)
    return body.getvalue()


def test_a_workbook_that_unfolds_without_end_is_refused(monkeypatch):
    monkeypatch.setattr(workbook, "LARGEST_UNPACKED", 10_000_000)
    content = a_workbook("<workbook/>", bytes(11_000_000))

    assert len(content) < 100_000
    with pytest.raises(ImportRejected, match="unpacked it would be larger"):
        sheet_of("bomb.xlsx", content, ReadOptions())


def test_a_workbook_whose_words_multiply_or_lie_outside_is_refused():
    laughs = "".join(f'<!ENTITY a{n + 1} "{f"&a{n};" * 10}">' for n in range(12))
    many = f'<!DOCTYPE w [<!ENTITY a0 "ha">{laughs}]><w>&a12;</w>'
    outside = '<!DOCTYPE w [<!ENTITY x SYSTEM "file:///etc/passwd">]><w>&x;</w>'

    for book in (many, outside):
        with pytest.raises(ImportRejected, match="damaged"):
            sheet_of("laughs.xlsx", a_workbook(book), ReadOptions())
