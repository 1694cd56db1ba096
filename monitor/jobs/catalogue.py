"""Every job, its time and how late it may start. Times are UTC."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class JobSpec:
    """One job.

    Attributes
    ----------
    id : stable name, as in `underprop jobs`
    about : what it does, for people
    task : "module:function" of the function that does it
    hour, minute : when it runs, every day, UTC
    grace_s : how late it may still start [s]
    """

    id: str
    about: str
    task: str
    hour: int
    minute: int
    grace_s: int = 6 * 3600


JOBS = (
    JobSpec(
        "calibrate",
        "Fit the fleet's shared numbers and audit our own past forecasts.",
        "monitor.jobs.tasks:calibrate_fleet",
        hour=0,
        minute=40,
    ),
    JobSpec(
        "assess",
        "Assess every support anew and work out what is owed.",
        "monitor.jobs.tasks:assess_everything",
        hour=1,
        minute=10,
    ),
)
