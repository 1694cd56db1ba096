"""The desk where files wait: each in a folder of its own, with all that became of it.

What is done is written beside the file and not in the database, so that it can be read
while the file is being taken in (SQLite lets one writer in at a time), and survives a
reload, a second process and a restart. Whether a file was taken in is said by the table
`import` alone, which is written in one transaction with the rows.
"""

import json
from dataclasses import asdict, dataclass, field, replace
from datetime import datetime, timedelta
from enum import StrEnum
from pathlib import Path
from uuid import UUID

from monitor.clock import new_id
from monitor.errors import Conflict, NotFound

FOLDER = "imports"
SILENT = timedelta(minutes=2)
"""Work that says nothing for so long was broken off; own choice."""

MOST_PROBLEMS = 1000


class Stage(StrEnum):
    """How far a file has come."""

    WAITING = "waiting"
    TRYING = "being tried"
    TRIED = "tried"
    TAKING = "being taken in"
    TAKEN = "taken in"
    REFUSED = "refused"


RUNNING = frozenset({Stage.TRYING, Stage.TAKING})


@dataclass(frozen=True, slots=True)
class Said:
    """What a person says of a file.

    Attributes
    ----------
    kind : empty if the headings shall tell
    dates : order of day and month, empty if it was not said
    headings : ours by the one in the file
    cells : mended text, by row number and heading
    skip_bad : whether good rows are taken when there are bad ones
    """

    kind: str = ""
    dates: str = ""
    headings: dict[str, str] = field(default_factory=dict)
    cells: dict[str, dict[str, str]] = field(default_factory=dict)
    skip_bad: bool = False


@dataclass(frozen=True, slots=True)
class Desk:
    """One file and how far it has come.

    Attributes
    ----------
    owner_id : of the account that brought it; nobody else sees it
    told_at : when something was last heard of the work
    done, whole : rows or supports that were gone through, of how many
    message : the last word, such as why it was refused
    problems : row, heading, found, expected; doubts likewise
    counts : rows that are new, known, bad; records that are made
    """

    id: UUID
    owner_id: UUID
    file_name: str
    brought_at: datetime
    told_at: datetime
    stage: Stage = Stage.WAITING
    done: int = 0
    whole: int = 0
    message: str = ""
    problems: tuple[tuple[int, str, str, str], ...] = ()
    doubts: tuple[tuple[int, str, str, str], ...] = ()
    counts: dict[str, int] = field(default_factory=dict)
    said: Said = field(default_factory=Said)

    def is_running(self, now: datetime) -> bool:
        """Whether somebody works on it."""
        return self.stage in RUNNING and now - self.told_at < SILENT

    def is_broken_off(self, now: datetime) -> bool:
        """Whether the work on it ended without a word."""
        return self.stage in RUNNING and not self.is_running(now)


def bring(
    data_folder: Path, file_name: str, content: bytes, *, owner_id: UUID, now: datetime
) -> Desk:
    """Keep a file until it is taken in or put away."""
    plain = Path(file_name.replace("\\", "/")).name.strip()[:120] or "file"
    desk = Desk(new_id(), owner_id, plain, now, now)
    folder = _folder(data_folder, desk.id)
    folder.mkdir(parents=True)
    (folder / "content").write_bytes(content)
    put(data_folder, desk)
    return desk


def find(data_folder: Path, key: str, owner_id: UUID) -> Desk:
    """The file of that id, if the same account brought it.

    Raises
    ------
    NotFound : there is none, or somebody else brought it
    """
    try:
        path = _folder(data_folder, UUID(key)) / "state.json"
        desk = _read(path.read_text(encoding="utf-8"))
    except (ValueError, OSError, KeyError):
        raise NotFound("waiting file", key[:40]) from None
    if desk.owner_id != owner_id:
        raise NotFound("waiting file", key[:40])
    return desk


def waiting(data_folder: Path, owner_id: UUID) -> tuple[Desk, ...]:
    """Every file an account has brought and not put away, newest first."""
    found = []
    for path in (data_folder / FOLDER).glob("*/state.json"):
        try:
            found.append(find(data_folder, path.parent.name, owner_id))
        except NotFound:
            continue
    return tuple(sorted(found, key=lambda desk: desk.brought_at, reverse=True))


def content_of(data_folder: Path, desk: Desk) -> bytes:
    """The file as it was brought."""
    return (_folder(data_folder, desk.id) / "content").read_bytes()


def put(data_folder: Path, desk: Desk) -> None:
    """Write down how far a file has come; all of it or nothing."""
    folder = _folder(data_folder, desk.id)
    if not folder.is_dir():
        return
    fresh = folder / "state.json.new"
    fresh.write_text(_written(desk), encoding="utf-8")
    fresh.replace(folder / "state.json")


def mend(data_folder: Path, desk: Desk, said: Said, now: datetime) -> Desk:
    """Take what a person says of a file; it wants to be tried anew then.

    Raises
    ------
    Conflict : it is being worked on, or was taken in
    """
    if desk.is_running(now) or desk.stage is Stage.TAKEN:
        raise Conflict(
            f"{desk.file_name} is {desk.stage.value}; it can not be changed now.",
            code="imp-005",
        )
    changed = replace(desk, said=said, stage=Stage.WAITING, message="", told_at=now)
    put(data_folder, changed)
    return changed


def put_away(data_folder: Path, desk: Desk, now: datetime) -> None:
    """Forget a file; what was taken in of it stays.

    Raises
    ------
    Conflict : it is being worked on
    """
    if desk.is_running(now):
        raise Conflict(f"{desk.file_name} is {desk.stage.value}.", code="imp-005")
    folder = _folder(data_folder, desk.id)
    for name in ("content", "state.json", "state.json.new"):
        (folder / name).unlink(missing_ok=True)
    folder.rmdir()


def _folder(data_folder: Path, key: UUID) -> Path:
    return data_folder / FOLDER / str(key)


def _written(desk: Desk) -> str:
    return json.dumps(asdict(desk), default=str, ensure_ascii=False)


def _read(text: str) -> Desk:
    raw = json.loads(text)
    for name in ("id", "owner_id"):
        raw[name] = UUID(raw[name])
    for name in ("brought_at", "told_at"):
        raw[name] = datetime.fromisoformat(raw[name])
    for name in ("problems", "doubts"):
        raw[name] = tuple(tuple(one) for one in raw[name])
    return Desk(**{**raw, "stage": Stage(raw["stage"]), "said": Said(**raw["said"])})
