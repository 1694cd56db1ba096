"""Lists for people who reckon: canonical numbers with their noise, and what is said.

These are not read back by the import: the numbers follow from what was typed, and what
is concluded can be worked out anew.
"""

from uuid import UUID

from monitor.domain.quantities import QUANTITIES, SERIES_LABEL
from monitor.domain.vocabulary import Answer
from monitor.exchange.columns import Cell, CellKind, OutColumn, OutTable
from monitor.mechanics.screening import CAUTION
from monitor.services.exporting.chosen import Chosen
from monitor.services.exporting.inspection_list import Visits
from monitor.store import Session, records
from monitor.store.lookup import all_in

_TEXT, _NUMBER, _DAY = CellKind.TEXT, CellKind.NUMBER, CellKind.DAY

READING_COLUMNS = (
    OutColumn("support", _TEXT, "code on the tag"),
    OutColumn("member", _TEXT, "code of the member"),
    OutColumn("mark", _TEXT, "spot on the member"),
    OutColumn("quantity", _TEXT, "what was read; see the list of quantities"),
    OutColumn("date", _DAY, "civil date at the site"),
    OutColumn("repeat", CellKind.WHOLE, "1 for the first of the day"),
    OutColumn("value", _NUMBER, "in the canonical unit of the row"),
    OutColumn("relation", _TEXT, "=, or < and > beyond the range of the instrument"),
    OutColumn("unit", _TEXT, "canonical unit of value and noise"),
    OutColumn("sd instrument", _NUMBER, "one standard deviation of a repeat"),
    OutColumn("sd placement", _NUMBER, "the same, of setting it on the mark"),
    OutColumn("resolution", _NUMBER, "last step shown"),
    OutColumn("given", _TEXT, "as it was typed"),
    OutColumn("method", _TEXT, "how it was read"),
    OutColumn("kind", _TEXT, "why someone looked"),
    OutColumn("inspector", _TEXT, "who looked"),
    OutColumn("recorded", CellKind.INSTANT, "when it reached the record"),
)
OUTLOOK_COLUMNS = (
    OutColumn("support", _TEXT, "code on the tag"),
    OutColumn("member", _TEXT, "code of the member"),
    OutColumn("mark", _TEXT, "spot on the member"),
    OutColumn("series", _TEXT, "what is followed"),
    OutColumn("readings", CellKind.WHOLE, "how many the outlook rests on"),
    OutColumn("level", _NUMBER, "estimated on the day it was worked out"),
    OutColumn("level sd", _NUMBER, "one standard deviation of the level"),
    OutColumn("rate", _NUMBER, "median, per year"),
    OutColumn("rate low", _NUMBER, "5 % bound, per year"),
    OutColumn("rate high", _NUMBER, "95 % bound, per year"),
    OutColumn("unit", _TEXT, "of the level; the rate is per year"),
    OutColumn("act level", _NUMBER, "the limit “act”"),
    OutColumn("act early", _DAY, "5 % date of reaching it; empty if not in 100 years"),
    OutColumn("act median", _DAY, "even chance"),
    OutColumn("worked out for", _DAY, "the day the outlook is of"),
    OutColumn("sentence", _TEXT, "all of this in words"),
    OutColumn("refusal", _TEXT, "why nothing is concluded, where nothing is"),
    OutColumn("caution", _TEXT, "what this is worth"),
)
STANDING_COLUMNS = (
    OutColumn("support", _TEXT, "code on the tag"),
    OutColumn("standing", _TEXT, "holding, watch, act or make safe"),
    OutColumn("reasons", _TEXT, "gravest first"),
    OutColumn("due", _DAY, "day the next inspection is due"),
    OutColumn("late", _DAY, "from when it is late"),
    OutColumn("due kind", _TEXT, "of the inspection"),
    OutColumn("why due", _TEXT, "the rule that governs, in words"),
    OutColumn("caution", _TEXT, "what this is worth"),
)
QUANTITY_COLUMNS = (
    OutColumn("quantity", _TEXT, "name in the lists"),
    OutColumn("label", _TEXT, "as people say it"),
    OutColumn("unit", _TEXT, "canonical"),
    OutColumn("sign", _TEXT, "what a larger number means"),
    OutColumn("lowest", _NUMBER, "readings below are refused"),
    OutColumn("highest", _NUMBER, "readings above are refused"),
    OutColumn("harm", _TEXT, "which way is worse"),
    OutColumn("read on", _TEXT, "kinds of member"),
)


