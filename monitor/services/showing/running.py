"""Whether the program itself does its part: jobs that ran, notices that arrived."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from monitor.domain.notices import Notice, NoticeState
from monitor.domain.running import JobRun, Watched
from monitor.store import Session, job_runs, lease, outbox, records

DONE, FAILED = "done", "failed"
FAILED_FOR = timedelta(days=30)
"""How long a failed notice is shown; own choice."""

STUCK_AFTER = timedelta(hours=24)
"""A notice that waits so long wants a look: longer than all tries; own choice."""


@dataclass(frozen=True, slots=True)
class Trouble:
    """What is wrong, each in a sentence.

    Attributes
    ----------
    jobs : overdue or failed, or the process that runs them gone
    notices : failed, or waiting for too long
    failed : the notices that failed
    """

    jobs: tuple[str, ...]
    notices: tuple[str, ...]
    failed: tuple[Notice, ...]

    @property
    def sentences(self) -> tuple[str, ...]:
        """All of it."""
        return (*self.jobs, *self.notices)


def trouble(session: Session, watched: Sequence[Watched], now: datetime) -> Trouble:
    """Look for jobs that failed or are overdue, and notices that did not arrive.

    Nothing is missed while nothing is recorded that a job could look at.
    """
    failed = tuple(
        notice
        for notice in outbox.in_state(session, NoticeState.FAILED)
        if (notice.ended_at or now) > now - FAILED_FOR
    )
    jobs = (
        tuple(_jobs(session, watched, now)) if records.SUPPORTS.count(session) else ()
    )
    return Trouble(jobs, tuple(_notices(session, failed, now)), failed)


def _jobs(session: Session, watched: Sequence[Watched], now: datetime) -> Iterator[str]:
    ends_at = lease.ends_at(session, lease.SCHEDULER)
    if ends_at is not None and ends_at < now - timedelta(minutes=2):
        yield (
            f"The process that runs the jobs has been silent since {_at(ends_at)}; "
            "start “underprop serve” or “underprop jobs run”."
        )
    if watched and not any(job_runs.last_run(session, one.job) for one in watched):
        yield (
            "No job has run yet. Each runs at its hour while “underprop serve” or "
            "“underprop jobs run” is running."
        )
        return
    for one in watched:
        last = job_runs.last_run(session, one.job, DONE, FAILED)
        if last is not None and last.outcome == FAILED:
            yield f"The job {one.job} failed at {_at(last.started_at)}: {last.summary}"
        good = job_runs.last_run(session, one.job, DONE)
        if good is None:
            yield f"The job {one.job} has never come to a good end."
        elif now - _ended(good) > one.silence:
            yield f"The job {one.job} last came to a good end at {_at(_ended(good))}."


def _notices(
    session: Session, failed: Sequence[Notice], now: datetime
) -> Iterator[str]:
    names = outbox.people(session)
    for notice in failed:
        name = names.get(notice.recipient_id) if notice.recipient_id else None
        yield (
            f"A notice to {name or 'the fallback contact'} failed at "
            f"{_at(notice.ended_at or now)}: {notice.subject}. {notice.error}"
        )
    stuck = [
        notice
        for notice in outbox.in_state(session, NoticeState.WAITING)
        if notice.raised_at < now - STUCK_AFTER
    ]
    if stuck:
        yield (
            f"Notices that wait for more than a day: {len(stuck)}; is a mail server "
            "or the secret of the webhooks set?"
        )


def _ended(run: JobRun) -> datetime:
    return run.finished_at or run.started_at


def _at(moment: datetime) -> str:
    return f"{moment:%-d %B %Y, %H:%M} UTC"
