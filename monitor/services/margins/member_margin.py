"""The margin of one member as everyone downstream reads it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from monitor.mechanics.screening import CAUTION
from monitor.services.assessing.arrays import later
from monitor.services.margins.case import Case, Input


@dataclass(frozen=True, slots=True)
class MemberMargin:
    """The use of strength of one member; 1 is all there is.

    Attributes
    ----------
    years : from today, below zero in the past [y]; what follows goes with them
    use, low, high : middle, 5 % and 95 %; empty where refused
    over_one : probability that the use is above 1
    parts : which part governs
    judged : every part that the method looks at
    wall_mm : what is left of wall or radius, in the middle [mm]
    load_kn, lean_mm_m : as taken for each year
    early_years : when the probability reaches 5 %, from today;
        infinite when not in sight
    refused : why there is no answer, and what would be needed
    other : the same by another published method that leaves more room; None where
        only one method is at hand
    """

    case: Case
    years: tuple[float, ...]
    use: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    over_one: tuple[float, ...]
    parts: tuple[str, ...]
    judged: tuple[str, ...]
    wall_mm: tuple[float, ...]
    load_kn: tuple[float, ...]
    lean_mm_m: tuple[float, ...]
    early_years: float
    method: str
    assumed: tuple[str, ...]
    missing: tuple[str, ...]
    refused: tuple[str, ...]
    other: "MemberMargin | None" = None
    caution: str = CAUTION

    @property
    def by(self) -> str:
        """Short name of the method."""
        return self.method.partition(",")[0]

    @property
    def inputs(self) -> tuple[Input, ...]:
        """What it stands on: measured, recorded or assumed."""
        return self.case.inputs

    @property
    def early_on(self) -> date | None:
        """The day the probability reaches 5 %, None when not within the years."""
        if self.refused or not np.isfinite(self.early_years):
            return None
        return later(self.case.known.today, self.early_years)

    def at(self, year: float) -> int:
        """Where the column of a year stands."""
        return self.years.index(year)

    def by_method(self, method: str) -> "MemberMargin":
        """The answer of one method, this one where it gave none."""
        if self.other is not None and self.other.method == method:
            return self.other
        return self


def narrowest(answers: Sequence[MemberMargin]) -> MemberMargin:
    """The answer with least room, the other beside it; a refusal is the least."""
    worst, *others = sorted(answers, key=_room)
    return replace(worst, other=others[0]) if others else worst


def _room(margin: MemberMargin) -> tuple[bool, float, float]:
    if margin.refused:
        return False, 0.0, 0.0
    return True, margin.early_years, -margin.use[margin.at(0.0)]
