"""Recording an inspection through a real database."""

from dataclasses import replace
from datetime import UTC, date, datetime
from uuid import UUID

import pytest

from monitor.domain.vocabulary import Answer, Grade, InspectionKind, MemberKind
from monitor.errors import Conflict, InvalidInput, NotFound
from monitor.services.recording.commands import (
    FindingCommand,
    InspectionCommand,
    ReadingCommand,
)
from monitor.services.recording.record import record_inspection, review_inspection
from monitor.store import records
from monitor.store.ledger import entries, first_broken
from monitor.store.stale import stale_supports
from tests.build import a_support, some_readings

NOW = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
DAY = date(2026, 5, 14)


def an_inspection(*readings, **head):
    values = {"support": "S-0142", "inspected_on": DAY, "inspector": "Ines"} | head
    return InspectionCommand(readings=readings, **values)


def record(session, command):
    return record_inspection(session, command, actor="test", now=NOW)


def test_an_inspection_is_recorded_with_its_readings_and_findings(store):
    command = an_inspection(
        ReadingCommand("settlement", "0.25 in", mark="plate"),
        ReadingCommand("tilt away from the stem", "1:500"),
        findings=(FindingCommand("loose nut", note="east bolt"),),
        air="52 °F",
        leaf="in leaf",
    )

    with store.write_session() as session:
        built = a_support(session)
        visit = record(session, command)

    with store.read_session() as session:
        settlement, tilt = records.READINGS.all(session)
        (finding,) = records.FINDINGS.all(session)
        assert settlement.value == pytest.approx(6.35)  # 25.4 mm to the inch
        assert settlement.given == "0.25 in"
        assert tilt.value == pytest.approx(2.0)
        assert records.MARKS.get(session, tilt.mark_id).code == "face"
        assert finding.grade is Grade.ACT
        assert visit.air_c == pytest.approx(11.11, abs=0.01)
        assert visit.kind is InspectionKind.BASELINE
        assert stale_supports(session) == {built.support.id}
        (entry,) = entries(session)
        assert entry.change.subject == "support S-0142"
        assert first_broken(session) is None


def test_the_unit_of_the_field_counts_when_the_text_has_none(store):
    with store.write_session() as session:
        a_support(session)
        record(session, an_inspection(ReadingCommand("settlement", "4 1/2", "in")))

        (reading,) = records.READINGS.all(session)

    assert reading.value == pytest.approx(114.3)
    assert reading.given == "4 1/2 in"


def test_the_noise_is_that_of_the_method_but_not_finer_than_what_was_typed(store):
    with store.write_session() as session:
        a_support(session)
        record(
            session,
            an_inspection(
                ReadingCommand("settlement", "4.00 mm", method="digital level"),
                ReadingCommand("settlement", "4 mm", method="digital level"),
            ),
        )

        fine, coarse = records.READINGS.all(session)

    assert (fine.sd_instrument, fine.resolution) == (0.2, 0.01)
    assert coarse.resolution == 1.0
    assert (fine.repeat, coarse.repeat) == (1, 2)


@pytest.mark.parametrize("answer", ["could not reach", "not measured"])
def test_the_reasons_for_no_number_are_kept_apart(store, answer):
    with store.write_session() as session:
        a_support(session)
        record(
            session,
            an_inspection(ReadingCommand("gap", answer=answer, why="nesting owl")),
        )

        (reading,) = records.READINGS.all(session)

    assert reading.answer is Answer(answer)
    assert reading.value is None
    assert reading.reason == "nesting owl"


def test_the_same_inspection_sent_twice_under_its_id_changes_nothing(store):
    key = UUID("0190a1b2-0000-7000-8000-000000000001")
    command = an_inspection(ReadingCommand("gap", "0.4 mm"), id=key)

    with store.write_session() as session:
        a_support(session)
        first = record(session, command)
    with store.write_session() as session:
        second = record(session, command)

    assert (first.id, second.id) == (key, key)
    assert counts(store) == {"inspections": 1, "readings": 1, "ledger": 1}


@pytest.mark.parametrize(
    "other",
    [
        an_inspection(
            ReadingCommand("gap", "0.9 mm"),
            id=UUID("0190a1b2-0000-7000-8000-000000000001"),
        ),
        an_inspection(id=UUID("0190a1b2-0000-7000-8000-000000000001")),
        an_inspection(
            ReadingCommand("gap", "0.4 mm"),
            inspector="Marek",
            id=UUID("0190a1b2-0000-7000-8000-000000000001"),
        ),
    ],
)
def test_the_same_id_with_other_content_is_a_conflict(store, other):
    with store.write_session() as session:
        a_support(session)
        record(session, an_inspection(ReadingCommand("gap", "0.4 mm"), id=other.id))
    with pytest.raises(Conflict, match="other content"), store.write_session() as s:
        record(s, other)


def test_a_repeated_inspection_is_a_conflict(store):
    with store.write_session() as session:
        a_support(session)
        record(session, an_inspection(ReadingCommand("gap", "0.4 mm")))
    with (
        pytest.raises(Conflict, match="already has an inspection of 14 May 2026"),
        store.write_session() as session,
    ):
        record(session, an_inspection(ReadingCommand("gap", "0.5 mm")))

    assert counts(store) == {"inspections": 1, "readings": 1, "ledger": 1}


