"""A small world for the pages: a few supports whose stories differ.

S-0101  a post whose tilt and settlement grow beyond their act limits
S-0102  a pin whose wound closes
S-0103  a cable that could not be reached, and whose inspection is late
S-0104  a post that was rebuilt, so its series start anew; its newest reading is odd
S-0105  a post that was removed
S-0106  a post without a single reading
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

from monitor.clock import new_id
from monitor.domain.conclusions import Dates
from monitor.domain.events import Event
from monitor.domain.findings import FINDINGS
from monitor.domain.inspections import Closure, Finding, Reading, Segment, Work
from monitor.domain.supports import Fact
from monitor.domain.vocabulary import (
    Answer,
    EventKind,
    Grade,
    InspectionKind,
    MemberKind,
    Standing,
    WorkKind,
)
from monitor.store import Session, records
from monitor.store.ledger import append
from tests.build import LONG_AGO, a_reading, a_support, an_inspection
from tests.build import Standing as Spot
from tests.dashboard.conclusions import a_fan, an_outlook, is_owed, stands

Values = Mapping[date, Mapping[str, float]]
PAST = Dates(date(2020, 1, 1), date(2021, 1, 1), date(2022, 1, 1))


def build_world(session: Session) -> None:
    leaning(session)
    closing(session)
    unreached(session)
    rebuilt(session)
    removed(session)
    bare = a_support(session, "S-0106", installed_on=date(2026, 3, 2))
    is_owed(session, bare.support.id, date(2026, 6, 20), "a baseline is wanted")


def leaning(session: Session) -> None:
    spot = a_support(session, "S-0101", installed_on=date(2007, 3, 14), mark="face")
    records.MEMBERS.change(session, replace(spot.member, bearing_deg=140.0))
    facts(
        session,
        spot,
        {
            "section": (None, "square hollow"),
            "width_mm": (101.6, '4"'),
            "wall_mm": (6.35, '1/4"'),
            "length_mm": (4445.0, "14 ft 7 in"),
            "screw_pitch_mm": (6.0, "6 mm"),
            "footing_soil": (None, "made ground over clay"),
        },
    )
    tilts = {
        2007: (0.4, -0.2), 2008: (0.9, 0.2), 2010: (1.1, -0.1), 2012: (1.9, 0.6),
        2014: (2.2, 1.4), 2016: (3.4, 1.6), 2018: (4.1, 2.6), 2020: (5.0, 3.1),
        2022: (6.2, 3.4), 2024: (6.9, 4.4), 2026: (8.1, 4.9),
    }  # fmt: skip
    visits(
        session,
        spot,
        {
            date(year, 4, 20): {
                "tilt_x": x,
                "tilt_y": y,
                "settlement": 0.45 * (year - 2007) + 0.2 * (year % 3),
            }
            for year, (x, y) in tilts.items()
        },
    )
    found(session, spot, date(2026, 4, 20), "daylight at saddle", Grade.WATCH)
    storm = Event(
        id=new_id(), kind=EventKind.STORM, name="Storm of 3 February 2017",
        happened_on=date(2017, 2, 3), area="", support_id=spot.support.id,
        magnitude=29.0, ended_on=date(2017, 3, 1), note="gusts of 29 m/s",
        recorded_at=LONG_AGO,
    )  # fmt: skip
    records.EVENTS.add(session, [storm])
    append(
        session,
        [("support recorded", "support S-0101", {"code": "S-0101"})],
        actor="test",
        now=LONG_AGO,
    )

    tilt = an_outlook(
        spot, "tilt", readings=11, level=9.2, rate=0.5, rate_low=0.4, rate_high=0.6,
        evidence=900.0, watch_level=3.0, act_level=6.67, p_beyond_watch=1.0,
        p_beyond_act=0.99, watch_on=PAST, act_on=PAST, expected=9.3, expected_low=7.6,
        expected_high=11.0,
        sentence="Moving 0.5 mm/m a year (0.4 to 0.6) beyond doubt, 11 readings.",
        details={
            "segment_from": "2007-04-20",
            "fan": a_fan(date(2026, 4, 20), 9.2, 0.5, 0.5),
            "fan_x": a_fan(date(2026, 4, 20), 8.0, 0.4, 0.5),
            "fan_y": a_fan(date(2026, 4, 20), 4.8, 0.25, 0.5),
            "position": [8.0, 4.8, 0.6, 0.6, 0.2],
            "limit_source": "act: relative rotation 1/150, by analogy",
        },
    )  # fmt: skip
    sinking = an_outlook(
        spot, "settlement", readings=11, level=8.6, rate=0.45, rate_low=0.4,
        rate_high=0.5, evidence=300.0, watch_level=3.2, act_level=8.2,
        watch_on=PAST, act_on=Dates(date(2025, 2, 1), date(2026, 9, 1),
                                    date(2028, 5, 1)),
        p_beyond_watch=1.0, p_beyond_act=0.4,
        sentence="Moving 0.45 mm a year (0.4 to 0.5), 11 readings since 2007.",
        details={
            "segment_from": "2007-04-20",
            "fan": a_fan(date(2026, 4, 20), 8.6, 0.45, 0.4),
        },
    )  # fmt: skip
    records.OUTLOOKS.add(session, [tilt, sinking])
    stands(session, spot.support.id, Standing.MAKE_SAFE,
           "The tilt is beyond its act limit and still growing.",
           "Found on 20 April 2026: daylight at the saddle.")  # fmt: skip
    is_owed(session, spot.support.id, date(2026, 7, 20), "an open finding wants a look")


def closing(session: Session) -> None:
    spot = a_support(
        session, "S-0102", kind=MemberKind.PIN, installed_on=date(2014, 5, 6),
        mark="wound",
    )  # fmt: skip
    facts(session, spot, {"diameter_mm": (19.05, "3/4 in")})
    sizes = {
        2014: (48, 62), 2016: (43, 57), 2018: (36, 49), 2020: (29, 41),
        2022: (22, 33), 2025: (12, 21),
    }  # fmt: skip
    visits(
        session,
        spot,
        {
            date(year, 5, 6): {"wound_width": w, "wound_height": h}
            for year, (w, h) in sizes.items()
        },
    )

    records.OUTLOOKS.add(
        session,
        [
            an_outlook(
                spot, series, level=level, rate=-3.4, rate_low=-3.9, rate_high=-2.9,
                watch_level=50.0, act_level=53.0, expected_low=6.0, expected_high=11.0,
                sentence="Closing 3.4 mm a year (2.9 to 3.9), 6 readings since 2014.",
                details={"segment_from": "2014-05-06",
                         "fan": a_fan(date(2025, 5, 6), level, -3.4, 1.0)[:4]},
            )
            for series, level in (("wound_width", 12.0), ("wound_height", 21.0))
        ],
    )  # fmt: skip
    stands(session, spot.support.id, Standing.HOLDING,
           "No limit reached and none in sight on the readings so far.")  # fmt: skip
    is_owed(session, spot.support.id, date(2027, 5, 6), "two years after the last look")


def unreached(session: Session) -> None:
    spot = a_support(
        session, "S-0103", kind=MemberKind.CABLE, installed_on=date(2012, 9, 1),
        mark="line",
    )  # fmt: skip
    visits(
        session,
        spot,
        {
            date(2012, 9, 1): {"tension": 2.9},
            date(2016, 9, 1): {"tension": 2.7},
            date(2019, 9, 1): {"tension": 2.8},
        },
    )
    missed = an_inspection(spot.support.id, date(2021, 9, 1))
    records.INSPECTIONS.add(session, [missed])
    reading = a_reading(missed, spot.mark.id, "tension", 0.0)
    records.READINGS.add(session, [not_reached(reading, "no lift on site")])

    records.OUTLOOKS.add(
        session,
        [
            an_outlook(
                spot, "tension", readings=3, level=2.8, watch_level=3.19,
                act_level=3.63, expected_low=2.4, expected_high=3.2,
                sentence="No movement seen, 3 readings since 2012.",
                details={"watch_low": 2.61, "act_low": 2.18,
                         "segment_from": "2012-09-01",
                         "fan": a_fan(date(2019, 9, 1), 2.8, 0.0, 0.15)},
            )
        ],
    )  # fmt: skip
    stands(session, spot.support.id, Standing.WATCH,
           "The line could not be reached at the last look.")  # fmt: skip
    is_owed(
        session, spot.support.id, date(2025, 9, 1), "four years after the last look"
    )


def rebuilt(session: Session) -> None:
    spot = a_support(session, "S-0104", installed_on=date(1988, 6, 1))
    years = {
        1988: 2.0, 1992: 2.4, 1998: 3.1, 2004: 3.4, 2006: 9.5,
        2008: 0.3, 2012: 0.5, 2016: 0.4, 2020: 0.9, 2024: 0.7, 2026: 25.4,
    }  # fmt: skip
    readings = visits(
        session,
        spot,
        {date(y, 5, 1 + y % 20): {"settlement": v} for y, v in years.items()},
    )
    outlook = an_outlook(
        spot, "settlement", readings=6, unconfirmed=True,
        details={
            "segment_from": "2008-05-09",
            "weights": {str(reading.id): 1.0 for reading in readings[5:-1]}
            | {str(readings[-1].id): 0.02},
            "fan": a_fan(date(2026, 5, 7), 0.7, 0.02, 0.5),
        },
    )  # fmt: skip
    records.OUTLOOKS.add(session, [outlook])
    stands(session, spot.support.id, Standing.WATCH,
           "The newest settlement reading is doubtful: repeat it.")  # fmt: skip
    is_owed(session, spot.support.id, date(2026, 8, 7), "an unconfirmed reading")
    work = Work(
        id=(key := new_id()), root_id=key, support_id=spot.support.id,
        member_id=spot.member.id, kind=WorkKind.REPAIR, done_on=date(2007, 3, 20),
        done_by="Corbel & Fern Supports", note="base rebuilt", withdrawn=False,
        recorded_by="test", recorded_at=LONG_AGO, supersedes_id=None,
    )  # fmt: skip
    records.WORKS.add(session, [work])
    segment = Segment(
        new_id(), spot.mark.id, "settlement", work.done_on, work.id, LONG_AGO
    )
    records.SEGMENTS.add(session, [segment])
    seen = found(session, spot, date(2006, 5, 7), "washed out", Grade.ACT)
    closure = Closure(
        new_id(), seen.root_id, work.done_on, work.id, "base rebuilt", LONG_AGO
    )
    records.CLOSURES.add(session, [closure])


def removed(session: Session) -> None:
    spot = a_support(session, "S-0105", installed_on=date(1994, 4, 1))
    visits(session, spot, {date(1994, 4, 1): {"settlement": 0.0}})
    gone = date(2019, 10, 3)
    records.SUPPORTS.change(session, replace(spot.support, removed_on=gone))
    records.MEMBERS.change(session, replace(spot.member, removed_on=gone))


def visits(session: Session, spot: Spot, values: Values) -> list[Reading]:
    made = []
    for n, (on, numbers) in enumerate(values.items()):
        kind = InspectionKind.ROUTINE if n else InspectionKind.BASELINE
        visit = an_inspection(spot.support.id, on, kind=kind)
        records.INSPECTIONS.add(session, [visit])
        made += [
            a_reading(visit, spot.mark.id, name, value)
            for name, value in numbers.items()
        ]
    records.READINGS.add(session, made)
    return made


def found(session: Session, spot: Spot, on: date, code: str, grade: Grade) -> Finding:
    assert code in FINDINGS
    table = records.INSPECTIONS.table.c
    visit = records.INSPECTIONS.all(
        session, table.support_id == spot.support.id, table.inspected_on == on
    )[0]
    key = new_id()
    finding = Finding(
        key, key, visit.id, spot.member.id, code, grade, "", LONG_AGO, None
    )
    records.FINDINGS.add(session, [finding])
    return finding


def facts(
    session: Session, spot: Spot, typed: Mapping[str, tuple[float | None, str]]
) -> None:
    records.FACTS.add(
        session,
        [
            Fact(new_id(), spot.member.id, name, number, given, LONG_AGO, None)
            for name, (number, given) in typed.items()
        ],
    )


def not_reached(reading: Reading, why: str) -> Reading:
    return replace(
        reading, answer=Answer.COULD_NOT_REACH, value=None, given="", reason=why
    )
