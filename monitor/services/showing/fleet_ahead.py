"""What the coming years bring: parts at the end of their time, limits reached."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from monitor.store.fleet_lines import MemberLine, SeriesLine

YEARS = 10


@dataclass(frozen=True, slots=True)
class YearAhead:
    """What one year brings.

    Attributes
    ----------
    worn : parts whose maker's replacement date falls into it
    likely : supports that most likely reach an act limit in it
    soonest : supports that at the earliest, the 5 % date, reach one in it
    """

    year: int
    worn: int
    likely: int
    soonest: int


def years_ahead(
    members: Sequence[MemberLine],
    series: Sequence[SeriesLine],
    replace_by: Mapping[UUID, str],
    today: date,
) -> tuple[YearAhead, ...]:
    """Ten years from this one; what should have happened before falls into the first.

    Each support counts once, in the year of its earliest date.
    """
    standing = {m.member_id: m for m in members if m.removed_on is None}
    worn = [
        date.fromisoformat(text[:10])
        for key, text in replace_by.items()
        if key in standing and _is_day(text)
    ]
    likely: dict[UUID, date] = {}
    soonest: dict[UUID, date] = {}
    for line in series:
        support = standing[line.member_id].support_id
        for on, found in ((line.act_median_on, likely), (line.act_early_on, soonest)):
            if on is not None:
                found[support] = min(on, found.get(support, on))
    counts = [
        Counter(max(on.year, today.year) for on in days)
        for days in (worn, likely.values(), soonest.values())
    ]
    return tuple(
        YearAhead(year, *(count[year] for count in counts))
        for year in range(today.year, today.year + YEARS)
    )


def _is_day(text: str) -> bool:
    try:
        date.fromisoformat(text[:10])
    except ValueError:
        return False
    return True
