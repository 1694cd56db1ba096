"""From the record to outlooks, standing and dues."""

from dataclasses import fields, replace
from datetime import date, timedelta

import numpy as np
import pytest

from monitor.clock import new_id
from monitor.domain.inspections import Segment, Work
from monitor.domain.vocabulary import Answer, InspectionKind, Standing, WorkKind
from monitor.services.assessing.assess import assess, assess_all, assess_stale
from monitor.services.planning.plan import plan_all
from monitor.store import records
from monitor.store.stale import mark_stale, stale_supports
from tests.build import LONG_AGO, a_reading, a_support, an_inspection, some_readings
from tests.conftest import NOON

STILL = {date(2012 + n, 5, 1): value for n, value in enumerate(
    [0.1, -0.3, 0.2, 0.0, -0.2, 0.4, 0.1, -0.1, 0.3, 0.0, 0.2, -0.2, 0.1, 0.0]
)}  # fmt: skip
SINKING = {date(2016 + n, 5, 1): 1.1 * n for n in range(10)}


def a_work(support_id, on, *, kind=WorkKind.REPAIR):
    key = new_id()
    return Work(
        id=key, root_id=key, support_id=support_id, member_id=None, kind=kind,
        done_on=on, done_by="Corbel & Fern Supports", note="", withdrawn=False,
        recorded_by="test", recorded_at=LONG_AGO, supersedes_id=None,
    )  # fmt: skip


@pytest.fixture
def two_supports(store):
    with store.write_session() as session:
        still, sinking = a_support(session, "S-1"), a_support(session, "S-2")
        some_readings(session, still, "settlement", STILL)
        some_readings(session, sinking, "settlement", SINKING)
    return still, sinking


def outlook_of(session, built):
    return records.OUTLOOKS.find(session, support_id=built.support.id)


def test_a_still_post_holds_and_a_sinking_one_does_not(store, two_supports):
    still, sinking = two_supports

    with store.write_session() as session:
        assess_all(session, now=NOON)

    with store.read_session() as session:
        standings = {s.support_id: s for s in records.STANDINGS.all(session)}
        moved = outlook_of(session, sinking)
    assert standings[still.support.id].standing is Standing.HOLDING
    assert standings[sinking.support.id].standing is Standing.MAKE_SAFE
    assert any("still growing" in r for r in standings[sinking.support.id].reasons)
    assert moved.rate_low < 1.1 < moved.rate_high
    assert moved.evidence > 20


def test_the_limit_is_counted_from_the_baseline_of_the_segment(store):
    with store.write_session() as session:
        built = a_support(session)
        some_readings(session, built, "settlement", {date(2020, 5, 1): 4.0})
        assess_all(session, now=NOON)

    with store.read_session() as session:
        outlook = outlook_of(session, built)
    assert (outlook.watch_level, outlook.act_level) == (7.0, 12.0)


def test_readings_before_a_repair_do_not_count_after_it(store, two_supports):
    _, sinking = two_supports
    repair = a_work(sinking.support.id, date(2025, 6, 1))
    visit = an_inspection(
        sinking.support.id, date(2025, 6, 1), kind=InspectionKind.AFTER_WORK
    )
    with store.write_session() as session:
        records.WORKS.add(session, [repair])
        records.SEGMENTS.add(
            session,
            [
                Segment(
                    new_id(), sinking.mark.id, "settlement", repair.done_on, repair.id,
                    LONG_AGO,
                )
            ],
        )  # fmt: skip
        records.INSPECTIONS.add(session, [visit])
        records.READINGS.add(
            session, [a_reading(visit, sinking.mark.id, "settlement", 0.2)]
        )

    with store.write_session() as session:
        assess_all(session, now=NOON)

    with store.read_session() as session:
        outlook = outlook_of(session, sinking)
    assert outlook.readings == 1
    assert outlook.details["segment_from"] == "2025-06-01"
    assert outlook.act_level == pytest.approx(8.2)


def test_work_without_a_reading_since_says_so(store, two_supports):
    _, sinking = two_supports
    repair = a_work(sinking.support.id, date(2025, 6, 1))
    segment = Segment(
        new_id(), sinking.mark.id, "settlement", repair.done_on, repair.id, LONG_AGO
    )
    with store.write_session() as session:
        records.WORKS.add(session, [repair])
        records.SEGMENTS.add(session, [segment])
        assess_all(session, now=NOON)

    with store.read_session() as session:
        outlook = outlook_of(session, sinking)
    assert outlook.readings == 0
    assert "no readings" in outlook.refusal


def test_one_axis_of_tilt_alone_is_not_judged(store):
    with store.write_session() as session:
        built = a_support(session, mark="face")
        some_readings(session, built, "tilt_x", {date(2020, 5, 1): 4.0})

        assert assess_all(session, now=NOON) == 0


