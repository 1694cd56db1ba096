"""The fleet's shared numbers as fitted one night, and how past forecasts did."""

from dataclasses import dataclass
from datetime import datetime

from monitor.domain.vocabulary import MemberKind


@dataclass(frozen=True, slots=True)
class GroupAudit:
    """How our own forecasts of one group of series did, on this record.

    Attributes
    ----------
    series, kind : the group: what is read, on which kind of member
    tried, held : 90 % forecasts of the next reading, and those that held it
    half_tried, half_held : likewise, foretold from the first half of each record
    bend_t : t value of a bend shared by those that move; None if not tried
    noise_ratio : found noise / declared noise; None if not known
    ours, last_value, fleet_mean : interval scores at one step, lower is better; of
        our forecast, of "as last time", of "as last time plus the mean rate"
    verdict, sentence : what follows, in a word and in words
    """

    series: str
    kind: MemberKind
    tried: int
    held: int
    half_tried: int
    half_held: int
    bend_t: float | None
    noise_ratio: float | None
    ours: float | None
    last_value: float | None
    fleet_mean: float | None
    verdict: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Calibration:
    """One night's fit: the numbers that outlooks are computed with from then on.

    Attributes
    ----------
    version : name that the outlooks carry
    readings : how many it was fitted on
    numbers : the numbers themselves, groups by "series, kind"
    """

    version: str
    fitted_at: datetime
    readings: int
    numbers: dict[str, object]
    audits: tuple[GroupAudit, ...]
