"""Requests to the one provider of sign-ins that the settings name, and to no other.

HTTPS, or plain HTTP to this machine itself. No redirects and no proxies, a bounded
wait and a bounded answer; an address elsewhere than at the provider is refused before
anything leaves, whatever the provider's own document says.
"""

import http.client
import json
import ssl
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlsplit

from monitor.errors import NotAllowed
from monitor.settings import is_issuer

WAIT_S = 8.0
LONGEST_ANSWER = 256 * 1024


def origin_of(address: str) -> str:
    """Scheme, host and port of an address."""
    parts = urlsplit(address)
    return f"{parts.scheme}://{parts.netloc}"


@dataclass(frozen=True, slots=True)
class Calls:
    """How the provider is asked.

    Attributes
    ----------
    issuer : its name, which is an address
    """

    issuer: str

    def get(self, address: str) -> dict[str, Any]:
        """What lies at an address of the provider, as JSON."""
        return self._asked("GET", address, None, {})

    def post(self, address: str, body: str, headers: dict[str, str]) -> dict[str, Any]:
        """What the provider answers to a form."""
        kind = {"Content-Type": "application/x-www-form-urlencoded"}
        return self._asked("POST", address, body, {**kind, **headers})

    def require_theirs(self, address: str) -> str:
        """The address, if it is the provider's.

        Raises
        ------
        NotAllowed : it leads to another host, port or scheme
        """
        if not is_issuer(address.partition("?")[0]) or origin_of(address) != origin_of(
            self.issuer
        ):
            raise NotAllowed(
                "The provider of sign-ins names an address that is not its own; "
                "nothing was sent there.",
                code="acc-021",
            )
        return address

    def _asked(
        self, method: str, address: str, body: str | None, headers: dict[str, str]
    ) -> dict[str, Any]:
        parts = urlsplit(self.require_theirs(address))
        path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
        connection = _connection(parts.scheme, parts.netloc)
        try:
            connection.request(
                method, path, body, {"Accept": "application/json", **headers}
            )
            answer = connection.getresponse()
            text = answer.read(LONGEST_ANSWER + 1)
        except (OSError, http.client.HTTPException) as error:
            raise _unreachable(type(error).__name__) from error
        finally:
            connection.close()
        if answer.status != 200 or len(text) > LONGEST_ANSWER:
            raise _unreachable(f"status {answer.status}")
        return _parsed(text)


def _connection(scheme: str, place: str) -> http.client.HTTPConnection:
    if scheme == "http":
        return http.client.HTTPConnection(place, timeout=WAIT_S)
    trusted = ssl.create_default_context()
    return http.client.HTTPSConnection(place, timeout=WAIT_S, context=trusted)


def _parsed(text: bytes) -> dict[str, Any]:
    try:
        found = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise _unreachable("no JSON") from error
    if not isinstance(found, dict):
        raise _unreachable("no JSON object")
    return found


def _unreachable(why: str) -> NotAllowed:
    return NotAllowed(
        f"The provider of sign-ins did not answer as it should ({why}). Try again, or "
        "sign in with your password.",
        code="acc-022",
    )
