"""Merkle tree over the leaf hashes of the ledger: head, inclusion, consistency.

RFC 6962 section 2.1 (the tree and its proofs) and RFC 9162 sections 2.1.3.2 and
2.1.4.2 (how a proof is checked). A node is SHA-256 over a one byte and its children, a
leaf is SHA-256 over a zero byte and its data: without the two prefixes a node could be
passed off as a leaf.

The functions that make a proof ask for perfect subtrees by level and place, so that a
store may keep those and nobody reads a million leaves for one proof.
"""

import hashlib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

EMPTY_ROOT = hashlib.sha256(b"").digest()
"""RFC 6962 section 2.1: the hash of an empty tree is the hash of an empty string."""

Subtree = Callable[[int, int], bytes]
"""(level, place) to the hash over leaves place·2^level up to (place + 1)·2^level."""


@dataclass(frozen=True, slots=True)
class TreeHead:
    """What the ledger was at some size; both numbers together say everything.

    Attributes
    ----------
    size : entries
    root : hexadecimal
    """

    size: int
    root: str


def node_hash(left: bytes, right: bytes) -> bytes:
    """Hash of a node from its children."""
    return hashlib.sha256(b"\x01" + left + right).digest()


def root_of(size: int, subtree: Subtree) -> bytes:
    """Root over the first `size` leaves."""
    return _over(0, size, subtree) if size else EMPTY_ROOT


def inclusion_path(index: int, size: int, subtree: Subtree) -> list[bytes]:
    """Nodes that lead from the leaf at `index` (from 0) to the root.

    RFC 6962 section 2.1.1.
    """
    if not 0 <= index < size:
        raise ValueError(f"Leaf {index} is not in a tree of {size}.")
    return _path(index, 0, size, subtree)


def consistency_path(old: int, new: int, subtree: Subtree) -> list[bytes]:
    """Nodes that show the first `old` leaves to be those of the tree of `new`.

    RFC 6962 section 2.1.2.
    """
    if not 0 < old <= new:
        raise ValueError(f"No proof leads from a tree of {old} to one of {new}.")
    return [] if old == new else _subproof(old, 0, new, subtree, is_whole=True)


def includes(leaf: bytes, index: int, head: TreeHead, path: Sequence[bytes]) -> bool:
    """Whether the path leads from the leaf to that root (RFC 9162, 2.1.3.2)."""
    if not 0 <= index < head.size:
        return False
    fn, sn, found = index, head.size - 1, leaf
    for node in path:
        if sn == 0:
            return False
        if fn % 2 == 1 or fn == sn:
            found = node_hash(node, found)
            while fn % 2 == 0 and fn != 0:
                fn, sn = fn >> 1, sn >> 1
        else:
            found = node_hash(found, node)
        fn, sn = fn >> 1, sn >> 1
    return sn == 0 and found.hex() == head.root


def extends(old: TreeHead, new: TreeHead, path: Sequence[bytes]) -> bool:
    """Whether the path shows the new tree to begin with the old (RFC 9162, 2.1.4.2)."""
    if old.size == new.size:
        return not path and old.root == new.root
    if not 0 < old.size < new.size or not path:
        return old.size == 0 and not path and old.root == EMPTY_ROOT.hex()
    nodes = list(path)
    if old.size & (old.size - 1) == 0:
        nodes.insert(0, bytes.fromhex(old.root))
    return _fold(nodes, old, new)


def _fold(nodes: Sequence[bytes], old: TreeHead, new: TreeHead) -> bool:
    fn, sn = old.size - 1, new.size - 1
    while fn % 2 == 1:
        fn, sn = fn >> 1, sn >> 1
    first = second = nodes[0]
    for node in nodes[1:]:
        if sn == 0:
            return False
        if fn % 2 == 1 or fn == sn:
            first, second = node_hash(node, first), node_hash(node, second)
            while fn % 2 == 0 and fn != 0:
                fn, sn = fn >> 1, sn >> 1
        else:
            second = node_hash(second, node)
        fn, sn = fn >> 1, sn >> 1
    return sn == 0 and (first.hex(), second.hex()) == (old.root, new.root)


class Growing:
    """A tree that takes leaves one by one and keeps only its perfect subtrees.

    Examples
    --------
    >>> tree = Growing()
    >>> tree.root() == EMPTY_ROOT
    True
    """

    def __init__(self, peaks: Iterable[tuple[int, bytes]] = (), size: int = 0) -> None:
        self.peaks: list[tuple[int, bytes]] = list(peaks)
        self.size = size

    def add(self, leaf: bytes) -> list[tuple[int, int, bytes]]:
        """Take a leaf; the nodes (level, place, hash) that it completed."""
        self.size += 1
        level, made = 0, []
        while self.peaks and self.peaks[-1][0] == level:
            leaf = node_hash(self.peaks.pop()[1], leaf)
            level += 1
            made.append((level, (self.size >> level) - 1, leaf))
        self.peaks.append((level, leaf))
        return made

    def root(self) -> bytes:
        """Root over what was taken so far."""
        if not self.peaks:
            return EMPTY_ROOT
        found = self.peaks[-1][1]
        for _, peak in reversed(self.peaks[:-1]):
            found = node_hash(peak, found)
        return found


def _split(count: int) -> int:
    """The largest power of two below `count`."""
    return 1 << ((count - 1).bit_length() - 1)


def _over(start: int, end: int, subtree: Subtree) -> bytes:
    count = end - start
    if count & (count - 1) == 0:
        level = count.bit_length() - 1
        return subtree(level, start >> level)
    middle = start + _split(count)
    return node_hash(_over(start, middle, subtree), _over(middle, end, subtree))


def _path(index: int, start: int, end: int, subtree: Subtree) -> list[bytes]:
    if end - start == 1:
        return []
    middle = start + _split(end - start)
    if index < middle:
        return [*_path(index, start, middle, subtree), _over(middle, end, subtree)]
    return [*_path(index, middle, end, subtree), _over(start, middle, subtree)]


def _subproof(
    old: int, start: int, end: int, subtree: Subtree, *, is_whole: bool
) -> list[bytes]:
    if start + old == end:
        return [] if is_whole else [_over(start, end, subtree)]
    half = _split(end - start)
    middle = start + half
    if old <= half:
        inner = _subproof(old, start, middle, subtree, is_whole=is_whole)
        return [*inner, _over(middle, end, subtree)]
    inner = _subproof(old - half, middle, end, subtree, is_whole=False)
    return [*inner, _over(start, middle, subtree)]
