"""How long members stand and coatings last: Kaplan-Meier, by what they share.

A member's life runs from its installation to the day it was taken out, for whatever
reason: worn, replaced, no longer needed, the tree gone. A coating's life runs to the
first repaint of its member. Whatever still stands today, and a coating whose member
was taken out unpainted, counts as lasting at least so long (right-censored).
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

import pandas as pd

from monitor.domain.vocabulary import MemberKind, WorkKind
from monitor.store import Session
from monitor.store.fleet_lines import MemberLine, facts_named, works_of_kind

YEAR_DAYS = 365.25
FEW = 10
"""Fewer members than this are called few; common practice, no source."""

FEW_ENDS = 5
NOT_NOTED = "not noted"
GROUPINGS = ("kind", "installer", "exposure", "soil", "coating")
_COATED = frozenset({MemberKind.POST, MemberKind.PIN, MemberKind.ROD})


@dataclass(frozen=True, slots=True)
class Life:
    """How long one thing has lasted, and whether that was its end. [years]"""

    years: float
    has_ended: bool


@dataclass(frozen=True, slots=True)
class Survival:
    """The share that lasts, of one group.

    Attributes
    ----------
    steps : years with the share still there and its 95 % bounds, oldest step first
    median_years : None while more than half last longer than any was watched
    at_20 : share after 20 years with bounds, None if nothing was watched so long
    longest_years : of all lives, ended or not
    """

    name: str
    count: int
    ended: int
    steps: tuple[tuple[float, float, float, float], ...]
    median_years: float | None
    at_20: tuple[float, float, float] | None
    longest_years: float

    @property
    def is_few(self) -> bool:
        """Whether it is too few to compare with others."""
        return self.count < FEW or self.ended < FEW_ENDS


@dataclass(frozen=True, slots=True)
class Grouped:
    """Members with the word each is grouped by, for one way of grouping."""

    by: str
    words: Mapping[UUID, str]

    def of(self, line: MemberLine) -> str:
        """The word of one member."""
        return self.words.get(line.member_id) or NOT_NOTED


def grouping(session: Session, lines: Sequence[MemberLine], by: str) -> Grouped:
    """The word that each member is grouped by."""
    if by == "coating":
        return Grouped(by, facts_named(session, "coating")["coating"])
    return Grouped(by, {line.member_id: _word(line, by) for line in lines})


def _word(line: MemberLine, by: str) -> str:
    if by == "exposure":
        return line.exposure.value if line.exposure else ""
    return {"installer": line.installer, "soil": line.soil}.get(by, line.kind.value)


def member_survival(
    lines: Iterable[MemberLine], groups: Grouped, today: date
) -> tuple[Survival, ...]:
    """How long members stand, the largest group first."""
    lives: dict[str, list[Life]] = defaultdict(list)
    for line in lines:
        if line.installed_on <= today:
            ended = line.removed_on is not None and line.removed_on <= today
            end = line.removed_on if ended and line.removed_on else today
            lives[groups.of(line)].append(_life(line.installed_on, end, ended))
    return _survivals(lives)


def coating_survival(
    session: Session, lines: Iterable[MemberLine], today: date
) -> tuple[Survival, ...]:
    """How long coatings last before the first repaint, the largest group first."""
    coatings = facts_named(session, "coating")["coating"]
    painted = _first_paint(session)
    lives: dict[str, list[Life]] = defaultdict(list)
    for line in lines:
        coating = coatings.get(line.member_id, "")
        if not coating or coating == "none" or line.kind not in _COATED:
            continue
        end = min(line.removed_on or today, today)
        days = (painted.get(line.member_id), painted.get(line.support_id))
        paint = min(
            (on for on in days if on is not None and line.installed_on < on <= end),
            default=None,
        )
        if line.installed_on <= end:
            lives[coating].append(
                _life(line.installed_on, paint or end, paint is not None)
            )
    return _survivals(lives)


def survival_of(name: str, lives: Sequence[Life]) -> Survival:
    """The share that lasts, with its log-log bounds.

    References
    ----------
    .. [1] E. L. Kaplan, P. Meier, Nonparametric estimation from incomplete
       observations, J. Am. Stat. Assoc. 53 (1958), 457-481; bounds of the exponential
       Greenwood formula as lifelines states them
    """
    from lifelines import KaplanMeierFitter  # type: ignore[import-untyped]  # slow

    years = [life.years for life in lives]
    ends = [life.has_ended for life in lives]
    longest = max(years)
    if not any(ends):
        steps = ((0.0, 1.0, 1.0, 1.0), (longest, 1.0, 1.0, 1.0))
        at_20 = (1.0, _none_ended_low(years, 20.0), 1.0) if longest >= 20 else None
        return Survival(name, len(lives), 0, steps, None, at_20, longest)
    fitted = KaplanMeierFitter(alpha=0.05).fit(years, ends)
    table = fitted.survival_function_.join(fitted.confidence_interval_)
    found = tuple(_steps(table, longest))
    half = next((year for year, share, *_ in found if share <= 0.5), None)
    at_20 = _at(found, 20.0, longest)
    if at_20 is not None and at_20[0] == 1.0:
        at_20 = (1.0, _none_ended_low(years, 20.0), 1.0)
    return Survival(name, len(lives), sum(ends), found, half, at_20, longest)


def _none_ended_low(years: Sequence[float], at: float) -> float:
    """Lower 95 % bound of a share of which none ended: 3 in n, the rule of three.

    References
    ----------
    .. [1] J. A. Hanley, A. Lippman-Hand, If nothing goes wrong, is everything all
       right?, JAMA 249 (1983), 1743-1745
    """
    watched = sum(year >= at for year in years)
    return max(0.0, 1 - 3 / watched) if watched else 0.0


def _survivals(lives: Mapping[str, Sequence[Life]]) -> tuple[Survival, ...]:
    found = [survival_of(name, group) for name, group in lives.items()]
    return tuple(sorted(found, key=lambda one: (-one.count, one.name)))


def _life(start: date, end: date, ended: bool) -> Life:
    return Life(max((end - start).days, 0) / YEAR_DAYS, ended)


def _first_paint(session: Session) -> dict[UUID, date]:
    """Day of the first repaint by member, or by support where none was named."""
    first: dict[UUID, date] = {}
    for support_id, member_id, on in works_of_kind(session, WorkKind.REPAINT):
        first.setdefault(member_id or support_id, on)
    return first


def _steps(
    table: pd.DataFrame, longest: float
) -> Iterable[tuple[float, float, float, float]]:
    last = None
    for year, share, low, high in table.itertuples(name=None):
        row = (float(share), float(low), float(high))
        if row != last:
            yield (float(year), *row)
        last = row
    if last is not None:
        yield (longest, *last)


def _at(
    steps: Sequence[tuple[float, float, float, float]], year: float, longest: float
) -> tuple[float, float, float] | None:
    if longest < year:
        return None
    share, low, high = [row[1:] for row in steps if row[0] <= year][-1]
    return share, low, high
