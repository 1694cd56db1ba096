"""Canonical text and hashes of the ledger."""

import hashlib
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.domain.ledger import (
    START,
    Change,
    Seal,
    canonical,
    chain_hash,
    commitment,
    leaf_hash,
    row_hash,
    salted,
)

CHANGE = Change(
    1, datetime(2026, 6, 1, tzinfo=UTC), "Ines", "record", "inspection 1", '{"n":1}'
)


def test_one_value_has_one_text():
    assert canonical({"b": 1, "a": [1.5, None]}) == '{"a":[1.5,null],"b":1}'


def test_no_value_is_nan():
    with pytest.raises(ValueError, match="not JSON compliant"):
        canonical({"x": float("nan")})


def test_a_leaf_is_hashed_with_a_zero_byte_before_it():
    """RFC 6962 section 2.1: MTH({d(0)}) = SHA-256(0x00 || d(0))."""
    text = (
        '[1,"2026-06-01T00:00:00+00:00","Ines","record","inspection 1","{\\"n\\":1}"]'
    )

    assert leaf_hash(CHANGE) == hashlib.sha256(b"\x00" + text.encode()).hexdigest()


@pytest.mark.parametrize(
    "changed",
    [
        replace(CHANGE, seq=2),
        replace(CHANGE, actor="Iris"),
        replace(CHANGE, payload='{"n":2}'),
        replace(CHANGE, recorded_at=datetime(2026, 6, 1, 0, 0, 1, tzinfo=UTC)),
    ],
)
def test_any_change_changes_the_leaf(changed):
    assert leaf_hash(changed) != leaf_hash(CHANGE)


def test_the_chain_depends_on_all_before():
    leaf = leaf_hash(CHANGE)

    assert chain_hash(START, leaf) != chain_hash(leaf, leaf)


@given(st.lists(st.text(), min_size=8, max_size=8))
def test_what_is_hashed_is_canonical_json(texts):
    """The quick way to write it is the slow way."""
    actor, action, subject, payload, origin, reason, made, rows = texts
    at = CHANGE.recorded_at
    change = Change(7, at, actor, action, subject, payload, at, origin, reason)
    seal = Seal(2, rows, "", made)

    words = canonical([actor, origin, reason, payload])
    fields = [2, 7, at.isoformat(), at.isoformat(), action, subject, made, rows]
    leaf = hashlib.sha256(b"\x00" + canonical(fields).encode())

    assert commitment(change, "00") == salted("00", words)
    assert row_hash("00", action, subject, rows) == salted(
        "00", canonical([action, subject, rows])
    )
    assert leaf_hash(change, seal) == leaf.hexdigest()
