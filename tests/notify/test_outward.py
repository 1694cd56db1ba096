"""A typed-in address can not lead a request into the house, or anywhere else."""

import hmac
from hashlib import sha256

import pytest

from monitor.errors import DeliveryError
from monitor.notify.outward import Outward, is_open
from monitor.notify.webhook import Webhook, body_of
from tests.conftest import NOON
from tests.notify.test_letter import LETTER
from tests.notify.wire import post_server, trusting

OWN = frozenset({"hook.example"})


def to_loopback(host, port):
    return ["127.0.0.1"]


def going_out(own=OWN, lookup=to_loopback):
    return Outward(own, timeout_s=2, lookup=lookup, tls=trusting)


@pytest.mark.parametrize(
    "address",
    [
        "127.0.0.1", "10.0.0.1", "172.16.3.4", "192.168.1.1", "169.254.169.254",
        "0.0.0.0", "100.64.0.1", "224.0.0.1", "255.255.255.255", "::1", "::",
        "fe80::1", "fe80::1%eth0", "fc00::1", "ff02::1", "::ffff:127.0.0.1",
        "::ffff:10.0.0.1", "2002:7f00:1::", "64:ff9b::7f00:1",
    ],
)  # fmt: skip
def test_a_private_address_is_not_open(address):
    # IANA special-purpose address registries (RFC 6890); 6to4 RFC 3056; RFC 6052.
    assert not is_open(address)


@pytest.mark.parametrize("address", ["8.8.8.8", "2606:4700::1111", "64:ff9b::808:808"])
def test_an_address_of_the_open_internet_is_open(address):
    assert is_open(address)


@pytest.mark.parametrize(
    "url",
    [
        "https://169.254.169.254/", "https://[::1]/", "https://2130706433/",
        "https://localhost/", "https://0x7f.1/",
    ],
)  # fmt: skip
def test_an_address_inside_is_refused_before_anything_is_sent(url):
    out = Outward(timeout_s=2, tls=trusting)

    with pytest.raises(DeliveryError, match="private network") as caught:
        out.post(url, b"{}", {})

    assert caught.value.permanent


@pytest.mark.parametrize(
    "url",
    ["http://hook.example/", "file:///etc/passwd", "https://a:b@hook.example/",
     "https:///x", "https://hook.example:99999/", "https://hook.example/\r\nX: y"],
)  # fmt: skip
def test_anything_but_a_plain_https_address_is_refused(url):
    with pytest.raises(DeliveryError, match="https://"):
        going_out().post(url, b"{}", {})


def test_a_name_with_one_address_inside_is_refused():
    out = going_out(frozenset(), lambda host, port: ["8.8.8.8", "10.0.0.1"])

    with pytest.raises(DeliveryError, match="private network"):
        out.post("https://hook.example/", b"{}", {})


def test_the_connection_goes_to_the_address_that_was_looked_at():
    asked = []

    def answers_differently(host, port):
        asked.append(host)
        return ["127.0.0.1"] if len(asked) == 1 else ["10.0.0.1"]

    with post_server() as (port, taken):
        url = f"https://hook.example:{port}/in"
        going_out(lookup=answers_differently).post(url, b"{}", {})

    assert (len(asked), len(taken)) == (1, 1)


def test_a_redirect_is_not_followed():
    with post_server() as (inner_port, inner):
        there = f"https://hook.example:{inner_port}/"
        with (
            post_server(302, [("Location", there)]) as (port, taken),
            pytest.raises(DeliveryError, match="redirects") as caught,
        ):
            going_out().post(f"https://hook.example:{port}/", b"{}", {})

    assert caught.value.permanent
    assert (len(taken), len(inner)) == (1, 0)


@pytest.mark.parametrize(
    ("status", "permanent"), [(503, False), (429, False), (404, True), (410, True)]
)
def test_an_answer_says_whether_to_try_again(status, permanent):
    with (
        post_server(status) as (port, _),
        pytest.raises(DeliveryError, match=str(status)) as caught,
    ):
        going_out().post(f"https://hook.example:{port}/", b"{}", {})

    assert caught.value.permanent is permanent


def test_a_body_without_end_is_refused():
    with pytest.raises(DeliveryError, match="at most"):
        going_out().post("https://hook.example/", b"x" * 300_000, {})


def test_the_receiver_can_tell_that_a_letter_is_ours_and_fresh():
    with post_server() as (port, taken):
        hook = Webhook(going_out(), "oak", lambda: NOON)
        hook.deliver(LETTER, f"https://hook.example:{port}/in?key=1")

    ((path, headers, body),) = taken
    # RFC 2104 by the standard library, over "time.body".
    stamp = str(int(NOON.timestamp()))
    wanted = hmac.new(b"oak", f"{stamp}.".encode() + body, sha256).hexdigest()
    assert path == "/in?key=1"
    assert headers["Underprop-Timestamp"] == stamp
    assert headers["Underprop-Signature"] == wanted
    assert body == body_of(LETTER)
