"""The bodies of the jobs: one session, one service, one summary line.

Each asks what is wanted now, so a run that comes late, twice or after a kill does no
harm and misses nothing.
"""

from monitor.clock import Clock
from monitor.services.assess import assess_all
from monitor.store import Store, records


def assess_everything(store: Store, clock: Clock) -> str:
    """Assess the whole installed base anew and work out what is owed."""
    with store.write_session() as session:
        series = assess_all(session, now=clock.now())
        owed = records.DUES.count(session)
    return f"series assessed: {series}; inspections owed: {owed}"
