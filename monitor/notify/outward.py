"""A request to an address that somebody typed in, without being led astray.

HTTPS only, no redirects. The name is looked up once; every answer must lie in the open
internet, and the connection goes to the very address that was looked at, so a name that
changes its answer between the look and the call gains nothing. Hosts of the own network
can be named in the settings.
"""

import http.client
import socket
import ssl
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from ipaddress import IPv6Address, IPv6Network, ip_address
from urllib.parse import urlsplit

from monitor.errors import DeliveryError, InvalidInput
from monitor.notify.letter import one_line

LONGEST_BODY = 256 * 1024
PATIENCE = 3
"""How many waits a whole exchange may take; own choice."""

_NAT64 = IPv6Network("64:ff9b::/96")
"""IPv4 addresses as IPv6 ones, RFC 6052."""

Lookup = Callable[[str, int], list[str]]


def lookup(host: str, port: int) -> list[str]:
    """Every IP address of a host."""
    found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    return list(dict.fromkeys(str(info[4][0]) for info in found))


@dataclass(frozen=True, slots=True)
class Outward:
    """How requests go out.

    Attributes
    ----------
    own_hosts : names that may lie in the own network
    timeout_s : longest wait for each answer [s]
    """

    own_hosts: frozenset[str] = frozenset()
    timeout_s: float = 10.0
    lookup: Lookup = lookup
    tls: Callable[[], ssl.SSLContext] = ssl.create_default_context

    def post(self, url: str, body: bytes, headers: Mapping[str, str]) -> None:
        """Post a body.

        Raises
        ------
        DeliveryError : permanent if the address or the answer forbids another try
        """
        if len(body) > LONGEST_BODY:
            raise DeliveryError(
                f"The body has {len(body)} bytes, at most {LONGEST_BODY} are sent.",
                permanent=True,
            )
        try:
            host, port, path = parts_of(url)
        except InvalidInput as error:
            raise DeliveryError(error.message, permanent=True) from error
        status = self._posted((host, port), path, body, headers)
        if not 200 <= status < 300:
            raise DeliveryError(
                f"{host} answered {status}"
                + ("; redirects are not followed." if 300 <= status < 400 else "."),
                permanent=300 <= status < 500 and status not in {408, 425, 429},
            )

    def _posted(
        self, place: tuple[str, int], path: str, body: bytes, headers: Mapping[str, str]
    ) -> int:
        host, port = place
        try:
            address = self._address(host, port)
            connection = _Pinned(host, port, address, self.timeout_s, self.tls())
            try:
                with _patience(connection, PATIENCE * self.timeout_s):
                    connection.request("POST", path, body, dict(headers))
                    return connection.getresponse().status
            finally:
                connection.close()
        except (OSError, http.client.HTTPException, UnicodeError) as error:
            raise DeliveryError(
                f"{host} can not be reached: {type(error).__name__}, "
                f"{one_line(str(error))}.",
                permanent=False,
            ) from error

    def _address(self, host: str, port: int) -> str:
        found = self.lookup(host, port)
        if host not in self.own_hosts:
            for address in found:
                if not is_open(address):
                    raise DeliveryError(
                        f"{host} lies in a private network, where nothing is sent "
                        "unless the setting webhook_hosts names it.",
                        permanent=True,
                    )
        if not found:
            raise OSError("the name has no address")
        return found[0]


def parts_of(url: str) -> tuple[str, int, str]:
    """Host, port and path of an HTTPS address.

    Raises
    ------
    InvalidInput : it is not one, or carries a name and password
    """
    is_plain = url.isascii() and url.isprintable() and " " not in url
    try:
        parts = urlsplit(url)
        host, port = parts.hostname or "", parts.port or 443
    except ValueError:
        is_plain, host, port = False, "", 443
    if not is_plain or parts.scheme != "https" or not host or parts.username:
        raise InvalidInput(
            "A webhook wants an address that begins with https:// and carries no "
            "name or password.",
            field="webhook",
            code="ntc-002",
        )
    path = parts.path or "/"
    return host, port, f"{path}?{parts.query}" if parts.query else path


def is_open(address: str) -> bool:
    """Whether an IP address lies in the open internet.

    An IPv4 address inside an IPv6 one (mapped, 6to4, Teredo, NAT64) counts as itself.
    """
    found = ip_address(address.partition("%")[0])
    if isinstance(found, IPv6Address):
        teredo = found.teredo
        inner = found.ipv4_mapped or found.sixtofour or (teredo[1] if teredo else None)
        if inner is None and found in _NAT64:
            inner = ip_address(int(found) & 0xFFFFFFFF)  # type: ignore[assignment]
        if inner is not None:
            return is_open(str(inner))
    return found.is_global and not found.is_multicast


@contextmanager
def _patience(connection: "_Pinned", longest_s: float) -> Iterator[None]:
    """Cut the way off in the end, however slowly an answer drips in."""
    timer = threading.Timer(longest_s, connection.cut)
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()


class _Pinned(http.client.HTTPSConnection):
    """Connects to one IP address and asks it to prove that it is the host."""

    def __init__(
        self,
        host: str,
        port: int,
        address: str,
        timeout_s: float,
        context: ssl.SSLContext,
    ) -> None:
        super().__init__(host, port, timeout=timeout_s, context=context)
        self._pinned = address
        self._tls = context

    def connect(self) -> None:
        """Open the way; the name is not looked up again."""
        plain = socket.create_connection((self._pinned, self.port), self.timeout)
        try:
            self.sock = self._tls.wrap_socket(plain, server_hostname=self.host)
        except BaseException:
            plain.close()
            raise

    def cut(self) -> None:
        """End the exchange from another thread."""
        sock = self.sock
        if sock is not None:
            with suppress(OSError):
                sock.shutdown(socket.SHUT_RDWR)
