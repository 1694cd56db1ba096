"""Walking the whole ledger: does every entry, and every row it vouches for, still fit?

One pass, some thousand entries at a time: hashes, numbers, chain, tree, kept nodes,
and the rows named by the entries. What an erasure let go must be declared by a later
entry, which says what was left.
"""

import json
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.domain.ledger import START, Line, chain_hash, row_hash, words_hash
from monitor.domain.ledger_tree import Growing, TreeHead
from monitor.store import ledger
from monitor.store.ledger_nodes import LEVEL
from monitor.store.ledger_rows import Key, contents, number_of
from monitor.store.models import Base, LedgerNodeRow, guards

AT_ONCE = 2000
ERASURE_DONE = "erasure done"
_NODES = LedgerNodeRow.metadata.tables["ledger_node"]

Progress = Callable[[int], None]
Nodes = dict[tuple[int, int], str]


@dataclass(frozen=True, slots=True)
class Broken:
    """One thing that is not what it was.

    Attributes
    ----------
    what : guard, entry, tree, checkpoint, row, parent, photograph or outlook
    where : its name: number of an entry, table and id, hash, code
    why : a sentence
    """

    what: str
    where: str
    why: str

    def __str__(self) -> str:
        return f"{self.what} {self.where}: {self.why}"


def missing_guards(session: Session) -> Iterator[Broken]:
    """Triggers that ought to refuse changes and are not there."""
    for name in guards.missing_guards(session.connection(), Base.metadata):
        yield Broken("guard", name, "the database no longer refuses this change.")


@dataclass(slots=True)
class Walk:
    """A walk over all entries: what it heeds and what it has seen.

    Attributes
    ----------
    heads : size to head; those asked for beforehand, and the last
    fingerprints : beginnings of the leaf hashes as an outside copy has them
    keys : a number for each row that is vouched for
    suspects : rows that did not fit where they were last vouched for
    backwards : first entry whose server time lies before that of the entry before
    """

    session: Session
    progress: Progress
    heads_wanted: frozenset[int] = frozenset()
    fingerprints: tuple[str, ...] = ()
    heads: dict[int, TreeHead] = field(default_factory=dict)
    size: int = 0
    keys: set[int] = field(default_factory=set)
    suspects: dict[Key, Broken] = field(default_factory=dict)
    backwards: int | None = None
    _chain: str = START
    _latest: str = ""
    _tree: Growing = field(default_factory=Growing)
    _wordless: dict[int, tuple[str, str]] = field(default_factory=dict)
    _declared: dict[int, str] = field(default_factory=dict)

    def broken(self) -> Iterator[Broken]:
        """Everything that does not fit, in the order of the ledger."""
        kept = _kept_nodes(self.session)
        pending: list[Line] = []
        for line in ledger.lines(self.session):
            yield from self._entry(line, kept)
            if line.rows != "[]":
                pending.append(line)
            if len(pending) == AT_ONCE:
                self._rows(pending)
                pending = []
                self.progress(self.size)
        self._rows(pending)
        self.progress(self.size)
        self.heads[self.size] = TreeHead(self.size, self._tree.root().hex())
        if kept:
            yield Broken("tree", "end", "there are nodes beyond the last entry.")
        yield from self._undeclared()

    def _entry(self, line: Line, kept: Nodes) -> Iterator[Broken]:
        self.size += 1
        number, leaf = self.size, line.leaf_hash
        if line.seq != number:
            yield Broken("entry", str(number), "it is missing from the ledger.")
            self.size = line.seq
        elif line.chain_hash != chain_hash(self._chain, leaf):
            yield Broken("entry", str(number), "it is not chained to those before.")
        elif not self._has_fingerprint(number, leaf):
            yield Broken("entry", str(number), "it is another than in the checkpoint.")
        self._chain = line.chain_hash
        yield from self._grown(leaf, kept)
        if not ledger.is_whole(line):
            self._note_wordless(line)
        if line.action == ERASURE_DONE:
            said = json.loads(line.payload).get("left", {})
            self._declared |= {int(seq): left for seq, left in said.items()}
        if line.recorded_at < self._latest:
            self.backwards = self.backwards or number
        self._latest = line.recorded_at

    def _grown(self, leaf: str, kept: Nodes) -> Iterator[Broken]:
        for level, place, made in self._tree.add(bytes.fromhex(leaf)):
            if level >= LEVEL and kept.pop((level, place), None) != made.hex():
                yield Broken("tree", f"{level}/{place}", "the kept node is another.")
        if self.size in self.heads_wanted:
            self.heads[self.size] = TreeHead(self.size, self._tree.root().hex())

    def _has_fingerprint(self, number: int, leaf: str) -> bool:
        if number > len(self.fingerprints):
            return True
        return leaf.startswith(self.fingerprints[number - 1])

    def _note_wordless(self, line: Line) -> None:
        why = (
            "its words were erased and no entry says so."
            if ledger.is_erased(line)
            else "it was changed."
        )
        self._wordless[line.seq] = (words_hash(line), why)

    def _undeclared(self) -> Iterator[Broken]:
        for seq, (left, why) in self._wordless.items():
            declared = self._declared.get(seq)
            if declared is None:
                yield Broken("entry", str(seq), why)
            elif declared != left:
                yield Broken("entry", str(seq), "it was changed after an erasure.")

    def _rows(self, lines: list[Line]) -> None:
        """Look up the rows that these entries vouch for."""
        told = [
            (table, key, said, line)
            for line in lines
            for table, key, said in json.loads(line.rows)
        ]
        wanted: dict[str, list[str]] = defaultdict(list)
        for table, key, _, _ in told:
            wanted[table].append(key)
        found = {
            (table, key): content
            for table, keys in wanted.items()
            for key, content in contents(self.session, table, keys)
        }
        for table, key, said, line in told:
            self._row(table, key, said, line, found.get((table, key)))

    def _row(
        self, table: str, key: str, said: str, line: Line, content: str | None
    ) -> None:
        self.keys.add(number_of(table, key))
        self.suspects.pop((table, key), None)
        seq, salt = line.seq, line.salt
        if content is None:
            why = f"it is gone; entry {seq} wrote it ({line.subject})."
        elif not salt:
            why = f"entry {seq} wrote it; no later entry vouches for what it says now."
        elif row_hash(salt, table, key, content) != said:
            why = f"it is not what entry {seq} wrote ({line.subject})."
        else:
            return
        self.suspects[table, key] = Broken("row", f"{table} {key}", why)


def _kept_nodes(session: Session) -> dict[tuple[int, int], str]:
    query = sa.select(_NODES.c.level, _NODES.c.place, _NODES.c.hash)
    return {(level, place): kept for level, place, kept in session.execute(query)}
