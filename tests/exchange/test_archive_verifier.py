"""The verifier of every archive agrees with the tree and refuses forgeries.

It shares no code with the program: the program's proofs are checked by it, and the
published root of eight leaves (RFC 6962, reference test) by both.
"""

import ast
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.domain.ledger_tree import consistency_path, inclusion_path
from monitor.exchange import archive_verifier as verifier
from tests.domain.test_ledger_tree import (
    DATA,
    ROOT_OF_EIGHT,
    head_of,
    leaf,
    some_leaves,
    subtree_of,
)

SOURCE = Path(verifier.__file__)


def said(head):
    return {"size": head.size, "root": head.root}


def test_it_is_one_short_file_of_the_standard_library():
    text = SOURCE.read_text()
    named = {
        name.split(".")[0]
        for step in ast.walk(ast.parse(text))
        for name in (
            [alias.name for alias in step.names]
            if isinstance(step, ast.Import)
            else [step.module] if isinstance(step, ast.ImportFrom) else []
        )
    }  # fmt: skip

    assert len(text.splitlines()) <= 200
    assert named <= set(sys.stdlib_module_names)


def test_it_finds_the_published_root():
    leaves = [leaf(data) for data in DATA]

    assert verifier.tree_root(leaves).hex() == ROOT_OF_EIGHT


@given(st.data())
def test_it_agrees_with_every_proof_of_the_program(data):
    new = data.draw(st.integers(1, 130))
    old = data.draw(st.integers(1, new))
    index = data.draw(st.integers(0, new - 1))
    leaves = some_leaves(new)
    head, subtree = head_of(leaves, new), subtree_of(leaves)

    path = [one.hex() for one in inclusion_path(index, new, subtree)]
    growth = [one.hex() for one in consistency_path(old, new, subtree)]

    assert verifier.is_in(leaves[index], {"seq": index + 1}, said(head), path)
    assert verifier.grew(said(head_of(leaves, old)), said(head), growth)
    assert not verifier.is_in(leaves[index], {"seq": index + 2}, said(head), path)


@pytest.mark.parametrize("kind", ["inclusion", "consistency"])
def test_it_refuses_five_hundred_proofs_with_one_bit_turned(kind):
    leaves = some_leaves(100)
    head, subtree = head_of(leaves, 100), subtree_of(leaves)
    refused = 0
    for number in range(500):
        index = number % 63
        if kind == "inclusion":
            path = inclusion_path(index, 100, subtree)
        else:
            path = consistency_path(index + 1, 100, subtree)
        at, bit = number % len(path), number * 11 % 256
        turned = int.from_bytes(path[at], "big") ^ (1 << bit)
        path[at] = turned.to_bytes(32, "big")
        steps = [one.hex() for one in path]
        if kind == "inclusion":
            entry = {"seq": index + 1}
            refused += not verifier.is_in(leaves[index], entry, said(head), steps)
        else:
            old = said(head_of(leaves, index + 1))
            refused += not verifier.grew(old, said(head), steps)

    assert refused == 500


@given(st.data())
def test_it_refuses_a_path_too_long_or_too_short(data):
    size = data.draw(st.integers(2, 70))
    index = data.draw(st.integers(0, size - 1))
    leaves = some_leaves(size)
    head = head_of(leaves, size)
    path = [one.hex() for one in inclusion_path(index, size, subtree_of(leaves))]

    entry = {"seq": index + 1}
    assert not verifier.is_in(leaves[index], entry, said(head), path[:-1])
    assert not verifier.is_in(leaves[index], entry, said(head), [*path, path[0]])
    assert not verifier.is_in(leaves[index], {"seq": 0}, said(head), path)


def test_an_older_tree_that_is_longer_is_refused():
    leaves = some_leaves(8)

    older, newer = said(head_of(leaves, 8)), said(head_of(leaves, 5))
    assert not verifier.grew(older, newer, [])
    assert not verifier.grew(older, newer, [leaves[0].hex()])
