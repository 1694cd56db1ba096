"""E-mail by SMTP (RFC 5321, 5322), with a one-click way out (RFC 8058)."""

import smtplib
import ssl
from collections.abc import Callable
from dataclasses import dataclass, field
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime
from enum import StrEnum

from monitor.errors import DeliveryError
from monitor.notify.letter import Letter, html_text, one_line, plain_text

PERMANENT = 500


class Security(StrEnum):
    """How the way to the mail server is kept private."""

    STARTTLS = "starttls"
    TLS = "tls"
    PLAIN = "plain"


@dataclass(frozen=True, slots=True)
class MailServer:
    """Where mail is handed in.

    Attributes
    ----------
    user, password : empty to hand in without signing in
    sender : address in From, and where bounces go
    timeout_s : longest wait for each answer [s]
    """

    host: str
    port: int
    security: Security
    sender: str
    user: str = ""
    password: str = field(default="", repr=False)
    timeout_s: float = 20.0
    tls: Callable[[], ssl.SSLContext] = ssl.create_default_context


class Mail:
    """Hands letters to one mail server."""

    def __init__(self, server: MailServer) -> None:
        self.server = server

    def deliver(self, letter: Letter, address: str) -> None:
        """Hand one letter in.

        Raises
        ------
        DeliveryError : permanent if the server refused sender, address or words for
            good; a server that is away, busy or set up wrongly may be tried again
        """
        message = message_of(letter, self.server.sender, address)
        try:
            with _connected(self.server) as server:
                server.send_message(
                    message, from_addr=self.server.sender, to_addrs=[address]
                )
        except smtplib.SMTPRecipientsRefused as error:
            code, said = next(iter(error.recipients.values()))
            raise _refused("the address", code, said) from error
        except smtplib.SMTPSenderRefused as error:
            raise _refused("the sender", error.smtp_code, error.smtp_error) from error
        except smtplib.SMTPDataError as error:
            raise _refused("the letter", error.smtp_code, error.smtp_error) from error
        except smtplib.SMTPAuthenticationError as error:
            raise DeliveryError(
                f"The mail server does not take this sign-in ({error.smtp_code}).",
                permanent=False,
            ) from error
        except (smtplib.SMTPException, OSError, ValueError) as error:
            raise DeliveryError(
                f"The mail server {self.server.host} can not be used: "
                f"{type(error).__name__}, {one_line(str(error))}.",
                permanent=False,
            ) from error


def message_of(letter: Letter, sender: str, address: str) -> EmailMessage:
    """The letter as mail; every header is one line whatever the words hold."""
    message = EmailMessage(policy=SMTP)
    message["From"] = f"Underprop <{sender}>"
    message["To"] = address
    message["Subject"] = one_line(letter.subject)
    message["Date"] = format_datetime(letter.written_at)
    message["Message-ID"] = f"<{letter.message_id}>"
    message["Auto-Submitted"] = "auto-generated"
    if letter.unsubscribe_url:
        message["List-Unsubscribe"] = f"<{letter.unsubscribe_url}>"
        message["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    message.set_content(plain_text(letter))
    message.add_alternative(html_text(letter), subtype="html")
    return message


def _connected(server: MailServer) -> smtplib.SMTP:
    if server.security is Security.TLS:
        found: smtplib.SMTP = smtplib.SMTP_SSL(
            server.host, server.port, timeout=server.timeout_s, context=server.tls()
        )
    else:
        found = smtplib.SMTP(server.host, server.port, timeout=server.timeout_s)
    try:
        if server.security is Security.STARTTLS:
            found.starttls(context=server.tls())
        if server.user:
            found.login(server.user, server.password)
    except BaseException:
        found.close()
        raise
    return found


def _refused(what: str, code: int, said: bytes | str) -> DeliveryError:
    words = said.decode("utf-8", "replace") if isinstance(said, bytes) else said
    return DeliveryError(
        f"The mail server refused {what}: {code} {one_line(words)}.",
        permanent=code >= PERMANENT,
    )
