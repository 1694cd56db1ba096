"""What can be set, from `UNDERPROP_*` variables and one optional TOML file.

The only reader of the environment. A variable beats the file, the file beats the
default. All problems are named in one error.
"""

import os
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from ipaddress import ip_address
from pathlib import Path
from urllib.parse import urlsplit

from monitor.domain.vocabulary import Role
from monitor.errors import InvalidInput

PREFIX = "UNDERPROP_"
SECRETS = ("smtp_password", "webhook_secret", "heartbeat_url", "openid_client_secret")
"""These may also stand in a file of their own, named by the same name and `_FILE`."""

_RANGES = {
    "port": (1, 65535),
    "sign_in_days": (1, 90),
    "smtp_port": (1, 65535),
    "smtp_timeout_s": (1, 60),
}
_ADDRESS = re.compile(
    r"[A-Za-z0-9.!#$%&'*+/=?^_`{|}~-]+@[A-Za-z0-9-]+(\.[A-Za-z0-9-]+)*"
)


@dataclass(frozen=True, slots=True)
class Settings:
    """How this installation is set.

    Attributes
    ----------
    data_folder : where the database file, photos and the cookie secret live
    database_url : SQLAlchemy address; empty means a SQLite file in `data_folder`
    host, port : where the web server listens
    secure_cookie : whether the sign-in cookie is for HTTPS only
    sign_in_hours : how long a sign-in lasts without being used [h]
    sign_in_days : how long it lasts however often it is used [d]
    second_factor_for : roles that need a second factor, by commas
    trusted_proxies : addresses of proxies whose word about clients is taken, by commas
    upload_mb : largest request body and import file [MB]
    timezone : of sites that name none
    ground_file : GeoJSON that the map lies on, until one is loaded on the page
    tile_address : of map tiles, with {z}, {x} and {y}; empty asks no other host
    backup_folder : where backups go; empty means a folder in `data_folder`
    backup_daily, backup_weekly, backup_monthly : how many backups are kept of each
    base_url : address of the pages as people reach them; the only one in letters
    smtp_host, smtp_port, smtp_security : the mail server, and "starttls", "tls" or
        "plain"; without a host no mail goes out
    smtp_user, smtp_password : to sign in there, empty for without
    smtp_from : address that letters come from
    smtp_timeout_s : longest wait for each answer of the mail server [s]
    webhook_secret : signs what goes to webhooks; without one nothing goes
    webhook_hosts : hosts of the own network that webhooks may reach, by commas
    notice_fallback : e-mail address that is told of notices that could not be delivered
    checkpoint_to : people who are mailed each new checkpoint of the ledger, by commas
    heartbeat_url : HTTPS address that is called every few minutes while all is well
    openid_issuer : an organisation's provider of sign-ins; empty asks none
    openid_client_id, openid_client_secret : who we are there; the secret may be empty
    openid_label : what the button to it says
    openid_creates : whether whom it vouches for gets an account that sees nothing yet
    """

    data_folder: Path
    database_url: str = ""
    host: str = "127.0.0.1"
    port: int = 8050
    secure_cookie: bool = False
    sign_in_hours: int = 12
    sign_in_days: int = 7
    second_factor_for: str = ""
    trusted_proxies: str = ""
    upload_mb: int = 50
    timezone: str = "UTC"
    ground_file: str = ""
    tile_address: str = ""
    backup_folder: str = ""
    backup_daily: int = 7
    backup_weekly: int = 5
    backup_monthly: int = 12
    base_url: str = ""
    smtp_host: str = ""
    smtp_port: int = 587
    smtp_security: str = "starttls"
    smtp_user: str = ""
    smtp_password: str = field(default="", repr=False)
    smtp_from: str = ""
    smtp_timeout_s: int = 20
    webhook_secret: str = field(default="", repr=False)
    webhook_hosts: str = ""
    notice_fallback: str = ""
    heartbeat_url: str = field(default="", repr=False)
    checkpoint_to: str = ""
    openid_issuer: str = ""
    openid_client_id: str = ""
    openid_client_secret: str = field(default="", repr=False)
    openid_label: str = "Sign in with your organisation"
    openid_creates: bool = False

    @property
    def url(self) -> str:
        """Address of the database."""
        return self.database_url or f"sqlite:///{self.data_folder / 'underprop.db'}"

    @property
    def photo_folder(self) -> Path:
        """Where photographs are kept."""
        return self.data_folder / "photos"

    @property
    def backups(self) -> Path:
        """Where backups are kept."""
        given = self.backup_folder
        return Path(given).expanduser() if given else self.data_folder / "backups"

    @property
    def checkpoint_folder(self) -> Path:
        """Where checkpoints of the ledger are kept."""
        return self.data_folder / "checkpoints"

    @property
    def checkpoint_people(self) -> list[str]:
        """Names of those who are mailed each new checkpoint."""
        return _listed(self.checkpoint_to)

    @property
    def is_tls(self) -> bool:
        """Whether people reach the pages over HTTPS."""
        return self.secure_cookie or self.base_url.startswith("https://")

    @property
    def second_factor_roles(self) -> frozenset[str]:
        """Roles that need a second factor."""
        return frozenset(_listed(self.second_factor_for))

    @property
    def proxies(self) -> frozenset[str]:
        """Addresses of proxies whose word is taken."""
        return frozenset(_listed(self.trusted_proxies))

    @property
    def pages_url(self) -> str:
        """Address of the pages with a slash at its end, empty if it is not set."""
        return self.base_url.rstrip("/") + "/" if self.base_url else ""

    @property
    def masked_url(self) -> str:
        """Address of the database without its password."""
        scheme, sep, rest = self.url.partition("://")
        if "@" not in rest:
            return self.url
        return f"{scheme}{sep}***@{rest.rpartition('@')[2]}"


