"""Erasures done again after an older backup was restored, which still has the names.

A list beside the backups says of each erasure what stands in the place of the name, why
and by what right; of the name itself only a salted hash. It is no secret that can be
kept for ever: whoever guesses a name can try it. The list goes with the backups.
"""

import json
import secrets
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from monitor.domain.ledger import salted
from monitor.errors import Conflict
from monitor.services.keeping.erase import Erased, Request, erase
from monitor.store import Session
from monitor.store.disk import write_through
from monitor.store.ledger_erase import names_in

LIST = "erasures.jsonl"


@dataclass(frozen=True, slots=True)
class Again:
    """What was done again.

    Attributes
    ----------
    erased : how many names
    held : what stands for the names that a legal hold of that time keeps
    """

    erased: int
    held: tuple[str, ...]


def note_erasure(folder: Path, request: Request, done: Erased, now: datetime) -> None:
    """Add an erasure to the list beside the backups."""
    salt = secrets.token_hex(16)
    said = {
        "erased_at": now.isoformat(timespec="seconds"),
        "instead": done.instead,
        "salt": salt,
        "name": salted(salt, request.name.strip()),
        "reason": request.reason.strip(),
        "basis": request.basis.strip(),
    }
    path = folder / LIST
    before = path.read_bytes() if path.exists() else b""
    line = json.dumps(said, ensure_ascii=False) + "\n"
    write_through(path, before + line.encode())


def erase_again(session: Session, folder: Path, *, actor: str, now: datetime) -> Again:
    """Let go every name of the list that this record still has."""
    path = folder / LIST
    if not path.exists():
        return Again(0, ())
    names = names_in(session)
    erased, held = 0, []
    for line in path.read_text(encoding="utf-8").splitlines():
        said = json.loads(line)
        for name in sorted(names):
            if salted(said["salt"], name) != said["name"]:
                continue
            request = Request(name, said["reason"], said["basis"], said["instead"])
            try:
                erase(session, request, actor=actor, now=now)
                erased += 1
            except Conflict:
                held.append(said["instead"])
    return Again(erased, tuple(held))
