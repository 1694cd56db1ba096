"""Runs of jobs: the newest of each, and the end of old ones."""

from datetime import datetime

import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.domain.running import JobRun
from monitor.store.records import JOB_RUNS

_T = JOB_RUNS.table


def last_run(session: Session, job: str, *outcomes: str) -> JobRun | None:
    """The newest run of a job that ended so, of any end if none is named."""
    wanted = [_T.c.outcome.in_(outcomes)] if outcomes else []
    newest = (
        sa.select(_T.c.id)
        .where(_T.c.job == job, *wanted)
        .order_by(_T.c.started_at.desc(), _T.c.id.desc())
        .limit(1)
    )
    found = JOB_RUNS.all(session, _T.c.id.in_(newest))
    return found[0] if found else None


def forget(session: Session, job: str, outcome: str, before: datetime) -> None:
    """Drop old runs of a job that runs all day long; they are no evidence."""
    session.execute(
        sa.delete(_T).where(
            _T.c.job == job, _T.c.outcome == outcome, _T.c.started_at < before
        )
    )
