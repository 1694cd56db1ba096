"""How a support stands, with reasons in words.

The rules are common practice without a published source; they err towards looking.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from monitor.domain.conclusions import Outlook
from monitor.domain.percent import chance, percent
from monitor.domain.quantities import SERIES_LABEL
from monitor.domain.vocabulary import Grade, Standing

MOVING_EVIDENCE = 20.0
ACT_AHEAD = timedelta(days=365)
WATCH_AHEAD = timedelta(days=5 * 365)
MARGIN_AHEAD = timedelta(days=10 * 365)
MARGIN_LEVEL = 0.05
MANY = 10.0

_OF_GRADE = {
    Grade.WATCH: Standing.WATCH,
    Grade.ACT: Standing.ACT,
    Grade.MAKE_SAFE: Standing.MAKE_SAFE,
}


@dataclass(frozen=True, slots=True)
class OpenFinding:
    """A finding that still stands."""

    label: str
    grade: Grade
    seen_on: date


@dataclass(frozen=True, slots=True)
class MarginWord:
    """What the margin of one member has to say; screening only.

    Attributes
    ----------
    label : kind and code, such as "post P1"
    part : which part is nearest to what is allowed, such as "tube"
    use : what it carries over what is allowed, today, in the middle
    over_today : probability that this is above 1 today
    early_on : when that probability reaches 5 %, None if not in sight
    """

    label: str
    part: str
    use: float
    over_today: float
    early_on: date | None


@dataclass(frozen=True, slots=True)
class Verdict:
    """Standing with the reasons that brought it, gravest first."""

    standing: Standing
    reasons: tuple[str, ...]


def standing_of(
    outlooks: tuple[Outlook, ...],
    findings: tuple[OpenFinding, ...],
    today: date,
    margins: tuple[MarginWord, ...] = (),
) -> Verdict:
    """The worst that readings, open findings and margins say of a support, and why."""
    said = [_of_outlook(outlook, today) for outlook in outlooks]
    said += [_of_finding(finding) for finding in findings]
    said += [_of_margin(margin, today) for margin in margins]
    spoken = sorted(
        ((s, why) for s, why in said if s is not Standing.HOLDING),
        key=lambda pair: -pair[0].rank,
    )
    if spoken:
        return Verdict(spoken[0][0], tuple(dict.fromkeys(why for _, why in spoken)))
    if not any(outlook.readings for outlook in outlooks):
        return Verdict(
            Standing.WATCH,
            ("Nothing has been measured here yet: a baseline is wanted.",),
        )
    return Verdict(
        Standing.HOLDING,
        ("No limit reached and none in sight on the readings so far.",),
    )


def _of_finding(finding: OpenFinding) -> tuple[Standing, str]:
    standing = _OF_GRADE.get(finding.grade, Standing.HOLDING)
    return standing, f"Found on {finding.seen_on:%-d %B %Y}: {finding.label}."


def _of_margin(margin: MarginWord, today: date) -> tuple[Standing, str]:
    if margin.use > 1.0 or margin.over_today > MARGIN_LEVEL:
        return (
            Standing.ACT,
            f"By the screening, the {margin.part} of {margin.label} carries "
            f"{_share(margin.use)} of what is allowed, and more than is allowed with "
            f"{chance(margin.over_today)} probability.",
        )
    early = margin.early_on
    if early is not None and early <= today + MARGIN_AHEAD:
        return (
            Standing.WATCH,
            f"By the screening, the {margin.part} of {margin.label} may carry more "
            f"than is allowed by {early.year} at the 5 % bound.",
        )
    return Standing.HOLDING, ""


def _share(use: float) -> str:
    return percent(use) if use < MANY else f"more than {MANY:.0f} times"


def _of_outlook(outlook: Outlook, today: date) -> tuple[Standing, str]:
    what = SERIES_LABEL[outlook.series]
    if (outlook.p_beyond_act or 0.0) >= 0.5:
        if _is_worsening(outlook):
            return (
                Standing.MAKE_SAFE,
                f"The {what} is beyond its act limit and still growing.",
            )
        return Standing.ACT, f"The {what} is beyond its act limit."
    early = outlook.act_on.early
    if early is not None and early <= today + ACT_AHEAD:
        return (
            Standing.ACT,
            f"The {what} may reach its act limit by {early:%B %Y} at the fast bound.",
        )
    return _watched(outlook, what, today)


def _watched(outlook: Outlook, what: str, today: date) -> tuple[Standing, str]:
    early = outlook.act_on.early
    if outlook.unconfirmed and _newest_is_beyond(outlook):
        return (
            Standing.ACT,
            f"The newest {what} reading lies beyond the act limit; the others do not "
            "bear it out: repeat it at once.",
        )
    if outlook.readings and outlook.level is None and outlook.refusal:
        stop = "" if outlook.refusal.endswith("?") else "."
        return Standing.WATCH, f"The {what} has no answer: {outlook.refusal}{stop}"
    if (outlook.p_beyond_watch or 0.0) >= 0.5:
        return Standing.WATCH, f"The {what} is beyond its watch limit."
    if outlook.unconfirmed:
        return Standing.WATCH, f"The newest {what} reading is doubtful: repeat it."
    if early is not None and early <= today + WATCH_AHEAD:
        return (
            Standing.WATCH,
            f"The {what} may reach its act limit by {early.year} at the fast bound.",
        )
    if (outlook.evidence or 0.0) > MOVING_EVIDENCE and _is_worsening(outlook):
        return Standing.WATCH, f"The {what} is changing beyond doubt."
    return Standing.HOLDING, ""


def _newest_is_beyond(outlook: Outlook) -> bool:
    """Whether the newest reading, taken at its word, is past the act limit."""
    newest = outlook.details.get("newest")
    if not isinstance(newest, float) or outlook.act_level is None:
        return False
    if outlook.watch_level is not None and outlook.act_level < outlook.watch_level:
        return newest < outlook.act_level
    return newest > outlook.act_level


def _is_worsening(outlook: Outlook) -> bool:
    """Whether the level moves towards the act limit with 95 % probability."""
    if outlook.rate_low is None or outlook.rate_high is None:
        return False
    if outlook.series == "tilt":
        return outlook.rate_low > 0
    if (
        outlook.act_level is None
        or outlook.level is None
        or outlook.watch_level is None
    ):
        return False
    upward = outlook.act_level >= outlook.watch_level
    return outlook.rate_low > 0 if upward else outlook.rate_high < 0
