"""What loggers sent, by civil day: one line a mark, quantity and day.

The line is the median of the day; its noise is the spread of the day, 1.4826 times the
median deviation (the normal standard deviation, Rousseeuw and Croux 1993), not divided
by the root of the count: what sways a post within a day sways its values together. A
logger stays where it is, so setting it on the mark again adds nothing.
"""

from collections.abc import Iterator, Sequence
from datetime import date, datetime
from typing import cast
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.domain.quantities import QUANTITIES
from monitor.store.models import Base

_T = Base.metadata.tables
TO_SD = 1.4826
KIND = "logger"


def logger_days(
    session: Session,
    support_ids: Sequence[UUID] | None,
    columns: Sequence[str],
    *,
    known_at: datetime | None = None,
) -> pd.DataFrame:
    """The days of all loggers, with the given columns of `readings_frame`."""
    rows = list(_rows(_values(session, support_ids, known_at)))
    return pd.DataFrame(rows, columns=list(columns))


def _values(
    session: Session, support_ids: Sequence[UUID] | None, known_at: datetime | None
) -> pd.DataFrame:
    """Every value: keys, civil day, value; the first of those of one instant."""
    batch, mark, member = _T["logger_batch"], _T["mark"], _T["member"]
    support, tree, site = _T["support"], _T["tree"], _T["site"]
    query = (
        sa.select(
            member.c.support_id,
            mark.c.member_id,
            batch.c.mark_id,
            batch.c.quantity,
            batch.c.content,
            site.c.timezone,
        )
        .join(mark, mark.c.id == batch.c.mark_id)
        .join(member, member.c.id == mark.c.member_id)
        .join(support, support.c.id == member.c.support_id)
        .join(tree, tree.c.id == support.c.tree_id)
        .join(site, site.c.id == tree.c.site_id)
        .order_by(batch.c.recorded_at, batch.c.id)
    )
    if support_ids is not None:
        query = query.where(member.c.support_id.in_(support_ids))
    if known_at is not None:
        query = query.where(batch.c.recorded_at <= known_at)
    parts = [
        pd.DataFrame(
            {
                "support_id": row.support_id,
                "member_id": row.member_id,
                "mark_id": row.mark_id,
                "quantity": row.quantity,
                "zone": row.timezone,
                "at": np.asarray(row.content["at"], dtype=np.float64),
                "value": np.asarray(row.content["value"], dtype=np.float64),
            }
        )
        for row in session.execute(query)
    ]
    if not parts:
        return pd.DataFrame()
    whole = pd.concat(parts, ignore_index=True)
    return whole.drop_duplicates(["mark_id", "quantity", "at"], keep="first")


def _rows(values: pd.DataFrame) -> Iterator[dict[str, object]]:
    if values.empty:
        return
    at = pd.to_datetime(values["at"], unit="s", utc=True)
    values = values.assign(day=_civil(at, values["zone"]))
    keys = ["support_id", "member_id", "mark_id", "quantity", "day"]
    for key, part in values.groupby(keys, sort=True):
        support_id, member_id, mark_id, name, day = cast("_Key", key)
        numbers = part["value"].to_numpy()
        median = float(np.median(numbers))
        spread = TO_SD * float(np.median(np.abs(numbers - median)))
        noise = QUANTITIES[name].noise.at(median)
        visit = uuid5(mark_id, f"{day}")
        yield {
            "support_id": support_id,
            "member_id": member_id,
            "mark_id": mark_id,
            "quantity": name,
            "inspected_on": day,
            "inspection_kind": KIND,
            "inspection_id": visit,
            "reading_id": uuid5(visit, name),
            "repeat": 1,
            "answer": "measured",
            "value": median,
            "relation": "=",
            "given": f"median of {numbers.size}",
            "method": KIND,
            "instrument_id": None,
            "sd_instrument": max(spread, noise.resolution),
            "sd_placement": 0.0,
            "resolution": noise.resolution,
            "inspector": KIND,
            "reason": "",
        }


_Key = tuple[UUID, UUID, UUID, str, date]


def _civil(at: pd.Series, zones: pd.Series) -> pd.Series:
    """Civil days at the sites."""
    days = pd.Series(index=at.index, dtype="object")
    for zone in zones.unique():
        chosen = zones == zone
        days[chosen] = at[chosen].dt.tz_convert(ZoneInfo(zone)).dt.date
    return days
