"""Recording works through a real database."""

from datetime import UTC, date, datetime
from uuid import UUID

import pytest

from monitor.domain.vocabulary import MemberKind, WorkKind
from monitor.errors import Conflict, InvalidInput
from monitor.services.recording.commands import (
    FindingCommand,
    InspectionCommand,
    MemberDraft,
    ReadingCommand,
    WorkCommand,
)
from monitor.services.recording.record import record_inspection
from monitor.services.recording.works import record_work
from monitor.store import records
from monitor.store.frames import segments_frame
from monitor.store.ledger import entries
from tests.build import a_support, some_readings

NOW = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
EARLIER, DAY = date(2024, 5, 14), date(2026, 5, 14)


@pytest.fixture
def read(store):
    """A post whose gap and settlement were read two years before."""
    with store.write_session() as session:
        built = a_support(session)
        some_readings(session, built, "gap", {EARLIER: 2.0})
        some_readings(session, built, "settlement", {EARLIER: 1.0})
    return store


def do(store, kind, **said):
    values = {"support": "S-0142", "done_on": DAY, "done_by": "Corbel & Fern"} | said
    command = WorkCommand(kind=kind, **values)
    with store.write_session() as session:
        return record_work(session, command, actor="test", now=NOW)


def begun(store):
    with store.read_session() as session:
        frame = segments_frame(session)
    return set(zip(frame["series"], frame["starts_on"], strict=True))


def test_an_adjustment_starts_the_series_that_it_moves(read):
    work = do(read, "adjustment", note="half a turn")

    assert work.kind is WorkKind.ADJUSTMENT
    assert begun(read) == {("gap", DAY)}


def test_whoever_did_the_work_may_say_what_starts_anew(read):
    do(read, "adjustment", restarts=("settlement",))

    assert begun(read) == {("settlement", DAY)}


def test_nothing_starts_anew_when_none_is_said(read):
    do(read, "new datum", restarts=("none",))

    assert begun(read) == set()


def test_readings_that_come_in_after_the_work_are_cut_as_usual(store):
    early = InspectionCommand(
        "S-0142", EARLIER, "Ines", (ReadingCommand("gap", "2.0 mm"),)
    )
    with store.write_session() as session:
        a_support(session)
    do(store, "adjustment")
    with store.write_session() as session:
        record_inspection(session, early, actor="test", now=NOW)

    assert begun(store) == {("gap", DAY)}


def test_a_work_closes_the_findings_it_ends(read):
    seen = InspectionCommand(
        "S-0142",
        date(2025, 5, 14),
        "Ines",
        findings=(FindingCommand("loose nut"), FindingCommand("ooze")),
    )
    with read.write_session() as session:
        record_inspection(session, seen, actor="test", now=NOW)
    work = do(read, "repair", closes=("nut loose or missing",))

    with read.read_session() as session:
        (closure,) = records.CLOSURES.all(session)
        finding = records.FINDINGS.get(session, closure.finding_id)
        assert (finding.code, closure.closed_on) == ("loose nut", DAY)
        assert closure.work_id == work.id


def test_a_removal_ends_the_member_and_with_the_last_one_the_support(read):
    do(read, "removal", member="P1", note="limb reduced")

    with read.read_session() as session:
        (member,) = records.MEMBERS.all(session)
        (support,) = records.SUPPORTS.all(session)
        assert member.removed_on == DAY
        assert member.removal_note == "limb reduced"
        assert support.removed_on == DAY


def test_a_replaced_member_gives_way_to_its_successor(read):
    new = MemberDraft("P2", "post", DAY, facts={"wall": "6.3 mm"})

    do(read, "replacement", member="P1", successor=new)

    with read.read_session() as session:
        old, member = records.MEMBERS.all(session)
        (support,) = records.SUPPORTS.all(session)
        (fact,) = records.FACTS.all(session)
        assert (old.removed_on, member.kind) == (DAY, MemberKind.POST)
        assert fact.number == 6.3
        assert support.removed_on is None


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"kind": "polish"}, "one of adjustment"),
        ({"kind": "repair", "done_on": date(2026, 6, 2)}, "today at the site"),
        ({"kind": "repair", "done_on": date(2009, 1, 1)}, "installed"),
        ({"kind": "repair", "member": "P9"}, "a member of S-0142"),
        ({"kind": "repair", "restarts": ("gaps",)}, "did you mean “gap”"),
        ({"kind": "repair", "closes": ("ooze",)}, "which has none"),
        ({"kind": "removal", "done_on": date(2020, 1, 1)}, "was still read"),
        ({"kind": "repair", "done_by": " "}, "who did it, or “unknown”"),
        ({"kind": "repair", "done_by": "x" * 4001}, "at most 4000 characters"),
        ({"kind": "repair", "note": "x" * 50_000}, "at most 4000 characters"),
    ],
)
def test_what_can_not_be_is_refused_in_words(read, said, sentence):
    with pytest.raises(InvalidInput, match=sentence):
        do(read, **said)

    with read.read_session() as session:
        assert records.WORKS.count(session) == 0
        assert list(entries(session)) == []


def test_the_same_work_twice_is_a_conflict_but_not_under_its_own_id(read):
    key = UUID("0190a1b2-0000-7000-8000-000000000002")

    first = do(read, "repair", id=key)
    second = do(read, "repair", id=key)

    assert first == second
    with pytest.raises(Conflict, match="already has this work"):
        do(read, "repair")
    with pytest.raises(Conflict, match="other content"):
        do(read, "repair", id=key, note="else")


def test_a_reading_of_a_removed_member_is_refused(read):
    do(read, "removal", done_on=date(2025, 1, 1))
    late = InspectionCommand("S-0142", DAY, "Ines", (ReadingCommand("gap", "1 mm"),))

    with pytest.raises(InvalidInput, match="was removed"), read.write_session() as s:
        record_inspection(s, late, actor="test", now=NOW)
