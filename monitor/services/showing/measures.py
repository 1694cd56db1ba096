"""A few numbers about the record, for whoever watches the machine."""

from monitor.store import Session
from monitor.store.records import ACCOUNTS, DUES, NOTICES, READINGS, STANDINGS, SUPPORTS
from monitor.store.stale import stale_supports


def measures(session: Session) -> dict[str, float]:
    """Name and number of each."""
    state = NOTICES.table.c.state
    standing = STANDINGS.table.c.standing
    return {
        "supports": SUPPORTS.count(session),
        "readings": READINGS.count(session),
        "accounts": ACCOUNTS.count(session),
        "dues": DUES.count(session),
        "make_safe": STANDINGS.count(session, standing == "make safe"),
        "waiting_for_assessment": len(stale_supports(session)),
        "notices_waiting": NOTICES.count(session, state == "waiting"),
        "notices_failed": NOTICES.count(session, state == "failed"),
    }
