"""Parties, the site and the tree of a support, checked against the record."""

from collections.abc import Callable
from dataclasses import replace
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from monitor.clock import new_id
from monitor.domain.places import Party, Site, StemDiameter, Tree
from monitor.domain.vocabulary import Exposure
from monitor.errors import InvalidInput
from monitor.schedule.access_hours import checked_hours
from monitor.schedule.public_holidays import checked_region
from monitor.schedule.seasons import parse_seasons
from monitor.services.drafting.member import Desk
from monitor.services.recording.addition import Addition
from monitor.services.recording.checks import (
    HEAD,
    Stamp,
    Wanted,
    number,
    one_of,
    plain,
    with_unit,
    word,
)
from monitor.services.recording.commands import SiteDraft, TreeDraft
from monitor.services.showing.register_view import RegisterView

_LATITUDE = Wanted("latitude", "deg", -90.0, 90.0)
_LONGITUDE = Wanted("longitude", "deg", -180.0, 180.0)
_STEM = Wanted("stem diameter", "mm", 10.0, 20_000.0)
BREAST_HEIGHT_M = 1.3  # common practice outside North America, where it is 1.37 m


def site_of(
    view: RegisterView,
    draft: SiteDraft,
    stamp: Stamp,
    addition: Addition,
    timezone: str,
) -> Site | None:
    """The site, new or known; None if something is wrong with it."""
    if not draft.code.strip():
        addition.wrong("site", "", "the code of the site")
    stored = view.sites.get(plain(draft.code))
    owner = party(view, draft.owner, stamp, addition)
    manager = party(view, draft.manager, stamp, addition)
    if owner is None and stored is None:
        addition.wrong("owner", "", "the owner of a new site")
    said = site_values(addition, draft) | {
        "owner_id": owner.id if owner else None,
        "manager_id": manager.id if manager else None,
    }
    if addition.problems or (stored is None and owner is None):
        return None
    if stored is not None:
        return addition.filled_in(stored, said, _NAMES, HEAD)
    blank = Site(
        id=new_id(), code=tidy(draft.code), name="", owner_id=new_id(),
        manager_id=None, timezone=timezone, exposure=None, latitude=None,
        longitude=None, soil="", access_note="", quiet_seasons="",
        recorded_at=stamp.now,
    )  # fmt: skip
    given = {name: value for name, value in said.items() if value is not None}
    site = replace(blank, **given)  # type: ignore[arg-type]
    addition.sites.append(site)
    return site


def site_values(addition: Addition, draft: SiteDraft) -> dict[str, object]:
    """What is said of a site, checked; None where nothing is said."""
    exposure = word(Exposure, draft.exposure) if draft.exposure else None
    if draft.exposure and exposure is None:
        addition.wrong("exposure", draft.exposure, one_of(Exposure))
    if draft.timezone and not _is_timezone(draft.timezone):
        addition.wrong("time zone", draft.timezone, "an IANA name, as Europe/Lisbon")
    try:
        parse_seasons(draft.quiet_seasons)
    except InvalidInput as no:
        addition.wrong("quiet seasons", draft.quiet_seasons, no.message)
    return {
        "name": draft.name.strip() or None,
        "timezone": draft.timezone.strip() or None,
        "exposure": exposure,
        "latitude": _figure(addition, "latitude", draft.latitude, _LATITUDE),
        "longitude": _figure(addition, "longitude", draft.longitude, _LONGITUDE),
        "soil": draft.soil.strip() or None,
        "access_note": draft.access_note.strip() or None,
        "quiet_seasons": draft.quiet_seasons.strip() or None,
        "holiday_region": _read(addition, "holidays", draft.holidays, checked_region),
        "access_hours": _read(
            addition, "access hours", draft.access_hours, checked_hours
        ),
    }


def _read(
    addition: Addition, name: str, text: str, read: Callable[[str], str]
) -> str | None:
    """What was typed in its usual spelling; None, with the problem noted, if bad."""
    try:
        return read(text) or None
    except InvalidInput as no:
        addition.wrong(name, text, no.message)
        return None