def test_tilt_is_judged_as_a_way_from_its_first_position(store):
    """A top that swings from (4, 0) to (0, 4) has moved 5.66 mm/m: by hand."""
    with store.write_session() as session:
        built = a_support(session, mark="face")
        visits = [
            an_inspection(built.support.id, date(2016 + n, 5, 1)) for n in range(9)
        ]
        angles = np.linspace(0, np.pi / 2, len(visits))
        records.INSPECTIONS.add(session, visits)
        for axis, along in (("tilt_x", np.cos), ("tilt_y", np.sin)):
            records.READINGS.add(
                session,
                [
                    a_reading(visit, built.mark.id, axis, 4 * along(angle))
                    for visit, angle in zip(visits, angles, strict=True)
                ],
            )
        assess_all(session, now=NOON)

    with store.read_session() as session:
        outlook = outlook_of(session, built)
    low, middle, high = outlook.details["fan"][0][1:]
    assert low < np.hypot(4, 4) < high
    assert middle > 3
    assert outlook.act_level == 6.67


def test_a_place_that_could_not_be_reached_counts_as_no_reading(store):
    with store.write_session() as session:
        built = a_support(session)
        visit = an_inspection(built.support.id, date(2020, 5, 1))
        records.INSPECTIONS.add(session, [visit])
        reading = a_reading(visit, built.mark.id, "settlement", 1.0)
        records.READINGS.add(
            session, [replace(reading, value=None, answer=Answer.COULD_NOT_REACH)]
        )

        assert assess_all(session, now=NOON) == 0

    with store.read_session() as session:
        standing = records.STANDINGS.find(session, support_id=built.support.id)
    assert standing.standing is Standing.WATCH
    assert "baseline is wanted" in standing.reasons[0]


def test_assessing_one_gives_the_same_as_assessing_all(store, two_supports):
    _, sinking = two_supports
    with store.write_session() as session:
        assess_all(session, now=NOON)
    with store.read_session() as session:
        from_all = outlook_of(session, sinking)
        due_from_all = records.DUES.find(session, support_id=sinking.support.id)

    with store.write_session() as session:
        assess(session, [sinking.support.id], now=NOON)

    with store.read_session() as session:
        again = outlook_of(session, sinking)
        for name in (field.name for field in fields(from_all)):
            value = getattr(from_all, name)
            if isinstance(value, float):
                value = pytest.approx(value, rel=1e-9, abs=1e-9)
            if name != "details":
                assert getattr(again, name) == value, name
        assert records.DUES.find(session, support_id=sinking.support.id) == due_from_all


def test_rebuilding_the_dues_changes_none(store, two_supports):
    with store.write_session() as session:
        assess_all(session, now=NOON)
        before = records.DUES.all(session)

        plan_all(session, now=NOON)

        assert records.DUES.all(session) == before
        assert len(before) == 2


def test_a_due_that_did_not_change_keeps_the_day_it_was_worked_out(store, two_supports):
    still, _ = two_supports
    with store.write_session() as session:
        assess_all(session, now=NOON)

        plan_all(session, now=NOON + timedelta(hours=1))

        due = records.DUES.find(session, support_id=still.support.id)
    assert due.computed_at == NOON


def test_only_stale_supports_are_assessed_and_then_fresh(store, two_supports):
    still, _ = two_supports
    with store.write_session() as session:
        mark_stale(session, [still.support.id], NOON)

        assert assess_stale(session, now=NOON) == 1
        assert stale_supports(session) == set()
        assert assess_stale(session, now=NOON) == 0


def test_the_analysis_never_lengthens_the_ordinary_interval(store, two_supports):
    still, _ = two_supports
    with store.write_session() as session:
        assess_all(session, now=NOON)
        due = records.DUES.find(session, support_id=still.support.id)

    last = max(STILL)
    assert due.due_on <= last + timedelta(days=3 * 366)
    assert due.reasons
    assert due.sentence


def test_a_removed_support_is_owed_nothing_and_concludes_nothing(store, two_supports):
    still, _ = two_supports
    with store.write_session() as session:
        assess_all(session, now=NOON)
        gone = replace(still.support, removed_on=date(2026, 1, 1))
        records.SUPPORTS.change(session, gone)

        assess_all(session, now=NOON)

    with store.read_session() as session:
        assert records.DUES.find(session, support_id=still.support.id) is None
        assert outlook_of(session, still) is None


def test_the_input_version_follows_the_readings(store, two_supports):
    _, sinking = two_supports
    with store.write_session() as session:
        assess_all(session, now=NOON)
        before = outlook_of(session, sinking).input_version
        assess_all(session, now=NOON + timedelta(days=1))
        assert outlook_of(session, sinking).input_version == before

        some_readings(session, sinking, "settlement", {date(2026, 5, 1): 11.2})
        assess_all(session, now=NOON)

        assert outlook_of(session, sinking).input_version != before
