"""Who really asks, behind reverse proxies.

A proxy's word about the client, its scheme and its host is taken only if the proxy's
own address is named in the settings; from anybody else such headers are dropped.
"""

from collections.abc import Callable, Iterable
from ipaddress import ip_address
from typing import Any

Environ = dict[str, Any]  # the WSGI standard leaves the values untyped
Wsgi = Callable[[Environ, Any], Iterable[bytes]]

_SAID = ("HTTP_X_FORWARDED_FOR", "HTTP_X_FORWARDED_PROTO", "HTTP_X_FORWARDED_HOST")
_DROPPED = (*_SAID, "HTTP_FORWARDED", "HTTP_X_FORWARDED_PORT", "HTTP_X_REAL_IP")
PROXIED = "underprop.proxied"
"""Whether a request came through a proxy, named in the settings or not."""


class BehindProxies:
    """A WSGI application that sees clients as trusted proxies saw them."""

    def __init__(self, inner: Wsgi, trusted: frozenset[str]) -> None:
        self.inner = inner
        self.trusted = trusted

    def __call__(self, environ: Environ, start: Any) -> Iterable[bytes]:  # noqa: ANN401
        """Answer as if the client had asked directly."""
        said = {name: environ.get(name, "") for name in _SAID}
        environ[PROXIED] = any(name in environ for name in _DROPPED)
        for name in _DROPPED:
            environ.pop(name, None)
        if environ.get("REMOTE_ADDR") in self.trusted:
            self._believe(environ, said)
        return self.inner(environ, start)

    def _believe(self, environ: Environ, said: dict[str, str]) -> None:
        chain = [part.strip() for part in said["HTTP_X_FORWARDED_FOR"].split(",")]
        for address in reversed(chain):  # what stands left of a stranger, he may forge
            if not _is_address(address):
                break
            environ["REMOTE_ADDR"] = address
            if address not in self.trusted:
                break
        if said["HTTP_X_FORWARDED_PROTO"] in {"http", "https"}:
            environ["wsgi.url_scheme"] = said["HTTP_X_FORWARDED_PROTO"]
        if said["HTTP_X_FORWARDED_HOST"]:
            environ["HTTP_HOST"] = said["HTTP_X_FORWARDED_HOST"]


def _is_address(text: str) -> bool:
    try:
        ip_address(text)
    except ValueError:
        return False
    return True
