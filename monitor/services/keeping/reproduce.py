"""Do the outlooks come out the same again? A sample is worked out anew and compared.

Only supports whose facts have not changed since are asked, and only outlooks that were
worked out with the method and the shared numbers now in force.
"""

import math
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import fields
from datetime import datetime
from uuid import UUID

from monitor.clock import local_date
from monitor.domain.conclusions import Outlook
from monitor.services.assessing.calibrate import numbers_in_force
from monitor.services.assessing.fleet import load_fleet
from monitor.services.assessing.histories import longest_interval_years
from monitor.services.assessing.outlooks import outlooks_of_series
from monitor.services.assessing.series import series_of
from monitor.services.planning.policy import policy_in_force
from monitor.store import Session, records
from monitor.store.ledger_check import Broken
from monitor.store.stale import stale_supports

CLOSE = 1e-9
_NOT_COMPARED = {"computed_at", "details", "sentence"}


def different_outlooks(
    session: Session, supports: int, progress: Callable[[str, int], None]
) -> Iterator[Broken]:
    """Outlooks of the sample that come out different, to 1e-9."""
    done = 0
    for at, keys in _sample(session, supports).items():
        column = records.OUTLOOKS.table.c.support_id
        stored = records.OUTLOOKS.all(session, column.in_(keys))
        fresh = {
            (outlook.mark_id, outlook.series): outlook
            for outlook in _worked_out(session, keys, at)
        }
        for outlook in stored:
            again = fresh.get((outlook.mark_id, outlook.series))
            yield from _compared(session, outlook, again)
        done += len(keys)
        progress("supports assessed anew", done)


def _sample(session: Session, supports: int) -> dict[datetime, list[UUID]]:
    """Supports spread evenly over the record, by when they were assessed."""
    stale = stale_supports(session)
    assessed = {
        standing.support_id: standing.computed_at
        for standing in records.STANDINGS.all(session)
        if standing.support_id not in stale
    }
    keys = sorted(assessed)
    step = max(1, len(keys) // supports) if supports else 0
    found: dict[datetime, list[UUID]] = defaultdict(list)
    for key in keys[::step][:supports] if step else ():
        found[assessed[key]].append(key)
    return found


def _worked_out(session: Session, keys: list[UUID], at: datetime) -> list[Outlook]:
    fleet = load_fleet(session, keys)
    table = series_of(session, fleet)
    days = {key: local_date(at, site.timezone) for key, site in fleet.sites.items()}
    policy = policy_in_force(session)
    longest = {
        key: longest_interval_years(fleet, key, policy) for key in fleet.supports
    }
    return outlooks_of_series(table, days, longest, numbers_in_force(session), at)


def _compared(
    session: Session, stored: Outlook, again: Outlook | None
) -> Iterator[Broken]:
    if again is None:
        yield Broken("outlook", _name(session, stored), "it does not come out again.")
        return
    same_method = stored.method_version == again.method_version
    if not same_method or stored.input_version != again.input_version:
        return
    for name in (field.name for field in fields(stored)):
        old, new = getattr(stored, name), getattr(again, name)
        if name not in _NOT_COMPARED and not _is_close(old, new):
            why = f"its {name} was {old} and comes out as {new}."
            yield Broken("outlook", _name(session, stored), why)
            return


def _is_close(old: object, new: object) -> bool:
    if isinstance(old, float) and isinstance(new, float):
        return math.isclose(old, new, rel_tol=CLOSE, abs_tol=CLOSE)
    return old == new


def _name(session: Session, outlook: Outlook) -> str:
    support = records.SUPPORTS.get(session, outlook.support_id)
    return f"{support.code} {outlook.series}"
