"""The bodies of the jobs: one session, one service, one summary line.

Each asks what is wanted now, so a run that comes late, twice or after a kill does no
harm and misses nothing.
"""

from monitor.clock import Clock
from monitor.services.assessing.assess import assess
from monitor.services.assessing.calibrate import adopt, calibrate
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
