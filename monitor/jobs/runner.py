"""Runs the catalogue in one process. A second process waits and takes over.

APScheduler gives the times only; a job runs under the lease, each run is recorded, and
a failure is kept with its reason instead of ending the process.
"""

import logging
import os
import socket
import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from importlib import import_module

from apscheduler.schedulers.background import BackgroundScheduler
from apscheduler.triggers.cron import CronTrigger
from apscheduler.triggers.interval import IntervalTrigger

from monitor.clock import Clock, new_id
from monitor.domain.running import JobRun
from monitor.jobs.catalogue import JOBS, JobSpec
from monitor.store import Store, job_runs, lease, records

LEASE = lease.SCHEDULER
LEASE_LASTS = timedelta(seconds=90)
RENEW_EVERY_S = 30
PATIENCE_S = 60.0
CATCH_UP_AFTER = timedelta(days=1)
SET_BACK = timedelta(minutes=1)
KEEP_RUNS = timedelta(days=7)
"""How long good runs of a job that runs all day long are kept; own choice."""

DONE, FAILED, RUNNING = "done", "failed", "running"

log = logging.getLogger(__name__)


class Runner:
    """The scheduler of this process.

    Parameters
    ----------
    store : the database that holds the lease and the runs
    clock : what time it is
    """

    def __init__(self, store: Store, clock: Clock) -> None:
        self.store = store
        self.clock = clock
        self.holder = f"{socket.gethostname()} {os.getpid()} {new_id()}"
        self._stop = threading.Event()
        self._ended = threading.Event()
        self._keeper = threading.Thread(
            target=self._keep_lease, name="lease", daemon=True
        )
        self._catcher: threading.Thread | None = None
        self._scheduler = BackgroundScheduler(timezone="UTC")
        for spec in JOBS:
            self._scheduler.add_job(
                self._run_if_mine,
                _trigger(spec),
                args=[spec],
                id=spec.id,
                replace_existing=True,
                misfire_grace_time=spec.grace_s,
                coalesce=True,
                max_instances=1,
            )

    def start(self) -> None:
        """Begin in the background; what was missed while down is caught up."""
        self._scheduler.start()
        self._keeper.start()

    def stop(self, *, patience_s: float = PATIENCE_S) -> None:
        """End, and free the lease; a job that runs on longer than that is left.

        What it had not written yet is worked out anew at the next start.
        """
        self._stop.set()
        self._keeper.join(timeout=patience_s)
        if self._catcher is not None:
            self._catcher.join(timeout=patience_s)
        self._ended.set()
        self._scheduler.shutdown(wait=False)
        with self.store.write_session() as session:
            lease.give_back(session, LEASE, holder=self.holder)

    def holds_lease(self) -> bool:
        """Take or renew the lease."""
        with self.store.write_session() as session:
            return lease.take(
                session,
                LEASE,
                holder=self.holder,
                now=self.clock.now(),
                lasts=LEASE_LASTS,
            )

    def _keep_lease(self) -> None:
        held, before = False, self.clock.now()
        while not self._stop.is_set():
            try:
                now = self.clock.now()
                if now < before - SET_BACK:
                    self._start_anew()
                before = now
                holds = self.holds_lease()
                if holds and not held:
                    self._begin_catching_up()
                held = holds
            except Exception:  # the database may be away for a while
                log.exception("The lease could not be renewed; trying again.")
                held = False
            self._stop.wait(RENEW_EVERY_S)

    def _start_anew(self) -> None:
        """Count every job's next time from a clock that was set back."""
        log.warning("The clock was set back; the times of the jobs are counted anew.")
        for spec in JOBS:
            self._scheduler.reschedule_job(spec.id, trigger=_trigger(spec))

    def _begin_catching_up(self) -> None:
        """Beside the keeper, so that the lease is renewed however long it takes."""
        if self._catcher is None or not self._catcher.is_alive():
            self._catcher = threading.Thread(
                target=self._catch_up, name="catch up", daemon=True
            )
            self._catcher.start()

    def _catch_up(self) -> None:
        for spec in JOBS:
            last = last_done(self.store, spec.id)
            is_missed = (
                last is None or last.started_at < self.clock.now() - CATCH_UP_AFTER
            )
            if is_missed and not spec.every_s:
                self._run_if_mine(spec)

    def _run_if_mine(self, spec: JobSpec) -> None:
        if not self._ended.is_set() and self.holds_lease():
            run_job(self.store, self.clock, spec)


def run_job(store: Store, clock: Clock, spec: JobSpec) -> JobRun:
    """Run one job now and record how it went; a failure is recorded, not raised."""
    run = JobRun(new_id(), spec.id, clock.now(), None, RUNNING, "")
    with store.write_session() as session:
        records.JOB_RUNS.add(session, [run])
    try:
        outcome, summary = DONE, _task(spec)(store, clock)
    except Exception as error:  # a failed job must not end the process
        log.exception("Job %s failed", spec.id)
        outcome, summary = FAILED, f"{type(error).__name__}: {error}"
    run = replace(run, finished_at=clock.now(), outcome=outcome, summary=summary)
    with store.write_session() as session:
        records.JOB_RUNS.change(session, run)
        if spec.every_s:
            job_runs.forget(session, spec.id, DONE, clock.now() - KEEP_RUNS)
    return run


def runs_of(store: Store, job: str) -> list[JobRun]:
    """Every recorded run of a job, oldest first."""
    with store.read_session() as session:
        return records.JOB_RUNS.all(session, records.JOB_RUNS.table.c.job == job)


def last_done(store: Store, job: str) -> JobRun | None:
    """The last run that came to a good end."""
    with store.read_session() as session:
        return job_runs.last_run(session, job, DONE)


def _trigger(spec: JobSpec) -> CronTrigger | IntervalTrigger:
    if spec.every_s:
        return IntervalTrigger(seconds=spec.every_s, timezone="UTC")
    return CronTrigger(hour=spec.hour, minute=spec.minute, timezone="UTC")


def _task(spec: JobSpec) -> Callable[[Store, Clock], str]:
    module, _, name = spec.task.partition(":")
    task: Callable[[Store, Clock], str] = getattr(import_module(module), name)
    return task
