"""One change to many supports, looked at first."""

from datetime import UTC, datetime

import pytest

from monitor.errors import InvalidInput
from monitor.services.recording.revise_many import (
    AT_ONCE,
    ManyRevision,
    review_revision,
    revise_many,
)
from monitor.store import records
from monitor.store.history import changes_of
from monitor.store.stale import stale_supports
from tests.build import a_support

NOW = datetime(2026, 6, 1, 12, tzinfo=UTC)


@pytest.fixture
def two(store):
    with store.write_session() as session:
        yield session, a_support(session, "S-1"), a_support(session, "S-2")


def test_looking_first_writes_nothing(two):
    session, one, _ = two

    (seen, _) = review_revision(
        session, ManyRevision(("S-1", "S-2"), "interval", "24"), now=NOW
    )

    assert (seen.before, seen.after) == ("", "24 months")
    assert records.SUPPORTS.get(session, one.support.id).interval_months is None


def test_each_support_has_its_own_entry_with_the_reason(two):
    session, one, other = two
    command = ManyRevision(("S-1", "S-2"), "occupancy", "constant", "a school opened")

    changed = revise_many(session, command, actor="Ines", now=NOW)

    assert [new.better.occupancy.value for new in changed] == ["constant"] * 2
    for code in ("S-1", "S-2"):
        (entry,) = changes_of(session, [f"support {code}"], at_most=9)
        assert entry.action == "record revised"
        assert "a school opened" in entry.payload
    assert stale_supports(session) == {one.support.id, other.support.id}


def test_what_says_so_already_is_left_alone(two):
    session, _, _ = two
    command = ManyRevision(("S-1",), "occupancy", "frequent", "to be sure")

    with pytest.raises(InvalidInput, match="say so already"):
        revise_many(session, command, actor="Ines", now=NOW)


def test_a_new_installer_is_made_once_for_all(two):
    session, _, _ = two
    command = ManyRevision(("S-1", "S-2"), "installer", "Corbel & Fern", "found papers")

    first, second = revise_many(session, command, actor="Ines", now=NOW)

    assert first.better.installer_id == second.better.installer_id
    assert first.after == "Corbel & Fern"


@pytest.mark.parametrize(
    ("command", "words"),
    [
        (ManyRevision(("S-1",), "occupancy", "now and then", "r"), "occupancy"),
        (ManyRevision(("S-1",), "code", "S-9", "r"), "can not be changed of many"),
        (ManyRevision(("S-1",), "note", "x", " "), "reason"),
        (ManyRevision(("S-1",) * (AT_ONCE + 1), "note", "x", "r"), "narrow"),
    ],
)
def test_what_can_not_be_is_refused_before_anything_is_written(two, command, words):
    session, _, _ = two

    with pytest.raises(InvalidInput, match=words):
        revise_many(session, command, actor="Ines", now=NOW)
    assert changes_of(session, ["support S-1"], at_most=9) == []
