"""What the store promises, on SQLite and PostgreSQL alike."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone

import numpy as np
import pytest
import sqlalchemy as sa

from monitor.clock import new_id
from monitor.domain.vocabulary import Answer
from monitor.errors import Conflict, NotFound
from monitor.store import ledger, records
from monitor.store.frames import readings_frame, segments_frame
from tests.build import LONG_AGO, a_reading, a_support, an_inspection, some_readings
from tests.keeping.tamper import unguarded

LATER = datetime(2020, 1, 1, tzinfo=UTC)


def test_a_record_comes_back_as_it_was_put_in(any_store):
    with any_store.write_session() as session:
        standing = a_support(session)

    with any_store.read_session() as session:
        assert records.SUPPORTS.get(session, standing.support.id) == standing.support
        assert records.SITES.get(session, standing.site.id) == standing.site
        assert records.MEMBERS.get(session, standing.member.id) == standing.member


def test_an_unknown_id_is_named(any_store):
    with any_store.read_session() as session, pytest.raises(NotFound, match="support"):
        records.SUPPORTS.get(session, new_id())


def test_a_dangling_reference_is_refused_and_nothing_is_kept(any_store):
    with any_store.write_session() as session:
        standing = a_support(session)
    visit = an_inspection(standing.support.id, date(2020, 1, 1))

    with pytest.raises(Conflict), any_store.write_session() as session:
        records.INSPECTIONS.add(session, [visit])
        records.READINGS.add(session, [a_reading(visit, new_id(), "settlement", 1.0)])

    with any_store.read_session() as session:
        assert records.INSPECTIONS.count(session) == 0


def test_a_reading_without_number_says_why_or_is_refused(any_store):
    with any_store.write_session() as session:
        standing = a_support(session)
        visit = an_inspection(standing.support.id, date(2020, 1, 1))
        records.INSPECTIONS.add(session, [visit])
    reading = a_reading(visit, standing.mark.id, "settlement", 1.0)

    with any_store.write_session() as session:
        unreached = replace(reading, value=None, answer=Answer.COULD_NOT_REACH)
        records.READINGS.add(session, [unreached])

    with pytest.raises(Conflict), any_store.write_session() as session:
        records.READINGS.add(session, [replace(reading, id=new_id(), value=None)])


def test_instants_keep_their_moment_whatever_their_zone(any_store):
    plus_two = datetime(2020, 6, 1, 12, 0, tzinfo=timezone(timedelta(hours=2)))
    with any_store.write_session() as session:
        standing = a_support(session)
        visit = replace(
            an_inspection(standing.support.id, date(2020, 6, 1)), device_at=plus_two
        )
        records.INSPECTIONS.add(session, [visit])

    with any_store.read_session() as session:
        found = records.INSPECTIONS.get(session, visit.id)
    assert found.device_at == plus_two
    assert found.device_at.utcoffset() == timedelta(0)


def test_numbers_of_numpy_are_stored_as_numbers(any_store):
    with any_store.write_session() as session:
        standing = a_support(session)
        some_readings(
            session, standing, "settlement", {date(2020, 1, 1): np.float64(1.25)}
        )

    with any_store.read_session() as session:
        stored = session.execute(sa.text("SELECT value FROM reading")).scalar_one()
    assert stored == 1.25


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_a_number_that_is_none_is_refused(any_store, value):
    with any_store.write_session() as session:
        standing = a_support(session)

    with pytest.raises(Exception, match="finite"), any_store.write_session() as session:
        some_readings(session, standing, "settlement", {date(2020, 1, 1): value})


def test_a_correction_supersedes_and_the_past_stays_readable(any_store):
    with any_store.write_session() as session:
        standing = a_support(session)
        (first,) = some_readings(
            session, standing, "settlement", {date(2016, 5, 1): 1.7}
        )
        fixed = replace(
            first, id=new_id(), value=43.2, supersedes_id=first.id, recorded_at=LATER
        )
        records.READINGS.add(session, [fixed])

    with any_store.read_session() as session:
        now = readings_frame(session)
        then = readings_frame(session, known_at=LATER - timedelta(days=1))
        before = readings_frame(session, known_at=LONG_AGO - timedelta(days=1))
    assert now["value"].tolist() == [43.2]
    assert then["value"].tolist() == [1.7]
    assert before.empty


def test_a_correction_can_not_be_corrected_twice_in_parallel(any_store):
    with any_store.write_session() as session:
        standing = a_support(session)
        (first,) = some_readings(
            session, standing, "settlement", {date(2016, 5, 1): 1.7}
        )
        heir = replace(first, id=new_id(), value=43.2, supersedes_id=first.id)
        records.READINGS.add(session, [heir])

    with pytest.raises(Conflict), any_store.write_session() as session:
        records.READINGS.add(session, [replace(heir, id=new_id(), value=44.0)])


def test_a_corrected_date_moves_the_readings_with_it(any_store):
    with any_store.write_session() as session:
        standing = a_support(session)
        some_readings(session, standing, "settlement", {date(2016, 5, 1): 1.7})
        (visit,) = records.INSPECTIONS.all(session)
        records.INSPECTIONS.add(
            session,
            [
                replace(
                    visit,
                    id=new_id(),
                    supersedes_id=visit.id,
                    inspected_on=date(2016, 6, 1),
                )
            ],
        )

    with any_store.read_session() as session:
        frame = readings_frame(session)
    assert frame["inspected_on"].tolist() == [date(2016, 6, 1)]


def test_a_withdrawn_inspection_takes_its_readings_along(any_store):
    with any_store.write_session() as session:
        standing = a_support(session)
        some_readings(session, standing, "settlement", {date(2016, 5, 1): 1.7})
        (visit,) = records.INSPECTIONS.all(session)
        records.INSPECTIONS.add(
            session,
            [replace(visit, id=new_id(), supersedes_id=visit.id, withdrawn=True)],
        )

    with any_store.read_session() as session:
        assert readings_frame(session).empty
        assert segments_frame(session).empty


def test_frames_have_their_columns_and_types_when_empty(any_store):
    with any_store.read_session() as session:
        frame = readings_frame(session)

    assert frame["value"].dtype == np.float64
    assert frame["repeat"].dtype == np.int64


def test_the_ledger_finds_the_first_changed_entry(any_store):
    with any_store.write_session() as session:
        for number in range(5):
            ledger.append(
                session, [("note", f"thing {number}", {"n": number})],
                actor="Ines", now=LATER,
            )  # fmt: skip
    with any_store.read_session() as session:
        assert ledger.first_broken(session) is None

    with unguarded(any_store) as connection:
        connection.execute(
            sa.text("UPDATE ledger SET payload = 'changed' WHERE seq = 3")
        )

    with any_store.read_session() as session:
        assert ledger.first_broken(session) == 3


def test_the_ledger_notices_a_removed_entry(any_store):
    with any_store.write_session() as session:
        changes = [("note", f"thing {number}", number) for number in range(5)]
        ledger.append(session, changes, actor="Ines", now=LATER)

    with unguarded(any_store) as connection:
        connection.execute(sa.text("DELETE FROM ledger WHERE seq = 2"))

    with any_store.read_session() as session:
        assert ledger.first_broken(session) == 2
