"""Letters as signed JSON to a webhook."""

import hmac
import json
from collections.abc import Callable
from datetime import datetime
from hashlib import sha256

from monitor.notify.letter import Letter
from monitor.notify.outward import Outward


class Webhook:
    """Posts letters; whoever knows the secret can tell that they are ours, and fresh.

    Parameters
    ----------
    secret : known to both sides
    now : what time it is; the receiver refuses what is too old
    """

    def __init__(
        self, outward: Outward, secret: str, now: Callable[[], datetime]
    ) -> None:
        self._outward = outward
        self._secret = secret
        self._now = now

    def deliver(self, letter: Letter, address: str) -> None:
        """Post one letter; DeliveryError if it was not taken."""
        body = body_of(letter)
        sent_at = str(int(self._now().timestamp()))
        self._outward.post(
            address,
            body,
            {
                "Content-Type": "application/json",
                "User-Agent": "Underprop",
                "Underprop-Message-Id": letter.message_id,
                "Underprop-Timestamp": sent_at,
                "Underprop-Signature": signature(self._secret, sent_at, body),
            },
        )


def body_of(letter: Letter) -> bytes:
    """The letter as JSON: the same sentences as in a mail."""
    return json.dumps(
        {
            "id": letter.message_id,
            "subject": letter.subject,
            "sentences": [
                {"heading": one.heading, "text": one.text, "url": one.url}
                for one in letter.sentences
            ],
            "closing": list(letter.closing),
            "written_at": letter.written_at.isoformat(),
        },
        ensure_ascii=False,
    ).encode()


def signature(secret: str, sent_at: str, body: bytes) -> str:
    """HMAC-SHA256 (RFC 2104) of time, full stop and body, as hexadecimal digits."""
    signed = sent_at.encode() + b"." + body
    return hmac.new(secret.encode(), signed, sha256).hexdigest()
