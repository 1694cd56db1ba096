"""What can be set, from `UNDERPROP_*` variables and one optional TOML file.

The only reader of the environment. A variable beats the file, the file beats the
default. All problems are named in one error.
"""

import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from pathlib import Path

from monitor.errors import InvalidInput

PREFIX = "UNDERPROP_"


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
    upload_mb : largest request body and import file [MB]
    timezone : of sites that name none
    """

    data_folder: Path
    database_url: str = ""
    host: str = "127.0.0.1"
    port: int = 8050
    secure_cookie: bool = False
    sign_in_hours: int = 12
    upload_mb: int = 50
    timezone: str = "UTC"

    @property
    def url(self) -> str:
        """Address of the database."""
        return self.database_url or f"sqlite:///{self.data_folder / 'underprop.db'}"

    @property
    def photo_folder(self) -> Path:
        """Where photographs are kept."""
        return self.data_folder / "photos"

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
    problems = [f"“{name}” is no setting" for name in given if name not in known]
    values: dict[str, object] = {"data_folder": _default_folder(environ)}
    for name, found in given.items():
        if name in known:
            _take(name, found, values, problems)
    if problems:
        raise InvalidInput(
            "Settings can not be read: " + "; ".join(problems) + ".", code="set-001"
        )
    return Settings(**values)  # type: ignore[arg-type]


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


def _default_folder(environ: Mapping[str, str]) -> Path:
    base = environ.get("XDG_DATA_HOME") or str(Path.home() / ".local" / "share")
    return Path(base) / "underprop"


def _take(
    name: str, found: object, values: dict[str, object], problems: list[str]
) -> None:
    text = str(found).strip()
    match name:
        case "port" | "sign_in_hours" | "upload_mb":
            low, high = (1, 65535) if name == "port" else (1, 10_000)
            if not text.isdecimal() or not low <= int(text) <= high:
                problems.append(
                    f"{name}: found “{text}”, expected a whole number "
                    f"from {low} to {high}"
                )
                return
            values[name] = int(text)
        case "secure_cookie":
            if text.lower() not in {"yes", "no", "true", "false", "1", "0"}:
                problems.append(f"{name}: found “{text}”, expected yes or no")
                return
            values[name] = text.lower() in {"yes", "true", "1"}
        case "data_folder":
            values[name] = Path(text).expanduser()
        case _:
            values[name] = text
