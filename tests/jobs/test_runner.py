"""Jobs run once, under a lease, and leave a trace of how they went."""

from datetime import UTC, date, datetime, timedelta
from importlib import import_module

import pytest

from monitor.clock import FixedClock
from monitor.jobs.catalogue import JOBS, JobSpec
from monitor.jobs.runner import DONE, FAILED, LEASE, Runner, last_done, run_job, runs_of
from monitor.store import lease, records
from tests.build import a_support, some_readings
from tests.conftest import NOON

ASSESS = next(spec for spec in JOBS if spec.id == "assess")


def broken_task(store, clock):
    raise RuntimeError("the disk is full")


@pytest.fixture
def filled(store):
    with store.write_session() as session:
        built = a_support(session)
        some_readings(session, built, "settlement", {date(2020, 5, 1): 1.0})
    return store


def test_the_nightly_job_assesses_and_plans(filled, clock):
    run = run_job(filled, clock, ASSESS)

    assert run.outcome == DONE
    assert run.summary == "series assessed: 1; inspections owed: 1"
    with filled.read_session() as session:
        assert records.OUTLOOKS.count(session) == records.DUES.count(session) == 1


def test_running_it_twice_changes_nothing(filled, clock):
    run_job(filled, clock, ASSESS)
    with filled.read_session() as session:
        before = records.OUTLOOKS.all(session), records.DUES.all(session)

    run_job(filled, clock, ASSESS)

    with filled.read_session() as session:
        assert (records.OUTLOOKS.all(session), records.DUES.all(session)) == before


def test_a_failure_is_recorded_with_its_reason_and_ends_nothing(store, clock):
    spec = JobSpec("broken", "", f"{__name__}:broken_task", 1, 0)

    run = run_job(store, clock, spec)

    assert run.outcome == FAILED
    assert runs_of(store, "broken")[0].summary == "RuntimeError: the disk is full"
    assert last_done(store, "broken") is None


def test_every_job_names_a_task_that_exists():
    for spec in JOBS:
        module, _, name = spec.task.partition(":")
        assert callable(getattr(import_module(module), name))
        assert spec.grace_s > 3600


def test_what_was_missed_while_down_is_caught_up_at_the_start(filled, clock):
    runner = Runner(filled, clock)

    runner.start()
    runner.stop()

    assert last_done(filled, ASSESS.id) is not None


def test_a_run_of_today_is_not_repeated_at_the_start(filled, clock):
    run_job(filled, clock, ASSESS)
    runner = Runner(filled, FixedClock(NOON + timedelta(hours=2)))

    runner.start()
    runner.stop()

    assert len(runs_of(filled, ASSESS.id)) == 1


def test_a_second_process_waits_while_the_first_holds_the_lease(filled, clock):
    with filled.write_session() as session:
        lease.take(
            session,
            LEASE,
            holder="another",
            now=clock.now(),
            lasts=timedelta(minutes=1),
        )
    runner = Runner(filled, clock)

    runner.start()
    runner.stop()

    assert runs_of(filled, ASSESS.id) == []


def test_the_lease_is_free_after_a_clean_end(filled, clock):
    runner = Runner(filled, clock)
    runner.start()
    runner.stop()

    assert Runner(filled, clock).holds_lease()


@pytest.mark.parametrize("day", [date(2027, 3, 28), date(2027, 10, 31)])
def test_a_job_fires_once_on_the_days_the_clocks_change(store, clock, day):
    runner = Runner(store, clock)
    trigger = runner._scheduler.get_job(ASSESS.id).trigger
    start = datetime(day.year, day.month, day.day, tzinfo=UTC)

    first = trigger.get_next_fire_time(None, start)
    second = trigger.get_next_fire_time(first, first + timedelta(seconds=1))

    assert first.date() == day
    assert second - first == timedelta(days=1)
