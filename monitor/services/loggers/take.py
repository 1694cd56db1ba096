"""Taking in what a logger sent: all of it or nothing, once however often it comes."""

import hashlib
import json
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID, uuid5

from monitor.clock import new_id
from monitor.domain.loggers import LoggerBatch
from monitor.domain.quantities import QUANTITIES
from monitor.errors import ImportRejected, RowProblem
from monitor.services.recording.checks import Stamp, plain
from monitor.store import Session, records
from monitor.store.ledger import append
from monitor.store.mark_names import Spot, spots_by_id, spots_of_supports
from monitor.store.stale import mark_stale

KEYS = ("mark", "quantity", "at", "value")
MOST_VALUES = 50_000
CLOCKS_DIFFER = timedelta(minutes=10)
_SENDINGS = UUID("5f6f3a52-0c1b-4a5e-9a56-7d1c1f1f7c11")


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of a sending.

    Attributes
    ----------
    sending : the same for the same content
    taken : how many values are in the record through it
    was_known : whether it had come before
    """

    sending: UUID
    taken: int
    was_known: bool


def take_sending(session: Session, rows: list[Any], stamp: Stamp) -> Taken:
    """Keep the values whole, and note that their supports want a new assessment.

    Parameters
    ----------
    rows : objects with mark (its id, or “S-0142/P1/face”), quantity, at (an instant
        with its zone) and value (a number in the canonical unit)

    Raises
    ------
    ImportRejected : naming every value that can not be taken; nothing is kept
    """
    sending = _sending_of(rows)
    known = records.LOGGER_BATCHES.all(
        session, records.LOGGER_BATCHES.table.c.sending == sending
    )
    if known:
        return Taken(sending, sum(batch.count for batch in known), was_known=True)
    series, supports = _series(session, rows, stamp)
    batches = [
        _batch(sending, key, values, stamp) for key, values in sorted(series.items())
    ]
    records.LOGGER_BATCHES.add(session, batches)
    counts = {f"{b.mark_id} {b.quantity}": b.count for b in batches}
    payload = {"sending": str(sending), "values": counts}
    append(
        session,
        [("logger values taken", f"sending {sending}", payload)],
        actor=stamp.actor,
        now=stamp.now,
    )
    mark_stale(session, supports, stamp.now)
    return Taken(sending, sum(counts.values()), was_known=False)


def _sending_of(rows: list[Any]) -> UUID:
    text = json.dumps(rows, sort_keys=True, ensure_ascii=True)
    return uuid5(_SENDINGS, hashlib.sha256(text.encode()).hexdigest())


Key = tuple[UUID, str]
Values = dict[float, float]


def _series(
    session: Session, rows: list[Any], stamp: Stamp
) -> tuple[dict[Key, Values], set[UUID]]:
    if not 1 <= len(rows) <= MOST_VALUES:
        expected = f"1 to {MOST_VALUES:,} values"
        raise _refused([RowProblem(0, "", str(len(rows)), expected)], len(rows))
    names = {row.get("mark") for row in rows if isinstance(row, dict)}
    spots = _spots(session, {name for name in names if isinstance(name, str)})
    series: dict[Key, Values] = {}
    problems: list[RowProblem] = []
    for number, row in enumerate(rows, 1):
        found = _value(row, number, spots, stamp.now)
        if isinstance(found, RowProblem):
            problems.append(found)
        else:
            key, at, value = found
            series.setdefault(key, {}).setdefault(at, value)
    if problems:
        raise _refused(problems, len(rows))
    marks = {key[0] for key in series}
    return series, {s.support_id for s in spots.values() if s.mark_id in marks}


def _value(
    row: object, number: int, spots: Mapping[str, Spot], now: datetime
) -> tuple[Key, float, float] | RowProblem:
    """One value under its series, or what is wrong with it."""
    if not isinstance(row, dict) or set(row) != set(KEYS):
        return RowProblem(number, "", f"{row!r:.60}", f"an object of {', '.join(KEYS)}")
    spot = spots.get(row["mark"]) if isinstance(row["mark"], str) else None
    if spot is None:
        expected = "the id of a mark, or “support/member/mark”"
        return RowProblem(number, "mark", f"{row['mark']!r:.60}", expected)
    name = row["quantity"]
    quantity = QUANTITIES.get(name) if isinstance(name, str) else None
    if quantity is None or spot.kind not in quantity.kinds:
        expected = f"a quantity that is read on a {spot.kind.value}"
        return RowProblem(number, "quantity", f"{name!r:.60}", expected)
    at = _instant(row["at"], spot.installed_on, now)
    if isinstance(at, str):
        return RowProblem(number, "at", f"{row['at']!r:.60}", at)
    value = row["value"]
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    if not (is_number and quantity.low <= value <= quantity.high):
        expected = (
            f"a number from {quantity.low:g} to {quantity.high:g} {quantity.unit}"
        )
        return RowProblem(number, "value", f"{value!r:.60}", expected)
    return (spot.mark_id, quantity.name), at, float(value)


def _instant(text: object, installed_on: date, now: datetime) -> float | str:
    expected = "an instant with its zone, such as 2031-05-14T09:30:00Z"
    try:
        at = datetime.fromisoformat(text) if isinstance(text, str) else None
    except ValueError:
        return expected
    if at is None or at.tzinfo is None:
        return expected
    if at > now + CLOCKS_DIFFER:
        return "no instant ahead of now; the clock of the logger is fast"
    if at.date() < installed_on - timedelta(days=1):
        return f"an instant from {installed_on}, when the member was installed"
    seconds = at.astimezone(UTC).timestamp()
    return seconds if math.isfinite(seconds) else expected


def _spots(session: Session, names: Iterable[str]) -> dict[str, Spot]:
    """Marks by the names that were used for them."""
    paths = {name: name.split("/", 2) for name in names if name.count("/") >= 2}
    codes = {parts[0] for parts in paths.values()}
    by_path = {
        (plain(s.support_code), plain(s.member_code), plain(s.mark_code)): s
        for s in spots_of_supports(session, sorted(codes))
    }
    found = {}
    for name, parts in paths.items():
        path = (plain(parts[0]), plain(parts[1]), plain(parts[2]))
        if path in by_path:
            found[name] = by_path[path]
    return found | _by_id(session, set(names) - set(found))


def _by_id(session: Session, names: set[str]) -> dict[str, Spot]:
    ids = {}
    for name in names:
        try:
            ids[UUID(name)] = name
        except ValueError:
            continue
    return {ids[spot.mark_id]: spot for spot in spots_by_id(session, sorted(ids))}


def _batch(sending: UUID, key: Key, values: Values, stamp: Stamp) -> LoggerBatch:
    at = sorted(values)
    return LoggerBatch(
        id=new_id(),
        sending=sending,
        mark_id=key[0],
        quantity=key[1],
        first_at=datetime.fromtimestamp(at[0], UTC),
        last_at=datetime.fromtimestamp(at[-1], UTC),
        count=len(at),
        content={"at": at, "value": [values[one] for one in at]},
        recorded_by=stamp.actor,
        recorded_at=stamp.now,
    )


def _refused(problems: list[RowProblem], sent: int) -> ImportRejected:
    return ImportRejected(
        f"Of {sent} values {len(problems)} can not be taken, so none was. First: "
        f"{problems[0]}.",
        problems=tuple(problems),
        code="log-001",
    )
