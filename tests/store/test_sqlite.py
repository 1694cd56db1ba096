"""What SQLite only does when it is told to."""

import threading
from datetime import timedelta

import pytest
import sqlalchemy as sa

from monitor.errors import Conflict
from monitor.store import lease, records
from tests.build import LONG_AGO, a_support


@pytest.mark.parametrize(
    ("pragma", "expected"),
    [("foreign_keys", 1), ("journal_mode", "wal"), ("synchronous", 2)],
)
def test_every_connection_is_set_for_evidence(sqlite_store, pragma, expected):
    with sqlite_store.engine.connect() as connection:
        assert connection.exec_driver_sql(f"PRAGMA {pragma}").scalar_one() == expected


def test_text_in_a_number_column_is_refused(sqlite_store):
    with sqlite_store.write_session() as session:
        a_support(session)

    with pytest.raises(Conflict), sqlite_store.write_session() as session:
        session.execute(sa.text("UPDATE support SET interval_months = 'twelve'"))


def test_two_writers_who_read_first_both_succeed(sqlite_store):
    with sqlite_store.write_session() as session:
        a_support(session)
    errors = []
    barrier = threading.Barrier(4)

    def add_a_letter():
        barrier.wait()
        try:
            for _ in range(10):
                with sqlite_store.write_session() as session:
                    (support,) = records.SUPPORTS.all(session)
                    session.execute(
                        sa.text("UPDATE support SET note = :note"),
                        {"note": support.note + "x"},
                    )
        except Exception as error:
            errors.append(error)

    threads = [threading.Thread(target=add_a_letter) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert errors == []
    with sqlite_store.read_session() as session:
        (support,) = records.SUPPORTS.all(session)
    assert support.note == "x" * 40


def test_a_lease_has_one_holder_until_it_runs_out(any_store):
    minute = timedelta(minutes=1)

    def take(holder, at):
        with any_store.write_session() as session:
            return lease.take(session, "jobs", holder=holder, now=at, lasts=minute)

    assert take("first", LONG_AGO)
    assert not take("second", LONG_AGO + minute / 2)
    assert take("first", LONG_AGO + minute / 2)
    assert take("second", LONG_AGO + 2 * minute)
    assert not take("first", LONG_AGO + 2 * minute)


def test_a_lease_given_back_is_free(any_store):
    minute = timedelta(minutes=1)
    with any_store.write_session() as session:
        lease.take(session, "jobs", holder="first", now=LONG_AGO, lasts=minute)

    with any_store.write_session() as session:
        lease.give_back(session, "jobs", holder="first")

    with any_store.write_session() as session:
        assert lease.take(session, "jobs", holder="second", now=LONG_AGO, lasts=minute)