def from_environ(environ: Mapping[str, str] | None = None) -> Settings:
    """Read the settings.

    Raises
    ------
    InvalidInput : naming every variable that can not be read, and what was expected
    """
    environ = os.environ if environ is None else environ  # noqa: TID251 - the reader
    given = _from_file(environ.get(PREFIX + "SETTINGS", ""))
    known = {field.name: field.type for field in fields(Settings)}
    for name in known:
        if PREFIX + name.upper() in environ:
            given[name] = environ[PREFIX + name.upper()]
    for name in SECRETS:
        _from_own_file(name, environ, given)
    problems = [f"“{name}” is no setting" for name in given if name not in known]
    values: dict[str, object] = {"data_folder": _default_folder(environ)}
    for name, found in given.items():
        if name in known:
            _take(name, found, values, problems)
    problems += _missing(values)
    if problems:
        raise InvalidInput(
            "Settings can not be read: " + "; ".join(problems) + ".", code="set-001"
        )
    return Settings(**values)  # type: ignore[arg-type]


def _missing(values: Mapping[str, object]) -> list[str]:
    """What has to be there because something else is."""
    together = {
        "smtp_host": ("smtp_from",),
        "openid_issuer": ("base_url", "openid_client_id"),
    }
    return [
        f"{name}: missing, expected together with {first}"
        for first, names in together.items()
        for name in names
        if values.get(first) and not values.get(name)
    ]


