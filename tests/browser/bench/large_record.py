"""A large made-up record, written in bulk: supports, readings, conclusions.

Its conclusions are made up as well, of the shape and size that the analysis writes, so
that the pages have as much to read as over a record that was assessed.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import islice
from random import Random
from typing import Any
from uuid import UUID

import sqlalchemy as sa

from monitor.clock import new_id
from monitor.store import Session, Store
from monitor.store.models import Base

NOW = datetime(2026, 6, 1, 12, tzinfo=UTC)
TODAY = NOW.date()
VISITS = 10
TREES_A_SITE, SUPPORTS_A_TREE = 10, 2
IN_ONE_GO = 20_000
SPECIES = (
    "Quercus robur", "Tilia cordata", "Fagus sylvatica", "Platanus × hispanica",
    "Castanea sativa", "Fraxinus excelsior", "Cedrus libani",
)  # fmt: skip
STREETS = ("Chapel Row", "Mill Lane", "Harbour Walk", "Orchard Hill", "Weir Green")
MARKS = ("face", "plate", "at grade")
QUANTITIES = (
    # quantity, mark, unit as typed, first value, change a year, standard deviation
    ("tilt_x", "face", "mm/m", 0.5, 0.1, 0.6),
    ("tilt_y", "face", "mm/m", 0.2, 0.05, 0.6),
    ("settlement", "plate", "mm", 0.0, 0.2, 0.8),
    ("wall", "at grade", "mm", 6.3, -0.03, 0.1),
    ("coating", "at grade", "um", 180.0, -4.0, 6.0),
)
SERIES = (("tilt", "face"), ("settlement", "plate"), ("wall", "at grade"),
          ("coating", "at grade"))  # fmt: skip
Row = dict[str, Any]
_T = Base.metadata.tables


@dataclass(frozen=True, slots=True)
class Spot:
    """One support with its marks, to hang readings on."""

    support_id: UUID
    marks: dict[str, UUID]
    installed_on: date
    number: int


def fill(store: Store, supports: int) -> None:
    """Write so many supports, each with ten visits of five readings."""
    sa.event.listen(store.engine, "connect", _hurry)
    store.engine.dispose()  # what was opened before is not in a hurry
    random = Random(1)
    with store.write_session() as session:
        spots = _places(session, supports, random)
    for start in range(0, supports, 2000):
        with store.write_session() as session:
            _looks(session, spots[start : start + 2000], random)
            _conclusions(session, spots[start : start + 2000], random)
    with store.engine.begin() as connection:
        connection.exec_driver_sql("ANALYZE")


def _hurry(connection: Any, _record: object) -> None:
    """Nothing is lost if the making is cut short: it is begun again."""
    for pragma in (
        "synchronous=OFF", "foreign_keys=OFF", "cache_size=-400000",
        "wal_autocheckpoint=20000", "temp_store=MEMORY",
    ):  # fmt: skip
        connection.execute(f"PRAGMA {pragma}")


def _write(session: Session, table: str, rows: Iterator[Row]) -> None:
    while part := list(islice(rows, IN_ONE_GO)):
        session.execute(sa.insert(_T[table]), part)


def _places(session: Session, supports: int, random: Random) -> list[Spot]:
    owners = [{"id": new_id(), "name": f"Owner {n}", "note": "", "recorded_at": NOW}
              for n in range(40)]  # fmt: skip
    sites, trees, found, members, marks = [], [], [], [], []
    spots = []
    for number in range(supports):
        if number % (TREES_A_SITE * SUPPORTS_A_TREE) == 0:
            sites.append(_site(len(sites), random.choice(owners)["id"]))
        if number % SUPPORTS_A_TREE == 0:
            trees.append(_tree(len(trees), sites[-1]["id"], random))
        installed_on = date(random.randint(1985, 2014), random.randint(1, 12), 14)
        support = _support(number, trees[-1]["id"], installed_on, random)
        member = {
            "id": new_id(), "support_id": support["id"], "code": "P1", "kind": "post",
            "installed_on": installed_on, "removed_on": None, "removal_note": "",
            "bearing_deg": 140.0, "recorded_at": NOW,
        }  # fmt: skip
        own = {code: new_id() for code in MARKS}
        found.append(support)
        members.append(member)
        marks += [{"id": key, "member_id": member["id"], "code": code, "note": "",
                   "recorded_at": NOW} for code, key in own.items()]  # fmt: skip
        spots.append(Spot(support["id"], own, installed_on, number))
    for table, rows in (
        ("party", owners), ("site", sites), ("tree", trees), ("support", found),
        ("member", members), ("mark", marks),
    ):  # fmt: skip
        _write(session, table, iter(rows))
    return spots


def _site(number: int, owner_id: UUID) -> Row:
    return {
        "id": new_id(), "code": f"V-{number:04}", "owner_id": owner_id,
        "name": f"{STREETS[number % len(STREETS)]} {number}", "manager_id": None,
        "timezone": "Etc/UTC", "exposure": "C3", "latitude": 47.5, "longitude": -20.0,
        "soil": "", "access_note": "", "quiet_seasons": "", "recorded_at": NOW,
        "holiday_region": "",
    }  # fmt: skip


def _tree(number: int, site_id: UUID, random: Random) -> Row:
    return {
        "id": new_id(), "site_id": site_id, "code": f"T{number % TREES_A_SITE + 1}",
        "species": random.choice(SPECIES), "is_heritage": True, "latitude": None,
        "longitude": None, "note": "", "recorded_at": NOW,
    }  # fmt: skip


def _support(number: int, tree_id: UUID, on: date, random: Random) -> Row:
    return {
        "id": new_id(), "tree_id": tree_id, "code": f"S-{number:05}",
        "reason": "long low limb over the path", "target": "path",
        "occupancy": random.choice(("constant", "frequent", "rare")),
        "consequence": "significant", "installed_on": on, "removed_on": None,
        "installer_id": None, "interval_months": None, "interval_reason": "",
        "note": "", "recorded_at": NOW,
    }  # fmt: skip


def _looks(session: Session, spots: list[Spot], random: Random) -> None:
    looks = [(spot, *_look(spot, visit)) for spot in spots for visit in range(VISITS)]
    _write(session, "inspection", (row for _, row, _ in looks))
    _write(session, "reading", _readings(looks, random))


def _look(spot: Spot, visit: int) -> tuple[Row, float]:
    years = visit * (TODAY - spot.installed_on).days / 365.25 / VISITS
    key = new_id()
    row = {
        "id": key, "root_id": key, "support_id": spot.support_id,
        "kind": "routine" if visit else "baseline",
        "inspected_on": spot.installed_on + timedelta(years * 365.25),
        "inspector": "Ines", "device_at": None, "air_c": None, "leaf": None, "note": "",
        "source": "bench", "withdrawn": False, "recorded_by": "bench",
        "recorded_at": NOW, "supersedes_id": None, "reason": "",
    }  # fmt: skip
    return row, years


def _readings(looks: list[tuple[Spot, Row, float]], random: Random) -> Iterator[Row]:
    for spot, look, years in looks:
        for quantity, mark, unit, first, rate, sd in QUANTITIES:
            value = first + rate * years + random.gauss(0.0, sd)
            if quantity in ("wall", "coating"):
                value = max(value, 0.1)
            yield {
                "id": new_id(), "inspection_id": look["id"],
                "mark_id": spot.marks[mark], "quantity": quantity, "repeat": 1,
                "answer": "measured", "value": value, "relation": "=",
                "given": f"{value:.1f} {unit}", "method": "", "instrument_id": None,
                "sd_instrument": sd / 2, "sd_placement": sd / 2, "resolution": 0.1,
                "reason": "", "recorded_at": NOW, "supersedes_id": None,
            }  # fmt: skip


def _conclusions(session: Session, spots: list[Spot], random: Random) -> None:
    _write(session, "outlook", (_outlook(s, *part) for s in spots for part in SERIES))
    _write(session, "standing", (_standing(spot) for spot in spots))
    _write(session, "due", (_due(spot, random) for spot in spots))


def _outlook(spot: Spot, series: str, mark: str) -> Row:
    start, rate = TODAY - timedelta(200), 0.2
    fan = [
        [(start + timedelta(365 * n)).isoformat(), rate * n - 1 - n / 3, rate * n + 1.0,
         rate * n + 3 + n / 3]
        for n in range(31)
    ]  # fmt: skip
    details: Row = {"segment_from": spot.installed_on.isoformat(), "fan": fan,
                    "limit_source": "common practice"}  # fmt: skip
    if series == "tilt":
        details |= {"fan_x": fan, "fan_y": fan, "position": [2.0, 1.0, 0.5, 0.5, 0.1]}
    empty = (
        "watch_early_on", "watch_median_on", "watch_late_on", "act_early_on",
        "act_median_on", "act_late_on", "look_again_on",
    )  # fmt: skip
    return dict.fromkeys(empty) | {
        "mark_id": spot.marks[mark], "series": series, "support_id": spot.support_id,
        "computed_for": TODAY, "readings": VISITS, "level": 1.0, "level_sd": 0.5,
        "rate": rate, "rate_low": 0.1, "rate_high": 0.3, "evidence": 3.0,
        "watch_level": 4.0, "act_level": 9.0, "p_beyond_watch": 0.1,
        "p_beyond_act": 0.0, "expected_on": TODAY, "expected": 1.0,
        "expected_low": -1.0, "expected_high": 3.0,
        "unconfirmed": spot.number % 500 == 0 and series == "settlement",
        "look_rule": "ordinary", "refusal": "",
        "sentence": f"Moving 0.2 a year (0.1 to 0.3), {VISITS} readings.",
        "method_version": "bench", "input_version": "bench", "details": details,
        "computed_at": NOW,
    }  # fmt: skip


def _standing(spot: Spot) -> Row:
    ranks = {0: "make safe", 1: "act", 2: "act", 3: "watch", 4: "watch", 5: "watch"}
    word = ranks.get(spot.number % 400, "holding")
    reasons = [] if word == "holding" else [f"The tilt is beyond its {word} limit."]
    return {"support_id": spot.support_id, "standing": word, "reasons": reasons,
            "computed_for": TODAY, "computed_at": NOW}  # fmt: skip


def _due(spot: Spot, random: Random) -> Row:
    on = TODAY + timedelta(random.randint(-70, 700))
    sentence = f"Due on {on:%-d %B %Y}: the longest interval of the duty-holder."
    return {
        "support_id": spot.support_id, "kind": "routine",
        "opens_on": on - timedelta(30), "due_on": on, "late_on": on + timedelta(60),
        "serious_on": on + timedelta(240), "rule": "duty-interval",
        "sentence": sentence, "computed_at": NOW,
        "reasons": [["duty-interval", on.isoformat(), sentence]],
    }  # fmt: skip
