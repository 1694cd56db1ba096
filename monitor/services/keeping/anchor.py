"""Taking rows into the ledger that were there before it vouched for rows.

Done once, when a database is brought up from a revision that had no row hashes. The
entries say what they are, so nobody takes them for the moment of recording.
"""

from datetime import datetime

from monitor.store import Session
from monitor.store.ledger import append
from monitor.store.ledger_rows import unvouched_rows

ANCHORED = "rows anchored"


def anchor(session: Session, *, before: str, actor: str, now: datetime) -> int:
    """Vouch for every row that no entry vouches for; how many there were.

    Parameters
    ----------
    before : revision the database came from
    """
    done = 0
    for table, count in unvouched_rows(session):
        payload = {"table": table, "rows": count, "from_revision": before}
        append(session, [(ANCHORED, table, payload)], actor=actor, now=now)
        done += count
    return done
