"""Every job, its time and how late it may start. Times are UTC."""

from dataclasses import dataclass
from datetime import timedelta

from monitor.domain.running import Watched

SILENCE_OF_DAILY = timedelta(hours=26)
SHORTEST_SILENCE = timedelta(minutes=15)
MISSED = 3
"""Turns in a row that may be missed before somebody must look; own choice."""


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
    every_s : run all day long, so often, instead; 0 for once a day [s]
    """

    id: str
    about: str
    task: str
    hour: int
    minute: int
    grace_s: int = 6 * 3600
    every_s: int = 0

    @property
    def times(self) -> str:
        """When it runs, in words."""
        if self.every_s:
            return f"every {self.every_s // 60} min"
        return f"daily at {self.hour:02}:{self.minute:02} UTC"

    @property
    def watched(self) -> Watched:
        """How long it may be silent."""
        often = max(SHORTEST_SILENCE, timedelta(seconds=MISSED * self.every_s))
        silence = often if self.every_s else SILENCE_OF_DAILY
        return Watched(self.id, self.about, silence)


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
    JobSpec(
        "raise-notices",
        "Find what people are to be told: digests, and what can not wait.",
        "monitor.jobs.tasks:raise_owed_notices",
        hour=0,
        minute=0,
        every_s=300,
    ),
    JobSpec(
        "send-notices",
        "Send the notices that wait, and try again what did not go.",
        "monitor.jobs.tasks:send_waiting_notices",
        hour=0,
        minute=0,
        every_s=60,
    ),
    JobSpec(
        "note-calendars",
        "Note what each calendar shows, so that what leaves it is called off.",
        "monitor.jobs.tasks:note_calendars",
        hour=0,
        minute=0,
        every_s=3600,
    ),
    JobSpec(
        "heartbeat",
        "Tell the outside watch that the jobs run, while they do.",
        "monitor.jobs.tasks:tell_outside_watch",
        hour=0,
        minute=0,
        every_s=300,
    ),
    JobSpec(
        "keep-checkpoint",
        "Write down what the ledger is tonight.",
        "monitor.jobs.keeping:keep_checkpoint_of_today",
        hour=2,
        minute=0,
    ),
    JobSpec(
        "back-up",
        "Back the record up and restore the backup for trial.",
        "monitor.jobs.keeping:back_up_record",
        hour=2,
        minute=10,
    ),
    JobSpec(
        "look-at-photographs",
        "Hash a thirtieth of the photographs and mend what is broken.",
        "monitor.jobs.keeping:look_at_photographs",
        hour=2,
        minute=40,
    ),
)

WATCHED = tuple(spec.watched for spec in JOBS)
