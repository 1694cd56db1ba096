"""Setting the watch and act values of one support in place of the defaults."""

from dataclasses import dataclass
from datetime import datetime

from monitor.clock import new_id
from monitor.domain.quantities import SERIES, SERIES_LABEL, Quantity
from monitor.domain.supports import LimitOverride
from monitor.domain.vocabulary import Harm, LimitBasis
from monitor.services.recording.checks import (
    Problem,
    Wanted,
    near,
    number,
    one_of,
    plain,
    refuse,
    word,
)
from monitor.services.recording.commands import LimitCommand
from monitor.services.recording.dossier import dossier_of
from monitor.services.recording.ledger_values import values_of
from monitor.store import Session, records
from monitor.store.ledger import append
from monitor.store.stale import mark_stale


def set_limit(
    session: Session, command: LimitCommand, *, actor: str, now: datetime
) -> LimitOverride:
    """Set watch and act values for one series of a support, with the reason.

    The defaults are common practice at best; whoever sets a limit answers for it.

    Raises
    ------
    NotFound : no such support, naming the nearest codes
    InvalidInput : naming everything that is wrong; nothing is written
    """
    support = dossier_of(session, command.support).support
    levels = _levels(command, f"The limit of {support.code}")
    standing = records.LIMIT_OVERRIDES.table.c
    replaced = records.LIMIT_OVERRIDES.current(
        session, standing.support_id == support.id, standing.series == levels.series
    )
    limit = LimitOverride(
        id=new_id(),
        support_id=support.id,
        series=levels.series,
        basis=levels.basis,
        watch=levels.watch,
        act=levels.act,
        reason=command.reason.strip(),
        recorded_at=now,
        supersedes_id=replaced[0].id if replaced else None,
    )
    records.LIMIT_OVERRIDES.add(session, [limit])
    change = ("limit set", f"support {support.code}", values_of(limit))
    append(session, [change], actor=actor, now=now)
    mark_stale(session, [support.id], now)
    return limit


@dataclass(frozen=True, slots=True)
class Levels:
    """Checked watch and act values. [unit of the quantity, or fraction]."""

    series: str
    basis: LimitBasis
    watch: float
    act: float


def _levels(command: LimitCommand, what: str) -> Levels:
    series, basis = _named(command, what)
    quantity = SERIES[series][0]
    watch = _level(basis, quantity, command.watch)
    act = _level(basis, quantity, command.act)
    said = (("watch", command.watch, watch), ("act", command.act, act))
    refuse(what, [Problem(n, text, no) for n, text, no in said if isinstance(no, str)])
    if isinstance(watch, str) or isinstance(act, str):
        raise TypeError("a level that is no number was refused above")
    if not _is_worse(quantity, basis, watch, act):
        expected = "a level that is reached after the watch level"
        refuse(what, [Problem("act", command.act, expected)])
    return Levels(series, basis, watch, act)


def _named(command: LimitCommand, what: str) -> tuple[str, LimitBasis]:
    problems = []
    series = _SERIES.get(plain(command.series.replace("_", " ")), "")
    if not series:
        hint = near(command.series, SERIES) or f": {', '.join(SERIES)}"
        problems.append(Problem("series", command.series, f"a series{hint}"))
    basis = word(LimitBasis, command.basis)
    if basis is None:
        problems.append(Problem("basis", command.basis, one_of(LimitBasis)))
    if not command.reason.strip():
        problems.append(Problem("reason", "", "why these values"))
    refuse(what, problems)
    return series, basis or LimitBasis.ABSOLUTE


def _level(basis: LimitBasis, quantity: Quantity, text: str) -> float | str:
    """A level as typed; changes and fractions are never negative."""
    match basis:
        case LimitBasis.ABSOLUTE:
            low, high, unit = quantity.low, quantity.high, quantity.unit
        case LimitBasis.CHANGE:
            low, high, unit = 0.0, quantity.high - quantity.low, quantity.unit
        case LimitBasis.FRACTION:
            low, high, unit = 0.0, 10.0, "%"
    scale = 0.01 if basis is LimitBasis.FRACTION else 1.0
    wanted = Wanted(quantity.label, unit, low / scale, high / scale)
    measure = number(text, unit, wanted)
    return measure if isinstance(measure, str) else measure.value * scale


def _is_worse(quantity: Quantity, basis: LimitBasis, watch: float, act: float) -> bool:
    """Whether `act` lies beyond `watch` on the harmful side."""
    falls = quantity.harm is Harm.DOWN and basis is not LimitBasis.CHANGE
    return act < watch if falls else act > watch


_SERIES = {plain(name.replace("_", " ")): name for name in SERIES} | {
    plain(label): name for name, label in SERIES_LABEL.items()
}
