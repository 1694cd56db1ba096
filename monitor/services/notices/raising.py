"""Raising notices: each thing is told to each person once.

A notice is written together with the mark that it was raised, its key, so a run that
is repeated, killed or doubled raises nothing twice and loses nothing. No key is made of
the time of a run: a clock that is set back repeats nothing either.
"""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace
from datetime import datetime
from uuid import UUID

from monitor.domain.notices import (
    Notice,
    NoticeKind,
    NoticeState,
    Recipient,
)
from monitor.domain.vocabulary import Standing
from monitor.services.notices.blank import blank
from monitor.services.notices.digests import TOPIC, Digest, due_digests
from monitor.services.notices.matters import (
    Matter,
    Scene,
    matters,
    scene,
    standing_topic,
)
from monitor.services.notices.recipients import active_recipients
from monitor.store import Session, outbox
from monitor.store.outbox import Told

NOBODY = Told("", 0, 0)


def raise_notices(session: Session, *, now: datetime) -> int:
    """Raise everything that is owed telling now; how many notices were raised."""
    return raise_escalations(session, None, now=now) + raise_digests(session, now=now)


def raise_escalations(
    session: Session, support_ids: Collection[UUID] | None, *, now: datetime
) -> int:
    """Raise what must be told at once of these supports, of all if None.

    Called in the transaction that writes new standings and dues, it tells of them if
    and only if they are kept.
    """
    people = [one for one in active_recipients(session) if one.wants_escalations]
    if not people:
        return 0
    seen = scene(session, support_ids, now)
    found = matters(session, seen)
    raised = 0
    for person in people:
        _ease(session, person, seen, support_ids)
        mine = [matter for matter in found if answers_for(person, matter.site_id)]
        raised += outbox.add_new(session, _fresh(session, person, mine, now))
    return raised


def raise_digests(session: Session, *, now: datetime) -> int:
    """Raise the digests whose hour has come; how many have something to say."""
    raised = 0
    for digest in due_digests(session, now):
        notice = _digest_notice(digest, now)
        if outbox.add_new(session, [notice]) and digest.lines:
            outbox.fold_older_digests(session, notice, now)
            raised += 1
    return raised


def answers_for(person: Recipient, site_id: str) -> bool:
    """Whether the person answers for what stands on a site."""
    return not person.sites or site_id in person.sites


def _ease(
    session: Session,
    person: Recipient,
    seen: Scene,
    support_ids: Collection[UUID] | None,
) -> None:
    """Note which standings that were told have got better since."""
    ranks = {
        standing_topic(key): line.standing.rank
        for key, line in seen.lines.items()
        if line.standing is not None and line.standing.rank >= Standing.ACT.rank
    }
    asked = None if support_ids is None else set(map(standing_topic, support_ids))
    for topic, covers in outbox.covered_topics(session, person.id).items():
        rank = ranks.get(topic, 0)
        if rank < covers and (asked is None or topic in asked):
            outbox.lower_cover(session, person.id, topic, rank)


def _fresh(
    session: Session, person: Recipient, mine: Iterable[Matter], now: datetime
) -> Iterator[Notice]:
    """Notices of matters that the person has not been told yet."""
    by_topic = {matter.topic: matter for matter in mine}
    told = outbox.told(session, person.id, by_topic)
    for topic, matter in by_topic.items():
        before = told.get(topic, NOBODY)
        is_new = topic not in told or matter.period > before.newest
        if is_new or matter.covers > before.covers:
            period = matter.period or f"{before.times + 1:06}"
            key = f"{person.id} {topic} {period}"
            yield replace(
                blank(NoticeKind.ESCALATION, key, matter.subject, now),
                recipient_id=person.id,
                topic=topic,
                period=period,
                covers=matter.covers,
                is_urgent=matter.is_urgent,
                lines=(matter.line,),
            )


def _digest_notice(digest: Digest, now: datetime) -> Notice:
    key = f"{digest.person.id} {TOPIC} {digest.period}"
    return replace(
        blank(NoticeKind.DIGEST, key, digest.subject, now),
        recipient_id=digest.person.id,
        topic=TOPIC,
        period=digest.period,
        lines=digest.lines,
        state=NoticeState.WAITING if digest.lines else NoticeState.NOT_SENT,
    )
