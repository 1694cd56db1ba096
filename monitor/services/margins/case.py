"""What the record says of one member, and what a margin makes of it.

Each thing a margin stands on carries whether it was measured, recorded or assumed. What
is measured beats what is recorded, and that beats what is assumed; what can be neither
found nor fairly assumed is refused, and the refusal says what would be needed.
"""

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

import numpy as np

from monitor.domain.conclusions import Outlook
from monitor.domain.places import Site, Tree
from monitor.domain.supports import Fact, Member
from monitor.services.assessing.arrays import DAYS_PER_YEAR

NAN = float("nan")


class Basis(StrEnum):
    """How something came to be known."""

    MEASURED = "measured"
    RECORDED = "recorded"
    ASSUMED = "assumed"


@dataclass(frozen=True, slots=True)
class Input:
    """One thing that a margin stands on.

    Attributes
    ----------
    label, value : as people say it, the value with its unit
    why : when it was read, or by whose word it was assumed
    """

    label: str
    value: str
    basis: Basis
    why: str


@dataclass(frozen=True, slots=True)
class Run:
    """Readings of one quantity at one mark since the last work that broke its line.

    Attributes
    ----------
    mark : code of the mark
    starts_on : the work, or the installation
    on : days, oldest first
    values, values_y : as read; the second axis is NaN unless tilt [unit]
    noise : standard deviation of each reading [unit]
    """

    mark: str
    starts_on: date
    on: tuple[date, ...]
    values: tuple[float, ...]
    values_y: tuple[float, ...]
    noise: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Known:
    """All that the record says of one member and that a margin may stand on.

    Attributes
    ----------
    facts : by name
    runs : readings by series, doubted ones left out
    outlooks : by series
    today : at the site
    """

    member: Member
    site: Site
    tree: Tree
    facts: dict[str, Fact]
    runs: dict[str, tuple[Run, ...]]
    outlooks: dict[str, tuple[Outlook, ...]]
    today: date

    @property
    def label(self) -> str:
        """Kind and code, such as “post P1”."""
        return f"{self.member.kind} {self.member.code}"

    def number(self, name: str) -> float:
        """An as-built number, NaN where it is not recorded."""
        fact = self.facts.get(name)
        return NAN if fact is None or fact.number is None else fact.number

    def word(self, name: str) -> str:
        """An as-built word, empty where it is not recorded."""
        fact = self.facts.get(name)
        return fact.given.strip() if fact is not None else ""

    def years_since(self, on: date) -> float:
        """Years from a day to today."""
        return (self.today - on).days / DAYS_PER_YEAR


@dataclass(frozen=True, slots=True)
class Metal:
    """How metal goes: belief before readings, and the readings.

    Attributes
    ----------
    new_mm, new_sd_mm : wall, or radius, as new [mm]
    rate_um, rate_sd_um : first-year loss of bare steel [um/y]
    bare_years : since the steel lies bare, today; below zero while zinc lasts [y]
    on_years : of the readings, from today, below zero [y]
    read_mm, noise_mm : the readings [mm]
    starts_on : day from which this holds: the work, or the installation
    gone_mm : taken away on top of it, for a question of what if [mm]
    """

    new_mm: float = NAN
    new_sd_mm: float = NAN
    rate_um: float = NAN
    rate_sd_um: float = NAN
    bare_years: float = 0.0
    on_years: tuple[float, ...] = ()
    read_mm: tuple[float, ...] = ()
    noise_mm: tuple[float, ...] = ()
    starts_on: date = date.min
    gone_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Load:
    """Service load today and how it goes on.

    Attributes
    ----------
    now_n : today [N]; NaN where not known
    log_sd : standard deviation of its logarithm
    diameter_mm, gain_mm_year : of the limb today; weight grows with the square
    rise_n_year : straight rise, where a limb plays no part [N/y]
    """

    now_n: float = NAN
    log_sd: float = 0.0
    diameter_mm: float = 1.0
    gain_mm_year: float = 0.0
    rise_n_year: float = 0.0


@dataclass(frozen=True, slots=True)
class Lean:
    """Lean today and its yearly change, each with its spread [mm/m, mm/m/y].

    Attributes
    ----------
    seen : lean as read on earlier days, years from today below zero
    moved_mm_m : how far it is from where it was first read
    """

    now_mm_m: float = 0.0
    now_sd_mm_m: float = 0.0
    pace_mm_m: float = 0.0
    pace_sd_mm_m: float = 0.0
    seen: tuple[tuple[float, float], ...] = ()
    moved_mm_m: float = 0.0


@dataclass(frozen=True, slots=True)
class Case:
    """One member as the mechanics wants it.

    Attributes
    ----------
    numbers : facts by the mechanics' own names; NaN where not known
    inputs : what is shown beside the answer
    refused : why there can be no answer, by what it concerns
    assumed, missing : sentences beside those of the mechanics
    """

    known: Known
    numbers: dict[str, float]
    metal: Metal = field(default_factory=Metal)
    load: Load = field(default_factory=Load)
    lean: Lean = field(default_factory=Lean)
    inputs: tuple[Input, ...] = ()
    refused: dict[str, str] = field(default_factory=dict)
    assumed: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()


@dataclass
class Findings:
    """What is gathered while a case is put together."""

    inputs: list[Input] = field(default_factory=list)
    refused: dict[str, str] = field(default_factory=dict)
    assumed: list[str] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)

    def measured(self, label: str, value: str, why: str) -> None:
        """Note what was read."""
        self.inputs.append(Input(label, value, Basis.MEASURED, why))

    def recorded(self, label: str, value: str, why: str = "as built") -> None:
        """Note what was written down when it was built."""
        self.inputs.append(Input(label, value, Basis.RECORDED, why))

    def taken(self, label: str, value: str, why: str) -> None:
        """Note what was taken for granted."""
        self.inputs.append(Input(label, value, Basis.ASSUMED, why))


def is_known(value: float) -> bool:
    """Whether there is a number."""
    return bool(np.isfinite(value))