REFUSED = [
    (an_inspection(ReadingCommand("gap", "0.4 kN")), "“kN” measures force"),
    (an_inspection(ReadingCommand("gap", "900 mm")), "expected 0 to 200"),
    (an_inspection(ReadingCommand("gap", "0.4")), "no unit"),
    (an_inspection(ReadingCommand("gap", "NaN", "mm")), "Expected one number"),
    (an_inspection(ReadingCommand("gapp", "1 mm")), "did you mean “gap"),
    (an_inspection(ReadingCommand("tension", "1 kN")), "read on: cable, guy"),
    (
        an_inspection(ReadingCommand("gap", "1 mm", member="P2")),
        "a member of S-0142: P1",
    ),
    (an_inspection(ReadingCommand("gap", "1 mm", method="laser")), "method"),
    (an_inspection(ReadingCommand("gap", "1 mm", answer="perhaps")), "answer"),
    (an_inspection(inspected_on=date(2026, 6, 2)), "1 June 2026, which is today"),
    (an_inspection(inspected_on=date(2010, 5, 13)), "14 May 2010, when S-0142 was"),
    (an_inspection(inspector=" "), "who looked"),
    (an_inspection(kind="yearly"), "baseline, routine"),
    (an_inspection(air="120 °C"), "air temperature"),
    (an_inspection(findings=(FindingCommand("lose nut"),)), "did you mean “loose nut”"),
    (an_inspection(findings=(FindingCommand("ooze", grade="bad"),)), "grade"),
]


@pytest.mark.parametrize(("command", "sentence"), REFUSED)
def test_what_can_not_be_is_refused_in_words_and_nothing_is_written(
    store, command, sentence
):
    with store.write_session() as session:
        a_support(session)

    with pytest.raises(InvalidInput, match=sentence), store.write_session() as session:
        record(session, command)

    assert counts(store) == {"inspections": 0, "readings": 0, "ledger": 0}


def test_an_unknown_support_names_the_nearest_code(store):
    with store.write_session() as session:
        a_support(session)

    with (
        pytest.raises(NotFound, match="Did you mean “S-0142”"),
        store.write_session() as session,
    ):
        record(session, an_inspection(support="S-0124"))


def test_all_that_is_wrong_is_said_at_once(store):
    command = an_inspection(ReadingCommand("gap", "x"), ReadingCommand("nothing", "1"))

    with pytest.raises(InvalidInput) as caught, store.write_session() as session:
        a_support(session)
        record(session, command)

    assert "value (1)" in caught.value.message
    assert "quantity (2)" in caught.value.message


def test_a_date_before_the_members_installation_is_refused(store):
    with store.write_session() as session:
        built = a_support(session)
        records.MEMBERS.change(
            session, replace(built.member, installed_on=date(2020, 1, 1))
        )
        early = an_inspection(
            ReadingCommand("gap", "1 mm"), inspected_on=date(2015, 1, 1)
        )
        with pytest.raises(InvalidInput, match="1 January 2020"):
            record(session, early)


def test_a_likely_slip_of_units_is_asked_about_and_taken_when_sure(store):
    # Tired inspector: 43 mm expected, 1.7 typed, which is 43 mm in inches (by hand).
    command = an_inspection(ReadingCommand("wound_width", "1.7 mm"))
    with store.write_session() as session:
        built = a_support(session, kind=MemberKind.PIN, mark="wound")
        some_readings(session, built, "wound_width", {date(2024, 5, 1): 43.2})

    with (
        pytest.raises(InvalidInput, match="were inches entered as mm"),
        store.write_session() as session,
    ):
        record(session, command)
    with store.read_session() as session:
        (doubt,) = review_inspection(session, command, now=NOW)
    sure = an_inspection(*command.readings, sure=frozenset({doubt.key}))
    with store.write_session() as session:
        record(session, sure)

    assert counts(store)["readings"] == 2


def test_no_question_is_asked_across_a_new_segment_or_within_the_noise(store):
    with store.write_session() as session:
        built = a_support(session)
        some_readings(session, built, "settlement", {date(2024, 5, 1): 0.15})
        near = an_inspection(ReadingCommand("settlement", "1.5 mm"))

        assert review_inspection(session, near, now=NOW) == ()


def test_swapped_axes_are_asked_about(store):
    with store.write_session() as session:
        built = a_support(session, mark="face")
        some_readings(session, built, "tilt_x", {date(2024, 5, 1): 12.0})
        some_readings(session, built, "tilt_y", {date(2024, 5, 1): -3.0})
        swapped = an_inspection(
            ReadingCommand("tilt_x", "-3.1 mm/m"), ReadingCommand("tilt_y", "12.2 mm/m")
        )
        right = an_inspection(
            ReadingCommand("tilt_x", "12.2 mm/m"), ReadingCommand("tilt_y", "-3.1 mm/m")
        )

        (doubt,) = review_inspection(session, swapped, now=NOW)
        none = review_inspection(session, right, now=NOW)

    assert "axes swapped" in doubt.question
    assert none == ()


def test_a_mark_spelt_almost_like_a_known_one_is_asked_about(store):
    with store.write_session() as session:
        built = a_support(session)
        some_readings(session, built, "settlement", {date(2024, 5, 1): 1.0})
        slip = an_inspection(ReadingCommand("settlement", "1 mm", mark="palte"))
        (doubt,) = review_inspection(session, slip, now=NOW)

    assert "did you mean “plate”?" in doubt.question


def counts(store):
    with store.read_session() as session:
        return {
            "inspections": records.INSPECTIONS.count(session),
            "readings": records.READINGS.count(session),
            "ledger": len(list(entries(session))),
        }
