"""The kept nodes of the ledger's tree, and heads and proofs from them.

From level 8 upwards the perfect subtrees are kept as they fill (one row for 256
entries); what lies below is hashed anew from at most 255 leaves.
"""

from collections.abc import Sequence
from functools import lru_cache

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.domain.ledger_tree import (
    Growing,
    Subtree,
    TreeHead,
    consistency_path,
    inclusion_path,
    node_hash,
    root_of,
)
from monitor.store.models import LedgerNodeRow, LedgerRow

LEVEL = 8
TILE = 1 << LEVEL
_LEAVES = LedgerRow.metadata.tables["ledger"]
_NODES = LedgerNodeRow.metadata.tables["ledger_node"]


def grow(session: Session, first_seq: int, leaves: Sequence[str]) -> None:
    """Keep the nodes that these new leaves complete; they are in the table already."""
    start = (first_seq - 1) // TILE * TILE
    if first_seq - 1 + len(leaves) < start + TILE:
        return
    before = _leaves(session, start, first_seq - 1)
    subtree = _subtree(session)
    tree = Growing(_peaks(start, subtree), start)
    made = []
    for leaf in [*before, *(bytes.fromhex(leaf) for leaf in leaves)]:
        made += [node for node in tree.add(leaf) if node[0] >= LEVEL]
    rows = [{"level": n[0], "place": n[1], "hash": n[2].hex()} for n in made]
    session.execute(sa.insert(_NODES), rows)


def size(session: Session) -> int:
    """How many entries there are."""
    newest = sa.select(sa.func.max(_LEAVES.c.seq))
    return session.execute(newest).scalar_one() or 0


def head(session: Session, at: int | None = None) -> TreeHead:
    """Size and root now, or when there were `at` entries."""
    entries = size(session) if at is None else at
    return TreeHead(entries, root_of(entries, _subtree(session)).hex())


def inclusion(session: Session, seq: int, at: int) -> list[str]:
    """Proof that entry `seq` is in the tree of `at` entries."""
    return [node.hex() for node in inclusion_path(seq - 1, at, _subtree(session))]


def consistency(session: Session, old: int, new: int) -> list[str]:
    """Proof that the tree of `new` entries begins with that of `old`."""
    return [node.hex() for node in consistency_path(old, new, _subtree(session))]


def _subtree(session: Session) -> Subtree:
    @lru_cache(maxsize=4096)
    def subtree(level: int, place: int) -> bytes:
        if level >= LEVEL:
            query = sa.select(_NODES.c.hash).where(
                _NODES.c.level == level, _NODES.c.place == place
            )
            return bytes.fromhex(session.execute(query).scalar_one())
        hashes = _leaves(session, place << level, (place + 1) << level)
        while len(hashes) > 1:
            pairs = zip(hashes[0::2], hashes[1::2], strict=True)
            hashes = [node_hash(left, right) for left, right in pairs]
        return hashes[0]

    return subtree


def _leaves(session: Session, start: int, end: int) -> list[bytes]:
    """Leaf hashes of the entries from `start` (counted from 0) up to `end`."""
    query = (
        sa.select(_LEAVES.c.leaf_hash)
        .where(_LEAVES.c.seq > start, _LEAVES.c.seq <= end)
        .order_by(_LEAVES.c.seq)
    )
    return [bytes.fromhex(leaf) for leaf in session.execute(query).scalars()]


def _peaks(count: int, subtree: Subtree) -> list[tuple[int, bytes]]:
    """The perfect subtrees that the first `count` leaves fall into."""
    peaks, start = [], 0
    for level in range(count.bit_length() - 1, -1, -1):
        if count >> level & 1:
            peaks.append((level, subtree(level, start >> level)))
            start += 1 << level
    return peaks
