"""Jobs that run all day, whoever dies and whatever the clock does; and their watch."""

import os
import signal
import subprocess
import sys
import threading
import time
from datetime import timedelta
from pathlib import Path

import pytest

from monitor.clock import FixedClock, SystemClock
from monitor.domain.running import Watched
from monitor.jobs import runner as running
from monitor.jobs import tasks
from monitor.jobs.catalogue import JOBS, WATCHED, JobSpec
from monitor.jobs.runner import (
    DONE,
    LEASE_LASTS,
    RENEW_EVERY_S,
    Runner,
    run_job,
    runs_of,
)
from monitor.services.showing.running import trouble
from monitor.store import lease
from tests.build import a_support
from tests.conftest import NOON

UNDERPROP = str(Path(sys.executable).with_name("underprop"))
EVERY_MINUTE = JobSpec("often", "", f"{__name__}:quick", 0, 0, every_s=60)
MINUTE, DAY = timedelta(minutes=1), timedelta(days=1)


def quick(store, clock):
    return "nothing to do"


def failing(store, clock):
    raise RuntimeError("the disk is full")


def test_a_second_process_takes_over_within_two_minutes_at_the_worst():
    assert LEASE_LASTS + timedelta(seconds=RENEW_EVERY_S) <= 2 * MINUTE


def test_after_kill_9_a_second_process_takes_over(store, tmp_path):
    environ = os.environ | {  # noqa: TID251 - a child process inherits it
        "UNDERPROP_DATABASE_URL": store.url,
        "UNDERPROP_DATA_FOLDER": str(tmp_path),
    }
    first = subprocess.Popen(
        [UNDERPROP, "jobs", "run"], env=environ, stdout=subprocess.PIPE, text=True
    )
    try:
        until = _first_lease(store)
        assert not Runner(store, SystemClock()).holds_lease()
    finally:
        os.kill(first.pid, signal.SIGKILL)
        first.communicate()

    assert not Runner(store, FixedClock(until - MINUTE)).holds_lease()
    assert Runner(store, FixedClock(until)).holds_lease()


def _first_lease(store):
    for _ in range(600):
        with store.read_session() as session:
            until = lease.ends_at(session, lease.SCHEDULER)
        if until is not None:
            return until
        time.sleep(0.1)
    raise AssertionError("no lease was taken")


def test_a_lease_of_before_the_clock_was_set_back_does_not_hold_for_hours(any_store):
    three_hours = timedelta(hours=3)
    assert Runner(any_store, FixedClock(NOON + three_hours)).holds_lease()

    assert Runner(any_store, FixedClock(NOON)).holds_lease()


def test_the_lease_is_renewed_however_long_catching_up_takes(store, monkeypatch):
    started, go_on = threading.Event(), threading.Event()

    def slow(*_):
        started.set()
        go_on.wait(20)

    monkeypatch.setattr(running, "run_job", slow)
    monkeypatch.setattr(running, "RENEW_EVERY_S", 0.02)
    clock = FixedClock(NOON)
    runner = Runner(store, clock)
    runner.start()
    assert started.wait(20)

    clock.at = NOON + 2 * MINUTE  # longer than the lease lasts
    for _ in range(500):
        with store.read_session() as session:
            if lease.ends_at(session, lease.SCHEDULER) > clock.at:
                break
        time.sleep(0.01)
    another = Runner(store, clock).holds_lease()
    go_on.set()
    runner.stop()

    assert not another


def test_a_clock_that_is_set_back_stops_no_job(store):
    clock = FixedClock(SystemClock().now())
    runner = Runner(store, clock)
    runner._scheduler.start(paused=True)
    far = SystemClock().now() + timedelta(hours=3)
    runner._scheduler.modify_job("send-notices", next_run_time=far)

    runner._start_anew()

    wanted = runner._scheduler.get_job("send-notices").next_run_time
    runner._scheduler.shutdown(wait=False)
    assert wanted < SystemClock().now() + 2 * MINUTE


def test_good_runs_of_a_busy_job_are_kept_for_a_week_and_bad_ones_longer(any_store):
    clock = FixedClock(NOON)
    broken = JobSpec("often", "", f"{__name__}:failing", 0, 0, every_s=60)
    run_job(any_store, clock, EVERY_MINUTE)
    run_job(any_store, clock, broken)
    clock.at = NOON + 8 * DAY

    run_job(any_store, clock, EVERY_MINUTE)

    assert [run.outcome for run in runs_of(any_store, "often")] == ["failed", DONE]


@pytest.mark.parametrize(
    ("minutes", "said"), [(14, ()), (16, ("The job often last came to a good end",))]
)
def test_a_job_that_is_overdue_is_named(any_store, minutes, said):
    with any_store.write_session() as session:
        a_support(session)
    run_job(any_store, FixedClock(NOON), EVERY_MINUTE)
    watched = [EVERY_MINUTE.watched]

    with any_store.read_session() as session:
        found = trouble(session, watched, NOON + minutes * MINUTE)

    assert tuple(one[: len(said[0])] for one in found.jobs) == said


def test_a_job_that_failed_or_never_ran_or_was_left_by_its_process_is_named(store):
    with store.write_session() as session:
        a_support(session)
        lease.take(
            session, lease.SCHEDULER, holder="gone", now=NOON - DAY, lasts=LEASE_LASTS
        )
    run_job(store, FixedClock(NOON), JobSpec("bad", "", f"{__name__}:failing", 0, 0))
    watched = [Watched("bad", "", DAY), Watched("new", "", DAY)]

    with store.read_session() as session:
        silent, failed, never, *rest = trouble(session, watched, NOON).jobs

    assert "silent since" in silent
    assert "RuntimeError: the disk is full" in failed
    assert "bad has never" in never
    assert "new has never" in rest[0]


def test_nothing_is_missed_while_nothing_is_recorded(store):
    with store.read_session() as session:
        assert trouble(session, WATCHED, NOON).sentences == ()


def test_every_job_of_the_catalogue_is_watched():
    assert {one.job for one in WATCHED} == {spec.id for spec in JOBS}


def test_the_outside_watch_is_not_called_while_a_job_is_in_trouble(
    store, clock, monkeypatch, tmp_path
):
    called = []

    class Out:
        def post(self, url, body, headers):
            called.append(url)

    url = "https://watch.example/k"
    monkeypatch.setenv("UNDERPROP_HEARTBEAT_URL", url)
    monkeypatch.setenv("UNDERPROP_DATA_FOLDER", str(tmp_path))
    monkeypatch.setattr(tasks, "outward", lambda settings: Out())

    assert tasks.tell_outside_watch(store, clock) == "called"
    with store.write_session() as session:
        a_support(session)  # now a job is wanted, and none has run
    with pytest.raises(Exception, match="Not called"):
        tasks.tell_outside_watch(store, clock)

    assert called == [url]