def _from_file(path: str) -> dict[str, object]:
    if not path:
        return {}
    try:
        return tomllib.loads(Path(path).read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise InvalidInput(
            f"The settings file {path} can not be read: {error}. Mend it, or unset "
            f"{PREFIX}SETTINGS.",
            code="set-002",
        ) from error


def _from_own_file(
    name: str, environ: Mapping[str, str], given: dict[str, object]
) -> None:
    """A secret that stands alone in a file of its own, named by `..._FILE`."""
    in_file = given.pop(f"{name}_file", "")
    path = str(environ.get(f"{PREFIX}{name.upper()}_FILE") or in_file)
    if not path:
        return
    try:
        given[name] = Path(path).read_text(encoding="utf-8").strip()
    except (OSError, UnicodeDecodeError) as error:
        raise InvalidInput(
            f"The file {path} with {name} can not be read: {type(error).__name__}.",
            code="set-003",
        ) from error


def _default_folder(environ: Mapping[str, str]) -> Path:
    base = environ.get("XDG_DATA_HOME") or str(Path.home() / ".local" / "share")
    return Path(base) / "underprop"


def _take(
    name: str, found: object, values: dict[str, object], problems: list[str]
) -> None:
    text = str(found).strip()
    match name:
        case (
            "port"
            | "smtp_port"
            | "smtp_timeout_s"
            | "sign_in_hours"
            | "sign_in_days"
            | "upload_mb"
            | "backup_daily"
            | "backup_weekly"
            | "backup_monthly"
        ):
            low, high = _RANGES.get(name, (1, 10_000))
            if not text.isdecimal() or not low <= int(text) <= high:
                problems.append(
                    f"{name}: found “{text}”, expected a whole number "
                    f"from {low} to {high}"
                )
                return
            values[name] = int(text)
        case "secure_cookie" | "openid_creates":
            if text.lower() not in {"yes", "no", "true", "false", "1", "0"}:
                problems.append(f"{name}: found “{text}”, expected yes or no")
                return
            values[name] = text.lower() in {"yes", "true", "1"}
        case "data_folder":
            values[name] = Path(text).expanduser()
        case _ if name in _EXPECTED and text and not _EXPECTED[name][0](text):
            shown = "what was given" if name in SECRETS else f"“{text}”"
            problems.append(f"{name}: found {shown}, expected {_EXPECTED[name][1]}")
        case _:
            values[name] = text


def is_email(text: str) -> bool:
    """Whether it has the shape of one e-mail address."""
    return len(text) <= 254 and _ADDRESS.fullmatch(text) is not None


def is_issuer(text: str) -> bool:
    """Whether an address can be a provider: HTTPS, or HTTP on this machine."""
    here = {"127.0.0.1", "::1", "localhost"}
    is_bare = _is_web(text) and not {"?", "#"} & set(text)
    return is_bare and (_is_https(text) or urlsplit(text).hostname in here)


def _listed(text: str) -> list[str]:
    return [part.strip() for part in text.split(",") if part.strip()]


def _are_roles(text: str) -> bool:
    return set(_listed(text)) <= {role.value for role in Role}


def _are_addresses(text: str) -> bool:
    try:
        return all(ip_address(part) for part in _listed(text))
    except ValueError:
        return False


def _is_https(text: str) -> bool:
    return _is_web(text) and text.startswith("https://")


_BRACES = str.maketrans("", "", "{}")


def _is_web(text: str) -> bool:
    try:
        parts = urlsplit(text)
    except ValueError:
        return False
    is_plain = text.isascii() and text.isprintable() and not set(text) & set(' "<>')
    is_address = parts.scheme in {"http", "https"} and bool(parts.hostname)
    return is_plain and is_address and not parts.username


_EXPECTED: dict[str, tuple[Callable[[str], bool], str]] = {
    "base_url": (
        lambda text: _is_web(text) and not {"?", "#"} & set(text),
        "an address such as https://trees.example/",
    ),
    "smtp_security": (
        lambda text: text in {"starttls", "tls", "plain"},
        "starttls, tls or plain",
    ),
    "tile_address": (
        lambda text: _is_web(text.translate(_BRACES)) and "{z}" in text,
        "an address such as https://tiles.example/{z}/{x}/{y}.png",
    ),
    "second_factor_for": (_are_roles, "roles such as administrator, manager"),
    "trusted_proxies": (_are_addresses, "addresses such as 127.0.0.1, 10.0.0.2"),
    "smtp_from": (is_email, "one e-mail address"),
    "notice_fallback": (is_email, "one e-mail address"),
    "heartbeat_url": (_is_https, "an address that begins with https://"),
    "openid_issuer": (is_issuer, "an address such as https://id.example/city"),
}
