"""Agreed rounds in a calendar: hours, stops in order, what was taken back."""

from datetime import UTC, date, datetime, time, timedelta
from urllib.parse import quote
from zoneinfo import ZoneInfo

from monitor.domain.places import Site
from monitor.exchange.calendar_file import CalendarEntry
from monitor.schedule.calendar import counted
from monitor.schedule.round_task import clock
from monitor.services.planning.agreed import Agreed, latest_rounds, sites_of
from monitor.services.recording.checks import plain
from monitor.store import Session, records


def people_with_rounds(session: Session) -> list[str]:
    """Everybody who had an agreed round, by name."""
    return sorted({one.person for one in records.AGREED_ROUNDS.current(session)})


def round_entries(
    session: Session, person: str, root: str, from_on: date
) -> list[CalendarEntry]:
    """One entry an agreed round of a person, of all people if empty.

    Parameters
    ----------
    root : address of these pages, with a slash at its end
    """
    found = [
        one
        for one in latest_rounds(session, from_on)
        if not person or plain(one.round.person) == plain(person)
    ]
    sites = sites_of(session, found)
    return [
        _entry(one, [sites[stop.support_id] for stop in one.stops], root)
        for one in found
    ]


def _entry(one: Agreed, sites: list[Site], root: str) -> CalendarEntry:
    agreed = one.round
    names = ", ".join(dict.fromkeys(site.name or site.code for site in sites))
    zone = sites[0].timezone if sites else "UTC"
    told = f"Round of {agreed.person}: {counted(len(one.stops), 'visit')}"
    return CalendarEntry(
        uid=f"round-{agreed.root_id}@underprop",
        on=agreed.planned_on,
        summary=f"{told}, {names}" if names else told,
        description=_stops(one, sites),
        location=names,
        url=f"{root}rounds/{quote(str(agreed.root_id))}",
        sequence=agreed.version - 1,
        changed_at=agreed.recorded_at,
        is_cancelled=agreed.withdrawn,
        hours=(
            _at(agreed.planned_on, agreed.leaves_min, zone),
            _at(agreed.planned_on, agreed.back_min, zone),
        ),
    )


def _stops(one: Agreed, sites: list[Site]) -> str:
    if one.round.withdrawn:
        return f"Taken back: {one.round.reason}"
    stops = [
        f"{clock(stop.begins_min)} {code}, {site.name or site.code}"
        + (f" (access: {site.access_note})" if site.access_note else "")
        for stop, code, site in zip(one.stops, one.codes, sites, strict=True)
    ]
    return "; ".join(stops) + "."


def _at(on: date, minute: int, zone: str) -> datetime:
    """A minute of the day at the site, as an instant of the clock there."""
    days, minute_of_day = divmod(minute, 24 * 60)
    wall = time(*divmod(minute_of_day, 60), tzinfo=ZoneInfo(zone))
    return datetime.combine(on + timedelta(days=days), wall).astimezone(UTC)
