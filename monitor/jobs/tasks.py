"""The bodies of the jobs: one session, one service, one summary line.

Each asks what is wanted now, so a run that comes late, twice or after a kill does no
harm and misses nothing.
"""

from monitor.clock import Clock
from monitor.services.assess import assess_all
from monitor.services.plan import plan_all
from monitor.store import Store


def assess_everything(store: Store, clock: Clock) -> str:
    """Reassess the whole installed base, then work out every due."""
    now = clock.now()
    with store.write_session() as session:
        series = assess_all(session, now=now)
        dues = plan_all(session, now=now)
    return f"{series} series assessed, {dues} inspections planned"