def tree_of(desk: Desk, draft: TreeDraft, site: Site) -> Tree | None:
    """The tree, new or known; None if something is wrong with it."""
    addition = desk.addition
    said = tree_values(addition, draft)
    if not draft.code.strip():
        addition.wrong("tree", "", "the code of the tree, unique on the site")
    if addition.problems:
        return None
    stored = desk.view.trees.get((site.id, plain(draft.code)))
    if stored is None:
        tree = Tree(
            id=new_id(),
            site_id=site.id,
            code=tidy(draft.code),
            species=draft.species.strip(),
            is_heritage=bool(said["is_heritage"]),
            latitude=None,
            longitude=None,
            note=draft.note.strip(),
            recorded_at=desk.stamp.now,
        )
        addition.trees.append(tree)
    else:
        tree = addition.filled_in(stored, said, {"is_heritage": "heritage"}, HEAD)
    _add_stem(desk, draft, tree)
    return tree


def tree_values(addition: Addition, draft: TreeDraft) -> dict[str, object]:
    """What is said of a tree, checked; None where nothing is said."""
    heritage = _YES_NO.get(plain(draft.heritage))
    if draft.heritage and heritage is None:
        addition.wrong("heritage", draft.heritage, "yes or no")
    return {"species": draft.species.strip() or None, "is_heritage": heritage}


def _add_stem(desk: Desk, draft: TreeDraft, tree: Tree) -> None:
    addition = desk.addition
    if not draft.stem.strip():
        return
    on = draft.stem_measured_on
    if on is None or on > desk.today:
        found = on.isoformat() if on else ""
        addition.wrong("stem measured", found, "the day of the measurement, not ahead")
        return
    measure = number(draft.stem, draft.stem_unit, _STEM)
    if isinstance(measure, str):
        addition.wrong("stem diameter", draft.stem, measure)
        return
    stored = desk.view.stems.get((tree.id, on.isoformat()))
    if stored is None:
        given = with_unit(measure, draft.stem_unit)
        addition.stems.append(
            StemDiameter(
                id=new_id(),
                tree_id=tree.id,
                measured_on=on,
                diameter_mm=measure.value,
                height_m=BREAST_HEIGHT_M,
                given=given,
                recorded_at=desk.stamp.now,
                supersedes_id=None,
            )
        )
    elif abs(stored.diameter_mm - measure.value) > 1e-6:
        expected = f"“{stored.given}” as recorded; to change it, amend the record"
        addition.wrong("stem diameter", draft.stem, expected)


def party(
    view: RegisterView, name: str, stamp: Stamp, addition: Addition
) -> Party | None:
    """The party of that name, new or known; None if there is no name."""
    if not name.strip():
        return None
    known = view.parties.get(plain(name))
    new = next((p for p in addition.parties if plain(p.name) == plain(name)), None)
    if known or new:
        return known or new
    party = Party(new_id(), tidy(name), "", stamp.now)
    addition.parties.append(party)
    return party


def _figure(addition: Addition, name: str, text: str, wanted: Wanted) -> float | None:
    """A number as typed, None if nothing is said or something is wrong."""
    if not text.strip():
        return None
    measure = number(text, wanted.unit, wanted)
    if isinstance(measure, str):
        addition.wrong(name, text, measure)
        return None
    return measure.value


def _is_timezone(name: str) -> bool:
    try:
        ZoneInfo(name.strip())
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return True


def tidy(text: str) -> str:
    """Without spare spaces."""
    return " ".join(text.split())


_YES_NO = {
    "yes": True,
    "y": True,
    "true": True,
    "no": False,
    "n": False,
    "false": False,
}
_NAMES = {
    "owner_id": "owner",
    "manager_id": "manager",
    "timezone": "time zone",
    "access_note": "access",
    "quiet_seasons": "quiet seasons",
    "holiday_region": "holidays",
    "access_hours": "access hours",
}
