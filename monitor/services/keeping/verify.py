"""Is the record what was written? Everything is worked out anew, nothing trusted.

Order of looking: the guards of the database, the ledger with its tree, the outside
checkpoint, the rows against the ledger, parents of rows, photographs, and at last
whether a sample of the outlooks comes out the same again.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import islice
from typing import Protocol

from monitor.domain.checkpoints import Checkpoint
from monitor.domain.ledger_tree import TreeHead
from monitor.services.keeping.fixity import broken_photo, photo_hashes
from monitor.services.keeping.reproduce import different_outlooks
from monitor.store import Session
from monitor.store.ledger_check import Broken, Walk, missing_guards
from monitor.store.ledger_rows import orphans, unvouched
from monitor.store.photos import PhotoFiles

NAMED_AT_MOST = 1000
Progress = Callable[[str, int], None]


class Rule(Protocol):
    """One kind of question."""

    def __call__(self, asked: "Asked") -> Iterator[Broken]:
        """What does not hold."""
        ...


@dataclass(slots=True)
class Asked:
    """What is verified, and against what.

    Attributes
    ----------
    photos : None leaves the files of photographs out
    against : a checkpoint from outside
    outlooks : how many supports are assessed anew for comparison
    progress : told the part and how much of it is done
    """

    session: Session
    photos: PhotoFiles | None = None
    against: Checkpoint | None = None
    outlooks: int = 20
    progress: Progress = lambda _part, _done: None
    walk: Walk = field(init=False)
    photos_seen: int = 0

    def __post_init__(self) -> None:
        outside = self.against
        self.walk = Walk(
            self.session,
            lambda done: self.progress("entries", done),
            frozenset({outside.head.size} if outside else ()),
            outside.of_entries() if outside else (),
        )


@dataclass(frozen=True, slots=True)
class Verdict:
    """What was found.

    Attributes
    ----------
    broken : in the order of looking; the first is the first broken thing
    head : of the ledger as worked out anew
    rows : rows that the ledger vouches for
    clock_went_back_at : first entry that is earlier than the one before, if any
    """

    broken: tuple[Broken, ...]
    head: TreeHead
    rows: int
    photos: int
    clock_went_back_at: int | None

    @property
    def holds(self) -> bool:
        """Whether everything is what was written."""
        return not self.broken


def verify(asked: Asked) -> Verdict:
    """Look over the whole record; at most a thousand broken things are named."""
    found = (broken for rule in RULES for broken in rule(asked))
    broken = tuple(islice(found, NAMED_AT_MOST))
    walk = asked.walk
    head = walk.heads.get(walk.size, TreeHead(walk.size, ""))
    return Verdict(broken, head, len(walk.keys), asked.photos_seen, walk.backwards)


def _guards(asked: Asked) -> Iterator[Broken]:
    yield from missing_guards(asked.session)


def _entries(asked: Asked) -> Iterator[Broken]:
    yield from asked.walk.broken()


def _checkpoint(asked: Asked) -> Iterator[Broken]:
    if asked.against is None:
        return
    told, walk = asked.against.head, asked.walk
    where = f"of {told.size} entries"
    if told.size > walk.size:
        why = (
            f"the ledger ends at entry {walk.size}; entries {walk.size + 1} to "
            f"{told.size} are missing."
        )
        yield Broken("checkpoint", where, why)
    elif told.size and walk.heads.get(told.size) != told:
        yield Broken("checkpoint", where, "the ledger does not begin like that.")


def _rows(asked: Asked) -> Iterator[Broken]:
    yield from asked.walk.suspects.values()
    for table, key in unvouched(asked.session, asked.walk.keys):
        why = "no entry of the ledger vouches for it."
        yield Broken("row", f"{table} {key}", why)


def _parents(asked: Asked) -> Iterator[Broken]:
    for table, key, column in orphans(asked.session):
        yield Broken("parent", f"{table} {key}", f"its {column} points to nothing.")


def _photos(asked: Asked) -> Iterator[Broken]:
    if asked.photos is None:
        return
    for sha256 in photo_hashes(asked.session):
        asked.photos_seen += 1
        asked.progress("photographs", asked.photos_seen)
        yield from broken_photo(asked.photos, sha256)


def _outlooks(asked: Asked) -> Iterator[Broken]:
    yield from different_outlooks(asked.session, asked.outlooks, asked.progress)


RULES: tuple[Rule, ...] = (
    _guards,
    _entries,
    _checkpoint,
    _rows,
    _parents,
    _photos,
    _outlooks,
)
