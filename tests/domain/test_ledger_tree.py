"""The Merkle tree against published vectors, a plain recursion, and forgeries.

The eight leaves and the root are those of the reference test of RFC 6962
(certificate-transparency, merkletree/merkle_tree_test.cc): d0 to d7 and
5dc9da79...604328 for all eight; the root over the first is SHA-256(0x00).
"""

import hashlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.domain.ledger_tree import (
    EMPTY_ROOT,
    Growing,
    TreeHead,
    consistency_path,
    extends,
    includes,
    inclusion_path,
    node_hash,
    root_of,
)

DATA = [
    bytes.fromhex(text)
    for text in (
        "",
        "00",
        "10",
        "2021",
        "3031",
        "40414243",
        "5051525354555657",
        "606162636465666768696a6b6c6d6e6f",
    )
]
ROOT_OF_EIGHT = "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328"


def leaf(data):
    return hashlib.sha256(b"\x00" + data).digest()


def plain_root(leaves):
    """RFC 6962 section 2.1, word for word."""
    if not leaves:
        return hashlib.sha256(b"").digest()
    if len(leaves) == 1:
        return leaves[0]
    k = 1
    while k * 2 < len(leaves):
        k *= 2
    pair = plain_root(leaves[:k]) + plain_root(leaves[k:])
    return hashlib.sha256(b"\x01" + pair).digest()


def subtree_of(leaves):
    return lambda level, place: plain_root(
        leaves[place << level : (place + 1) << level]
    )


def some_leaves(count):
    return [leaf(str(number).encode()) for number in range(count)]


def head_of(leaves, size):
    return TreeHead(size, plain_root(leaves[:size]).hex())


def test_eight_leaves_have_the_published_root():
    leaves = [leaf(data) for data in DATA]

    assert root_of(8, subtree_of(leaves)).hex() == ROOT_OF_EIGHT


def test_a_tree_that_grows_has_the_published_root():
    tree = Growing()
    for data in DATA:
        tree.add(leaf(data))

    assert tree.root().hex() == ROOT_OF_EIGHT


def test_no_leaf_is_a_node():
    """Without the prefixes, two children could be passed off as one leaf."""
    left, right = leaf(b"a"), leaf(b"b")

    assert node_hash(left, right) != leaf(left + right)
    assert node_hash(left, right) != hashlib.sha256(left + right).digest()


def test_an_empty_tree_is_the_hash_of_nothing():
    assert root_of(0, subtree_of([])) == EMPTY_ROOT == Growing().root()


@given(st.integers(1, 200))
def test_every_size_has_the_root_of_the_plain_recursion(size):
    leaves, tree = some_leaves(size), Growing()
    kept = {(0, place): one for place, one in enumerate(leaves)}
    for one in leaves:
        kept |= {(level, place): made for level, place, made in tree.add(one)}

    assert tree.root() == plain_root(leaves)
    assert root_of(size, lambda level, place: kept[level, place]) == plain_root(leaves)


@given(st.data())
def test_each_entry_is_shown_to_be_in_the_tree_and_nowhere_else(data):
    size = data.draw(st.integers(1, 130))
    index = data.draw(st.integers(0, size - 1))
    leaves = some_leaves(size)
    head = head_of(leaves, size)

    path = inclusion_path(index, size, subtree_of(leaves))

    assert includes(leaves[index], index, head, path)
    assert not includes(leaf(b"other"), index, head, path)
    assert not includes(leaves[index], index + 1, head, path)
    assert not includes(leaves[index], index, head, [*path, leaf(b"more")])
    if path:
        assert not includes(leaves[index], index, head, path[:-1])


@given(st.data())
def test_a_tree_is_shown_to_begin_with_an_older_one(data):
    new = data.draw(st.integers(1, 130))
    old = data.draw(st.integers(1, new))
    leaves = some_leaves(new)

    path = consistency_path(old, new, subtree_of(leaves))

    assert extends(head_of(leaves, old), head_of(leaves, new), path)


@given(st.data())
def test_a_tree_with_another_past_is_refused(data):
    new = data.draw(st.integers(2, 130))
    old = data.draw(st.integers(1, new - 1))
    changed = data.draw(st.integers(0, old - 1))
    leaves = some_leaves(new)
    told = head_of(leaves, old)
    leaves[changed] = leaf(b"changed")

    path = consistency_path(old, new, subtree_of(leaves))

    assert not extends(told, head_of(leaves, new), path)


@pytest.mark.parametrize("kind", ["inclusion", "consistency"])
def test_five_hundred_proofs_with_one_bit_turned_are_refused(kind):
    leaves = some_leaves(100)
    head, subtree = head_of(leaves, 100), subtree_of(leaves)
    refused = 0
    for number in range(500):
        index = number % 63
        if kind == "inclusion":
            path = inclusion_path(index, 100, subtree)
        else:
            path = consistency_path(index + 1, 100, subtree)
        at, bit = number % len(path), number * 7 % 256
        turned = int.from_bytes(path[at], "big") ^ (1 << bit)
        path[at] = turned.to_bytes(32, "big")
        if kind == "inclusion":
            refused += not includes(leaves[index], index, head, path)
        else:
            refused += not extends(head_of(leaves, index + 1), head, path)

    assert refused == 500


def test_a_proof_that_can_not_be_is_not_made():
    subtree = subtree_of(some_leaves(4))

    with pytest.raises(ValueError, match="not in a tree"):
        inclusion_path(4, 4, subtree)
    with pytest.raises(ValueError, match="No proof"):
        consistency_path(5, 4, subtree)
