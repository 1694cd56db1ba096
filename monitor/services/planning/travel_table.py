"""The house's own table of ways: checked against the map, kept, used by every plan."""

from collections.abc import Iterator
from datetime import datetime

from monitor.clock import new_id
from monitor.domain.places import Site
from monitor.domain.rounds import TravelTable, Way
from monitor.errors import InvalidInput, NotFound
from monitor.exchange.sheet import Sheet
from monitor.exchange.travel_file import TravelFile, read_travel
from monitor.schedule.travel import Place, Travel, great_circle_km
from monitor.services.recording.checks import plain
from monitor.services.recording.ledger_values import values_of
from monitor.store import Session, records
from monitor.store.ledger import append

FASTEST_KM_H = 130.0
NEAR_KM = 0.2
"""Below this a site is too large for its one point to be held against a way."""


def table_in_force(session: Session) -> TravelTable | None:
    """The newest table, None if there is none or it was taken back."""
    found = records.TRAVEL_TABLES.all(session)
    newest = max(found, key=lambda one: one.version, default=None)
    return newest if newest is not None and newest.ways else None


def keep_table(
    session: Session, sheet: Sheet, unit: str = "", *, actor: str, now: datetime
) -> TravelTable:
    """Check a file of ways and keep it in place of the one before.

    Raises
    ------
    InvalidInput : naming what can not be right
    """
    read = checked(session, sheet, unit)
    return _keep(session, read, actor=actor, now=now)


def drop_table(session: Session, *, actor: str, now: datetime) -> None:
    """Plan by the straight line again.

    Raises
    ------
    NotFound : there is no table
    """
    if table_in_force(session) is None:
        raise NotFound("travel table", "in force")
    _keep(session, TravelFile("", "min", ()), actor=actor, now=now)


def checked(session: Session, sheet: Sheet, unit: str = "") -> TravelFile:
    """The ways of a file by the codes of the record, if they can be true.

    Raises
    ------
    InvalidInput : a code is no site, or a way is shorter or faster than can be
    """
    read = read_travel(sheet, unit)
    places = {plain(s.code): place_of(s) for s in records.SITES.all(session)}
    problems = list(_problems(read, places))
    if problems:
        more = f" {len(problems) - 1} more like it." if len(problems) > 1 else ""
        raise InvalidInput(
            f"{read.file_name} was refused, nothing was kept: {problems[0]}{more}",
            field="travel",
            code="rnd-018",
        )
    ways: list[Way] = [
        (places[plain(a)].code, places[plain(b)].code, value)
        for a, b, value in read.ways
    ]
    return TravelFile(read.file_name, read.unit, tuple(ways))


def travel_by(table: TravelTable | TravelFile | None, speed_km_h: float) -> Travel:
    """How long ways take: by the table where it says something, else by the map."""
    if table is None:
        return Travel(speed_km_h=speed_km_h)
    per_unit = 1.0 if table.unit == "min" else 60.0 / speed_km_h
    minutes = {(a, b): value * per_unit for a, b, value in table.ways}
    return Travel(speed_km_h=speed_km_h, table_min=minutes)


def place_of(site: Site) -> Place:
    """Where a site is, as the way there is reckoned."""
    return Place(site.code, site.latitude, site.longitude)


def _problems(read: TravelFile, places: dict[str, Place]) -> Iterator[str]:
    for start, end, value in read.ways:
        a, b = places.get(plain(start)), places.get(plain(end))
        if a is None or b is None:
            yield f"no site is called “{(end if a else start)[:20]}”."
            continue
        km = great_circle_km(a, b)
        if km is None or km < NEAR_KM:
            continue
        way = f"from {a.code} to {b.code}"
        if read.unit == "km" and value < 0.99 * km:
            yield f"{value:g} km {way} are less than the straight line of {km:.1f} km."
        elif read.unit == "min" and value * FASTEST_KM_H < 60 * km:
            yield (
                f"{value:g} min {way} would be faster than {FASTEST_KM_H:.0f} km/h "
                f"over the straight line of {km:.1f} km; are the numbers minutes?"
            )


def _keep(
    session: Session, read: TravelFile, *, actor: str, now: datetime
) -> TravelTable:
    found = records.TRAVEL_TABLES.all(session)
    made = TravelTable(
        id=new_id(),
        version=1 + max((one.version for one in found), default=0),
        file_name=read.file_name,
        unit=read.unit,
        ways=read.ways,
        recorded_by=actor,
        recorded_at=now,
    )
    records.TRAVEL_TABLES.add(session, [made])
    said = values_of(made) | {"ways": len(made.ways)}
    action = "travel table kept" if made.ways else "travel table taken back"
    append(session, [(action, f"travel table {made.id}", said)], actor=actor, now=now)
    return made
