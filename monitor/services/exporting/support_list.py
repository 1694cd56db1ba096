"""Supports as a list that the import reads back: one row a member."""

from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

from monitor.domain.facts import FACTS, FactSpec
from monitor.domain.places import Party, StemDiameter
from monitor.domain.supports import Fact, Member, Support
from monitor.exchange.columns import (
    Cell,
    CellKind,
    OutColumn,
    OutTable,
    number_or_text,
)
from monitor.services.exporting.chosen import Chosen, standing
from monitor.store import Session, records
from monitor.store.lookup import all_in

_TEXT, _DAY, _TYPED = CellKind.TEXT, CellKind.DAY, CellKind.TYPED

HEAD = (
    OutColumn("support", _TEXT, "code on the tag"),
    OutColumn("site", _TEXT, "code of the site"),
    OutColumn("site name", _TEXT, "as people call the site"),
    OutColumn("owner", _TEXT, "who owns the site"),
    OutColumn("manager", _TEXT, "who looks after it"),
    OutColumn("installer", _TEXT, "who installed the support"),
    OutColumn("time zone", _TEXT, "IANA name; dates are civil dates there"),
    OutColumn("exposure", _TEXT, "corrosivity of the air, ISO 9223"),
    OutColumn("latitude", CellKind.NUMBER, "of the site, WGS 84", "deg"),
    OutColumn("longitude", CellKind.NUMBER, "of the site, WGS 84", "deg"),
    OutColumn("soil", _TEXT, "soil of the site"),
    OutColumn("access", _TEXT, "how to get there"),
    OutColumn("quiet seasons", _TEXT, "days of the year on which nobody goes"),
    OutColumn("holidays", _TEXT, "whose public holidays are kept, such as DE-BY"),
    OutColumn("access hours", _TEXT, "when one can get in, such as 10:00-15:00"),
    OutColumn("tree", _TEXT, "code of the tree, unique on the site"),
    OutColumn("species", _TEXT, "of the tree"),
    OutColumn("heritage", CellKind.FLAG, "whether the tree is listed as heritage"),
    OutColumn("stem diameter", _TYPED, "newest, at breast height", "mm"),
    OutColumn("stem measured", _DAY, "day of that measurement"),
    OutColumn("reason", _TEXT, "the weakness that the support answers"),
    OutColumn("target", _TEXT, "what is beneath"),
    OutColumn("occupancy", _TEXT, "how often someone is beneath"),
    OutColumn("consequence", _TEXT, "what a failure would do"),
    OutColumn("interval", CellKind.WHOLE, "longest, if one is set for it", "months"),
    OutColumn("interval reason", _TEXT, "who set the interval, and why"),
    OutColumn("note", _TEXT, "of the support"),
)
OF_MEMBER = (
    OutColumn("member", _TEXT, "code, unique within the support"),
    OutColumn("kind", _TEXT, "post, pin, cable, rod or guy"),
    OutColumn("installed", _DAY, "day the member was installed"),
    OutColumn("removed", _DAY, "day it was removed; empty while it stands"),
    OutColumn("removal note", _TEXT, "why it was removed"),
    OutColumn(
        "bearing", CellKind.NUMBER, "compass bearing of the + x axis of tilt", "deg"
    ),
)


def _fact_specs() -> dict[str, FactSpec]:
    return {spec.name: spec for specs in FACTS.values() for spec in specs}


def _fact_column(spec: FactSpec) -> OutColumn:
    unit = "" if spec.unit == "count" else spec.unit
    meaning = f"as built: {spec.label}"
    if spec.choices == ("date",):
        return OutColumn(spec.name, _DAY, meaning)
    return OutColumn(spec.name, _TYPED if spec.is_number else _TEXT, meaning, unit)


FACT_COLUMNS = tuple(map(_fact_column, _fact_specs().values()))


@dataclass(frozen=True, slots=True)
class _Known:
    chosen: Chosen
    stems: dict[UUID, StemDiameter]
    facts: dict[UUID, dict[str, Fact]] = field(default_factory=dict)


def support_list(session: Session, chosen: Chosen) -> OutTable:
    """Every member with its support, tree, site and as-built facts."""
    known = _Known(chosen, _stems(session, chosen))
    member_ids = [member.id for member in chosen.members]
    for fact in standing(all_in(session, records.FACTS, "member_id", member_ids)):
        known.facts.setdefault(fact.member_id, {})[fact.name] = fact
    heads = {support.id: _head(known, support) for support in chosen.supports}
    rows = tuple(
        (*heads[member.support_id], *_of_member(member), *_facts(known, member))
        for member in chosen.members
    )
    columns = (*HEAD, *OF_MEMBER, *FACT_COLUMNS)
    return OutTable("supports", "one row a member of a support", columns, rows)


def _stems(session: Session, chosen: Chosen) -> dict[UUID, StemDiameter]:
    found = standing(all_in(session, records.STEM_DIAMETERS, "tree_id", chosen.trees))
    return {s.tree_id: s for s in sorted(found, key=lambda s: s.measured_on)}


def _head(known: _Known, support: Support) -> tuple[Cell, ...]:
    chosen = known.chosen
    tree = chosen.trees[support.tree_id]
    site = chosen.sites[tree.site_id]
    stem = known.stems.get(tree.id)
    return (
        support.code,
        site.code,
        site.name,
        _name(chosen.parties, site.owner_id),
        _name(chosen.parties, site.manager_id),
        _name(chosen.parties, support.installer_id),
        site.timezone,
        site.exposure.value if site.exposure else "",
        site.latitude,
        site.longitude,
        site.soil,
        site.access_note,
        site.quiet_seasons,
        site.holiday_region,
        site.access_hours,
        tree.code,
        tree.species,
        tree.is_heritage,
        number_or_text(stem.given, "mm") if stem else None,
        stem.measured_on if stem else None,
        support.reason,
        support.target,
        support.occupancy.value,
        support.consequence.value,
        support.interval_months,
        support.interval_reason,
        support.note,
    )


def _of_member(member: Member) -> tuple[Cell, ...]:
    return (
        member.code,
        member.kind.value,
        member.installed_on,
        member.removed_on,
        member.removal_note,
        member.bearing_deg,
    )


def _facts(known: _Known, member: Member) -> tuple[Cell, ...]:
    facts = known.facts.get(member.id, {})
    cells: list[Cell] = []
    for column in FACT_COLUMNS:
        fact = facts.get(column.name)
        if fact is None:
            cells.append(None)
        elif column.kind is CellKind.TYPED:
            cells.append(number_or_text(fact.given, column.unit))
        elif column.kind is CellKind.DAY:
            cells.append(date.fromisoformat(fact.given))
        else:
            cells.append(fact.given)
    return tuple(cells)


def _name(parties: dict[UUID, Party], key: UUID | None) -> str:
    party = parties.get(key) if key else None
    return party.name if party else ""
