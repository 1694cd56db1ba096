"""The series of a support: what is measured where, in which unit, how often."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from monitor.domain.quantities import QUANTITIES, SERIES_LABEL
from monitor.domain.vocabulary import Answer
from monitor.services.showing.support import find_support
from monitor.store import Session, records
from monitor.store.frames import readings_frame


@dataclass(frozen=True, slots=True)
class SeriesLine:
    """One series at one mark.

    Attributes
    ----------
    unit : canonical; values of readings and levels of outlooks are in it
    readings : numbers that stand, without looks that brought none
    """

    mark_id: UUID
    member: str
    mark: str
    series: str
    label: str
    unit: str
    readings: int
    first_on: date
    last_on: date


def series_lines(session: Session, code: str) -> list[SeriesLine]:
    """Every series with at least one number, by member, mark and series.

    Raises
    ------
    NotFound : no support has that code
    """
    support = find_support(session, code)
    rows = readings_frame(session, [support.id])
    rows = rows[rows["answer"] == Answer.MEASURED.value]
    series = rows["quantity"].map({n: q.series_name for n, q in QUANTITIES.items()})
    members = records.MEMBERS.all(
        session, records.MEMBERS.table.c.support_id == support.id
    )
    codes = {member.id: member.code for member in members}
    found = []
    for (_, name), some in rows.groupby([rows["mark_id"], series]):
        mark = records.MARKS.get(session, some["mark_id"].iloc[0])
        days = some["inspected_on"]
        first = QUANTITIES[some["quantity"].iloc[0]]
        found.append(
            SeriesLine(
                mark.id, codes[mark.member_id], mark.code, str(name),
                SERIES_LABEL[str(name)], first.unit, len(some), days.min(), days.max(),
            )
        )  # fmt: skip
    return sorted(found, key=lambda line: (line.member, line.mark, line.series))
