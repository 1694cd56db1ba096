"""The bodies of the jobs: one session, one service, one summary line.

Each asks what is wanted now, so a run that comes late, twice or after a kill does no
harm and misses nothing.
"""

from monitor.clock import Clock
from monitor.errors import MonitorError
from monitor.jobs.catalogue import WATCHED
from monitor.services.assessing.assess import assess
from monitor.services.assessing.calibrate import adopt, calibrate
from monitor.services.notices.post import outward, post_of
from monitor.services.notices.raising import raise_notices
from monitor.services.notices.sending import send_notices
from monitor.services.planning.calendar_memory import note_shown
from monitor.services.showing.running import trouble
from monitor.settings import from_environ
from monitor.store import Store, records

AT_ONCE = 50


def calibrate_fleet(store: Store, clock: Clock) -> str:
    """Fit the fleet's shared numbers anew and audit past forecasts."""
    with store.read_session() as session:
        found = calibrate(session, now=clock.now())
    if found is None:
        return "nothing is recorded yet"
    with store.write_session() as session:
        adopt(session, found)
    failing = sum(audit.verdict in {"widened", "refused"} for audit in found.audits)
    return f"groups audited: {len(found.audits)}; forecasts held back: {failing}"


def assess_everything(store: Store, clock: Clock) -> str:
    """Assess the whole installed base anew and work out what is owed.

    Some supports at a time, so that nobody waits long to record something.
    """
    with store.read_session() as session:
        supports = [support.id for support in records.SUPPORTS.all(session)]
    series = 0
    for start in range(0, len(supports), AT_ONCE):
        with store.write_session() as session:
            some = supports[start : start + AT_ONCE]
            series += assess(session, some, now=clock.now())
    with store.read_session() as session:
        owed = records.DUES.count(session)
    return f"series assessed: {series}; inspections owed: {owed}"


def raise_owed_notices(store: Store, clock: Clock) -> str:
    """Raise what people are to be told now."""
    with store.write_session() as session:
        return f"notices raised: {raise_notices(session, now=clock.now())}"


def send_waiting_notices(store: Store, clock: Clock) -> str:
    """Send what waits; how it went with each is written beside it."""
    return str(send_notices(store, post_of(from_environ(), clock), clock))


def note_calendars(store: Store, clock: Clock) -> str:
    """Note what each calendar shows and what has gone out of it."""
    with store.write_session() as session:
        return f"calendar entries changed: {note_shown(session, now=clock.now())}"


def tell_outside_watch(store: Store, clock: Clock) -> str:
    """Call the outside watch, unless a job is in trouble: its silence is the alarm.

    Raises
    ------
    MonitorError : another job failed or is overdue, so nothing was called
    """
    settings = from_environ()
    if not settings.heartbeat_url:
        return "no outside watch is set"
    others = tuple(one for one in WATCHED if one.job != "heartbeat")
    with store.read_session() as session:
        found = trouble(session, others, clock.now())
    if found.jobs:
        raise MonitorError(f"Not called: {' '.join(found.jobs)}", code="job-002")
    outward(settings).post(settings.heartbeat_url, b"", {"User-Agent": "Underprop"})
    return "called"
