"""The bodies of the jobs: one session, one service, one summary line.

Each asks what is wanted now, so a run that comes late, twice or after a kill does no
harm and misses nothing.
"""

from monitor.clock import Clock
from monitor.services.assess import assess_all
from monitor.services.calibrate import calibrate
from monitor.store import Store, records


def calibrate_fleet(store: Store, clock: Clock) -> str:
    """Fit the fleet's shared numbers anew and audit past forecasts."""
    with store.write_session() as session:
        found = calibrate(session, now=clock.now())
    if found is None:
        return "nothing is recorded yet"
    failing = sum(audit.verdict in {"widened", "refused"} for audit in found.audits)
    return f"groups audited: {len(found.audits)}; forecasts held back: {failing}"


def assess_everything(store: Store, clock: Clock) -> str:
    """Assess the whole installed base anew and work out what is owed."""
    with store.write_session() as session:
        series = assess_all(session, now=clock.now())
        owed = records.DUES.count(session)
    return f"series assessed: {series}; inspections owed: {owed}"