def reading_list(chosen: Chosen, visits: Visits) -> OutTable:
    """Every number in its canonical unit, with its noise."""
    codes = {support.id: support.code for support in chosen.supports}
    members = {member.id: member.code for member in chosen.members}
    rows: list[tuple[Cell, ...]] = []
    for visit in visits.inspections:
        for reading in visits.readings[visit.root_id]:
            if reading.answer is not Answer.MEASURED:
                continue
            mark = chosen.marks[reading.mark_id]
            rows.append(
                (
                    codes[visit.support_id],
                    members[mark.member_id],
                    mark.code,
                    reading.quantity,
                    visit.inspected_on,
                    reading.repeat,
                    reading.value,
                    reading.relation,
                    QUANTITIES[reading.quantity].unit,
                    reading.sd_instrument,
                    reading.sd_placement,
                    reading.resolution,
                    reading.given,
                    reading.method,
                    visit.kind.value,
                    visit.inspector,
                    reading.recorded_at,
                )
            )
    rows.sort(key=lambda row: (str(row[0]), str(row[4]), *map(str, row[1:4]), row[5]))
    meaning = "one row a number, in canonical units"
    return OutTable("readings", meaning, READING_COLUMNS, tuple(rows))


def outlook_list(session: Session, chosen: Chosen) -> OutTable:
    """What the analysis says of every series."""
    codes = {support.id: support.code for support in chosen.supports}
    members = {member.id: member.code for member in chosen.members}
    found = all_in(session, records.OUTLOOKS, "support_id", chosen.ids)
    rows: list[tuple[Cell, ...]] = []
    for outlook in found:
        mark = chosen.marks[outlook.mark_id]
        unit = next(
            q.unit for q in QUANTITIES.values() if q.series_name == outlook.series
        )
        rows.append(
            (
                codes[outlook.support_id],
                members[mark.member_id],
                mark.code,
                SERIES_LABEL[outlook.series],
                outlook.readings,
                outlook.level,
                outlook.level_sd,
                outlook.rate,
                outlook.rate_low,
                outlook.rate_high,
                unit,
                outlook.act_level,
                outlook.act_on.early,
                outlook.act_on.median,
                outlook.computed_for,
                outlook.sentence,
                outlook.refusal,
                CAUTION,
            )
        )
    rows.sort(key=lambda row: tuple(map(str, row[:4])))
    meaning = "what the analysis says of every series"
    return OutTable("outlooks", meaning, OUTLOOK_COLUMNS, tuple(rows))


def standing_list(session: Session, chosen: Chosen) -> OutTable:
    """How every support stands, and when the next look is due."""
    standings = {
        s.support_id: s
        for s in all_in(session, records.STANDINGS, "support_id", chosen.ids)
    }
    dues = {
        d.support_id: d for d in all_in(session, records.DUES, "support_id", chosen.ids)
    }

    def row(key: UUID, code: str) -> tuple[Cell, ...]:
        stands, due = standings.get(key), dues.get(key)
        return (
            code,
            stands.standing.value if stands else "",
            "; ".join(stands.reasons) if stands else "",
            due.due_on if due else None,
            due.late_on if due else None,
            due.kind.value if due else "",
            due.sentence if due else "",
            CAUTION,
        )

    rows = tuple(row(support.id, support.code) for support in chosen.supports)
    meaning = "how every support stands, and what is owed"
    return OutTable("standings", meaning, STANDING_COLUMNS, rows)


def quantity_list() -> OutTable:
    """What is measured: units, signs and ranges."""
    rows = tuple(
        (
            q.name,
            q.label,
            q.unit,
            q.sign,
            float(q.low),
            float(q.high),
            q.harm.value,
            ", ".join(kind.value for kind in q.kinds),
        )
        for q in QUANTITIES.values()
    )
    return OutTable("quantities", "what is measured", QUANTITY_COLUMNS, rows)
