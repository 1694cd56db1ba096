"""Mail over a real server on loopback."""

import socket
from dataclasses import replace

import pytest

from monitor.errors import DeliveryError
from monitor.notify.mail import Mail, MailServer, Security
from tests.notify.test_letter import LETTER
from tests.notify.wire import mail_server, server_tls, trusting

TO = "ines@trees.example"


def server_at(port, security=Security.PLAIN):
    return MailServer(
        "localhost", port, security, "watch@trees.example", timeout_s=2, tls=trusting
    )


@pytest.fixture(scope="module")
def running():
    with mail_server() as box:
        yield box


@pytest.fixture
def box(running):
    running.messages.clear()
    running.answers.clear()
    return running


def test_a_letter_arrives_with_both_shapes_and_its_own_id(box):
    Mail(server_at(box.port)).deliver(LETTER, TO)

    (message,) = box.messages
    assert message["Message-ID"] == "<1@trees.example>"
    assert message["Subject"] == LETTER.subject
    assert "still growing" in message.get_body(["plain"]).get_content()
    assert "still growing" in message.get_body(["html"]).get_content()


@pytest.mark.parametrize(
    ("answer", "permanent"),
    [("451 try later", False), ("550 no such box", True), ("421 closing", False)],
)
def test_a_refusal_is_for_now_or_for_good(box, answer, permanent):
    box.answers.append(answer)

    with pytest.raises(DeliveryError) as caught:
        Mail(server_at(box.port)).deliver(LETTER, TO)

    assert caught.value.permanent is permanent
    assert box.messages == []


def test_a_server_that_does_not_answer_is_for_now():
    with socket.socket() as silent:
        silent.bind(("127.0.0.1", 0))
        silent.listen()
        place = replace(server_at(silent.getsockname()[1]), timeout_s=0.2)

        with pytest.raises(DeliveryError, match="can not be used") as caught:
            Mail(place).deliver(LETTER, TO)

    assert caught.value.permanent is False


def test_a_server_without_starttls_gets_no_letter(box):
    with pytest.raises(DeliveryError) as caught:
        Mail(server_at(box.port, Security.STARTTLS)).deliver(LETTER, TO)

    assert caught.value.permanent is False
    assert box.messages == []


def test_with_starttls_the_letter_travels_under_tls():
    with mail_server(tls_context=server_tls(), require_starttls=True) as box:
        Mail(server_at(box.port, Security.STARTTLS)).deliver(LETTER, TO)

        assert len(box.messages) == 1


def test_a_server_that_can_not_prove_itself_gets_no_letter():
    import ssl

    with mail_server(tls_context=server_tls(), require_starttls=True) as box:
        place = server_at(box.port, Security.STARTTLS)
        distrusting = replace(place, tls=ssl.create_default_context)

        with pytest.raises(DeliveryError):
            Mail(distrusting).deliver(LETTER, TO)

        assert box.messages == []


def test_the_password_of_the_server_is_not_printed():
    assert "secret" not in repr(replace(server_at(1), user="u", password="secret"))
