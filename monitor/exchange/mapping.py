"""The file in which a person says what the columns of a list are."""

import json
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from monitor.errors import InvalidInput
from monitor.exchange.dates import ORDERS
from monitor.exchange.headings import IGNORED, Column
from monitor.exchange.trade_words import FIELDS, FileKind


@dataclass(frozen=True, slots=True)
class HeadingMap:
    """What a person says of a file.

    Attributes
    ----------
    kind : None if the headings shall tell
    dates : order of day and month, empty if it was not said
    headings : our heading by the one in the file
    """

    kind: FileKind | None = None
    dates: str = ""
    headings: Mapping[str, str] = field(default_factory=dict, hash=False)


def read_mapping(path: Path) -> HeadingMap:
    """The mapping of a TOML file.

    Raises
    ------
    InvalidInput : naming what can not be read
    """
    try:
        content = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise _refusal(path, str(error)) from error
    strange = set(content) - {"kind", "dates", "headings"}
    if strange:
        raise _refusal(path, f"it has no place for {', '.join(sorted(strange))}")
    headings = content.get("headings", {})
    if not isinstance(headings, dict) or not all(
        isinstance(ours, str) for ours in headings.values()
    ):
        raise _refusal(path, '[headings] must hold lines like "Tag" = "support"')
    kind, dates = str(content.get("kind", "")), str(content.get("dates", ""))
    if kind and kind not in set(FileKind):
        raise _refusal(path, f"kind “{kind}” is none of {', '.join(FileKind)}")
    if dates and dates not in ORDERS:
        raise _refusal(path, f"dates “{dates}” is none of {', '.join(ORDERS)}")
    return HeadingMap(FileKind(kind) if kind else None, dates, headings)


def mapping_text(kind: FileKind, columns: Mapping[str, Column | None]) -> str:
    """A mapping file for a list, ready to be edited.

    Parameters
    ----------
    columns : what was made out of each heading, None where nothing was
    """
    lines = [
        "# Left: a heading as it stands in the file. Right: what it is here.",
        f'# “{IGNORED}” leaves a column out. A unit may follow: "wall [mm] @ face A".',
        f"# Known here: {', '.join(FIELDS[kind])};",
        "# and every as-built fact (supports) or quantity (inspections).",
        f"kind = {json.dumps(kind.value)}",
        '# dates = "dmy"  # or "mdy", for dates such as 03/04/2015',
        "",
        "[headings]",
    ]
    for heading, column in columns.items():
        ours = column.canonical if column else ""
        note = "" if column else "  # not known: write what it is, or ignore"
        lines.append(f"{_quoted(heading)} = {_quoted(ours)}{note}")
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _refusal(path: Path, why: str) -> InvalidInput:
    return InvalidInput(f"The mapping {path} can not be used: {why}.", code="imp-003")
