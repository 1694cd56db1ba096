"""Whole frames for the analysis and the charts: one query, declared columns.

Every function takes `known_at`: what the record said at that instant, None for now.
"""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

import pandas as pd
import sqlalchemy as sa
from sqlalchemy.orm import Session

from monitor.domain.vocabulary import Answer
from monitor.store.logger_days import logger_days
from monitor.store.models import Base
from monitor.store.repository import as_known

_T = Base.metadata.tables

_READING_COLUMNS = {
    "support_id": "object",
    "member_id": "object",
    "mark_id": "object",
    "quantity": "str",
    "inspected_on": "object",
    "inspection_kind": "str",
    "inspection_id": "object",
    "reading_id": "object",
    "repeat": "int64",
    "answer": "str",
    "value": "float64",
    "relation": "str",
    "given": "str",
    "method": "str",
    "instrument_id": "object",
    "sd_instrument": "float64",
    "sd_placement": "float64",
    "resolution": "float64",
    "inspector": "str",
    "reason": "str",
}


def readings_frame(
    session: Session,
    support_ids: Sequence[UUID] | None = None,
    *,
    known_at: datetime | None = None,
) -> pd.DataFrame:
    """Every reading that stands, whatever its answer, oldest first.

    Returns
    -------
    Columns as in `_READING_COLUMNS`: ids are UUID objects, `inspected_on` are dates,
    `value` and the noise parts are floats in the canonical unit (NaN if not measured).
    Withdrawn readings and those of withdrawn inspections are left out.
    """
    reading, inspection = _T["reading"], _T["inspection"]
    mark, member = _T["mark"], _T["member"]
    query = (
        sa.select(
            inspection.c.support_id,
            mark.c.member_id,
            reading.c.mark_id,
            reading.c.quantity,
            inspection.c.inspected_on,
            inspection.c.kind.label("inspection_kind"),
            inspection.c.root_id.label("inspection_id"),
            reading.c.id.label("reading_id"),
            reading.c.repeat,
            reading.c.answer,
            reading.c.value,
            reading.c.relation,
            reading.c.given,
            reading.c.method,
            reading.c.instrument_id,
            reading.c.sd_instrument,
            reading.c.sd_placement,
            reading.c.resolution,
            inspection.c.inspector,
            reading.c.reason,
        )
        .join(inspection, inspection.c.root_id == reading.c.inspection_id)
        .join(mark, mark.c.id == reading.c.mark_id)
        .join(member, member.c.id == mark.c.member_id)
        .where(
            reading.c.answer != Answer.WITHDRAWN,
            inspection.c.withdrawn == sa.literal(False, inspection.c.withdrawn.type),
            *as_known(reading, known_at),
            *as_known(inspection, known_at),
        )
        .order_by(
            inspection.c.support_id,
            reading.c.mark_id,
            reading.c.quantity,
            inspection.c.inspected_on,
            reading.c.repeat,
        )
    )
    if support_ids is not None:
        query = query.where(inspection.c.support_id.in_(support_ids))
    frame = _frame(session, query, _READING_COLUMNS)
    return _with_loggers(session, frame, support_ids, known_at)


def _with_loggers(
    session: Session,
    frame: pd.DataFrame,
    support_ids: Sequence[UUID] | None,
    known_at: datetime | None,
) -> pd.DataFrame:
    """The same with the days of loggers among them; unchanged where there are none."""
    days = logger_days(session, support_ids, list(_READING_COLUMNS), known_at=known_at)
    if days.empty:
        return frame
    whole = pd.concat([frame, days.astype(_READING_COLUMNS)], ignore_index=True)
    order = ["support_id", "mark_id", "quantity", "inspected_on", "repeat"]
    return whole.sort_values(order, ignore_index=True)


_SEGMENT_COLUMNS = {"mark_id": "object", "series": "str", "starts_on": "object"}


def segments_frame(
    session: Session,
    support_ids: Sequence[UUID] | None = None,
    *,
    known_at: datetime | None = None,
) -> pd.DataFrame:
    """Where series start anew: columns mark_id, series, starts_on; oldest first."""
    segment, work = _T["segment"], _T["work"]
    query = (
        sa.select(segment.c.mark_id, segment.c.series, segment.c.starts_on)
        .join(work, work.c.root_id == segment.c.work_id)
        .where(
            work.c.withdrawn == sa.literal(False, work.c.withdrawn.type),
            *as_known(segment, known_at),
            *as_known(work, known_at),
        )
        .order_by(segment.c.mark_id, segment.c.series, segment.c.starts_on)
    )
    if support_ids is not None:
        query = query.where(work.c.support_id.in_(support_ids))
    return _frame(session, query, _SEGMENT_COLUMNS)


def _frame(
    session: Session, query: sa.Select[tuple[object, ...]], columns: dict[str, str]
) -> pd.DataFrame:
    rows = session.execute(query).all()
    frame = pd.DataFrame.from_records(
        [tuple(row) for row in rows], columns=list(columns)
    )
    return frame.astype(columns)
