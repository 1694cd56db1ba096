"""The outbox: notices are claimed, sent and settled, each by one process at a time.

Every step is one conditional UPDATE, so that of several processes at most one gets it,
on SQLite and PostgreSQL alike.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session

from monitor.domain.notices import Notice, NoticeKind, NoticeState
from monitor.store import records
from monitor.store.records import NOTICES, notice_values

_T = NOTICES.table
LASTS = timedelta(minutes=10)
"""How long a claim holds: longer than one sending can take."""

_AT_ONCE = 500
_WAITING = _T.c.state == sa.literal(NoticeState.WAITING, _T.c.state.type)


@dataclass(frozen=True, slots=True)
class Told:
    """What one person has been told on one topic.

    Attributes
    ----------
    newest : the highest period told
    covers : the highest rank that was told and has not passed since
    times : how many notices there were
    """

    newest: str
    covers: int
    times: int


@dataclass(frozen=True, slots=True)
class Claim:
    """Who claims, and when."""

    holder: str
    now: datetime


def add_new(session: Session, notices: Iterable[Notice]) -> int:
    """Write those whose key is not there yet; how many were written."""
    offered = {notice.key: notice for notice in notices}
    known: set[str] = set()
    for some in _chunks(list(offered)):
        query = sa.select(_T.c.key).where(_T.c.key.in_(some))
        known.update(session.execute(query).scalars())
    fresh = [notice for key, notice in offered.items() if key not in known]
    if fresh:
        values = [notice_values(notice) for notice in fresh]
        session.execute(_insert(session).on_conflict_do_nothing(), values)
    return len(fresh)


def told(
    session: Session, recipient_id: UUID, topics: Iterable[str]
) -> dict[str, Told]:
    """What the person was told on these topics; topics never told are left out."""
    found: dict[str, Told] = {}
    for some in _chunks(list(topics)):
        query = (
            sa.select(
                _T.c.topic,
                sa.func.max(_T.c.period),
                sa.func.max(_T.c.covers),
                sa.func.count(),
            )
            .where(_T.c.recipient_id == recipient_id, _T.c.topic.in_(some))
            .group_by(_T.c.topic)
        )
        found |= {topic: Told(*rest) for topic, *rest in session.execute(query)}
    return found


def covered_topics(session: Session, recipient_id: UUID) -> dict[str, int]:
    """Topics on which what was told still stands, and the rank it told of."""
    query = (
        sa.select(_T.c.topic, sa.func.max(_T.c.covers))
        .where(_T.c.recipient_id == recipient_id, _T.c.covers > 0)
        .group_by(_T.c.topic)
    )
    return {str(topic): int(covers) for topic, covers in session.execute(query)}


def lower_cover(session: Session, recipient_id: UUID, topic: str, rank: int) -> None:
    """Note that what was told has eased to that rank."""
    mine = (_T.c.recipient_id == recipient_id) & (_T.c.topic == topic)
    session.execute(sa.update(_T).where(mine, _T.c.covers > rank).values(covers=rank))


def sendable(session: Session, now: datetime, longest: timedelta) -> list[Notice]:
    """Notices that wait and whose time has come, oldest first.

    Parameters
    ----------
    longest : delay between two tries; a time further ahead was noted by a clock that
        has been set back since, and counts as come
    """
    later = (_T.c.next_try_at > now) & (_T.c.next_try_at <= now + longest)
    return NOTICES.all(session, _WAITING, ~later)


def claim(session: Session, notice: Notice, by: Claim, message_id: str) -> bool:
    """Take a notice for sending; False if somebody else has it or it is done."""
    values: dict[str, Any] = {
        "claimed_by": by.holder,
        "claimed_until": by.now + LASTS,
        "attempts": _T.c.attempts + 1,
    }
    if not notice.message_id:
        values["message_id"] = message_id
    query = sa.update(_T).where(_T.c.id == notice.id, _WAITING, _free(by))
    return _changed(session, query.values(**values)) == 1


def fold(session: Session, into: Notice, by: Claim, others: Sequence[Notice]) -> None:
    """Let a claimed notice carry others along, those that nobody has tried yet."""
    for some in _chunks([other.id for other in others]):
        query = sa.update(_T).where(
            _T.c.id.in_(some), _WAITING, _T.c.attempts == 0, _free(by)
        )
        session.execute(query.values(state=NoticeState.FOLDED, folded_into_id=into.id))


def fold_older_digests(session: Session, newer: Notice, now: datetime) -> None:
    """A newer digest takes the place of those that still wait."""
    query = sa.update(_T).where(
        _T.c.recipient_id == newer.recipient_id,
        _T.c.kind == sa.literal(NoticeKind.DIGEST, _T.c.kind.type),
        _T.c.id != newer.id,
        _WAITING,
        _free(Claim("", now)),
    )
    session.execute(query.values(state=NoticeState.FOLDED, folded_into_id=newer.id))


def carried(session: Session, notice_id: UUID) -> list[Notice]:
    """The notices that one carries along, oldest first."""
    return NOTICES.all(session, _T.c.folded_into_id == notice_id)


def settle(
    session: Session, notice_id: UUID, holder: str, values: dict[str, Any]
) -> bool:
    """Write how a sending went; False if the claim had passed to another."""
    mine = (_T.c.id == notice_id) & (_T.c.claimed_by == holder) & _WAITING
    free = {"claimed_by": "", "claimed_until": None}
    return _changed(session, sa.update(_T).where(mine).values(**values, **free)) == 1


def call_off(session: Session, notice_id: UUID, now: datetime) -> None:
    """Send a waiting notice no more: the person does not want it."""
    query = sa.update(_T).where(_T.c.id == notice_id, _WAITING)
    session.execute(query.values(state=NoticeState.NOT_SENT, ended_at=now))


def try_again(session: Session, notice_id: UUID, now: datetime) -> bool:
    """Put a failed notice back into the queue, with its Message-ID."""
    failed = _T.c.state == sa.literal(NoticeState.FAILED, _T.c.state.type)
    query = sa.update(_T).where(_T.c.id == notice_id, failed)
    values = {"state": NoticeState.WAITING, "attempts": 0, "next_try_at": now}
    return _changed(session, query.values(**values, ended_at=None)) == 1


def sent_since(session: Session, recipient_id: UUID, since: datetime) -> int:
    """How many escalations went to a person since then, urgent ones left out."""
    return NOTICES.count(
        session,
        _T.c.recipient_id == recipient_id,
        _T.c.state == sa.literal(NoticeState.SENT, _T.c.state.type),
        _T.c.kind == sa.literal(NoticeKind.ESCALATION, _T.c.kind.type),
        _T.c.is_urgent == sa.literal(False, _T.c.is_urgent.type),
        _T.c.ended_at > since,
    )


def in_state(session: Session, state: NoticeState) -> list[Notice]:
    """Every notice in that state, oldest first."""
    return NOTICES.all(session, _T.c.state == sa.literal(state, _T.c.state.type))


def newest(session: Session, most: int, recipient_id: UUID | None) -> list[Notice]:
    """The newest notices, newest first; of everybody if no person is named."""
    mine = [] if recipient_id is None else [_T.c.recipient_id == recipient_id]
    query = sa.select(_T.c.id).where(*mine).order_by(_T.c.id.desc()).limit(most)
    ids = list(session.execute(query).scalars())
    return NOTICES.all(session, _T.c.id.in_(ids))[::-1]


def people(session: Session) -> dict[UUID, str]:
    """Names of all who are told, by id."""
    return {one.id: one.name for one in records.RECIPIENTS.all(session)}


def _free(by: Claim) -> sa.ColumnElement[bool]:
    """Claimed by nobody, or by somebody whose time is over.

    A claim that ends further ahead than a claim can last was made before the clock was
    set back, and is over, too.
    """
    until = _T.c.claimed_until
    held = (until > by.now) & (until <= by.now + LASTS)
    return until.is_(None) | ~held


def _insert(session: Session) -> sqlite.Insert | postgresql.Insert:
    is_sqlite = session.get_bind().dialect.name == "sqlite"
    return sqlite.insert(_T) if is_sqlite else postgresql.insert(_T)


def _changed(session: Session, query: sa.Update) -> int:
    result: Any = session.execute(query)  # the count is there for an UPDATE only
    return int(result.rowcount)


def _chunks(items: list[Any]) -> list[list[Any]]:
    return [items[at : at + _AT_ONCE] for at in range(0, len(items), _AT_ONCE)]
