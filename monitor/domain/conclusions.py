"""What the analysis concludes. Every one of these can be computed again from facts."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from monitor.domain.vocabulary import InspectionKind, Standing


@dataclass(frozen=True, slots=True)
class Dates:
    """When a level is reached. None means not within 100 years.

    Attributes
    ----------
    early, median, late : 5 %, half and 95 % dates
    """

    early: date | None
    median: date | None
    late: date | None


@dataclass(frozen=True, slots=True)
class Outlook:
    """What the analysis says of one series, in its current segment.

    Attributes
    ----------
    level, level_sd : estimated now [unit of the quantity]; for tilt, away from baseline
    rate, rate_low, rate_high : median and 90 % interval [unit per year]
    evidence : e-value against "it is still"; above 20 counts as moving
    watch_on, act_on : dates of reaching the limits
    p_beyond_watch, p_beyond_act : probability that the level is beyond already
    expected, expected_low, expected_high : next reading, 90 %, on `expected_on`
    unconfirmed : whether the newest reading is doubtful and wants a repeat
    look_again_on : the date by which the readings want another look, None if refused
    refusal : why nothing is concluded, in words; empty if something is
    sentence : all of this in one sentence
    method_version, input_version : what computed it, and from what
    details : what the pages draw: fan, weights, class probabilities
    """

    mark_id: UUID
    series: str
    support_id: UUID
    computed_for: date
    readings: int
    level: float | None
    level_sd: float | None
    rate: float | None
    rate_low: float | None
    rate_high: float | None
    evidence: float | None
    watch_level: float | None
    act_level: float | None
    watch_on: Dates
    act_on: Dates
    p_beyond_watch: float | None
    p_beyond_act: float | None
    expected_on: date | None
    expected: float | None
    expected_low: float | None
    expected_high: float | None
    unconfirmed: bool
    look_again_on: date | None
    look_rule: str
    refusal: str
    sentence: str
    method_version: str
    input_version: str
    details: dict[str, object]
    computed_at: datetime


@dataclass(frozen=True, slots=True)
class Due:
    """An inspection that is owed.

    Attributes
    ----------
    opens_on, due_on, late_on : the window
    serious_on : from when it is seriously late
    rule : code of the rule that governs
    sentence : why, in one sentence
    reasons : every rule that spoke, with its date, earliest first
    """

    support_id: UUID
    kind: InspectionKind
    opens_on: date
    due_on: date
    late_on: date
    serious_on: date
    rule: str
    sentence: str
    reasons: tuple[tuple[str, date, str], ...]
    computed_at: datetime


@dataclass(frozen=True, slots=True)
class SupportStanding:
    """How a support stands, gravest reason first."""

    support_id: UUID
    standing: Standing
    reasons: tuple[str, ...]
    computed_for: date
    computed_at: datetime
