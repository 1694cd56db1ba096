"""Valid records with defaults: a test states only what matters to it."""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from uuid import UUID

from monitor.clock import new_id
from monitor.domain.inspections import Inspection, Reading
from monitor.domain.methods import noise_of
from monitor.domain.places import Party, Site, Tree
from monitor.domain.supports import Mark, Member, Support
from monitor.domain.vocabulary import (
    Answer,
    Consequence,
    Exposure,
    InspectionKind,
    MemberKind,
    Occupancy,
)
from monitor.store import Session, records

LONG_AGO = datetime(2000, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Standing:
    """Ids of one support with one member and one mark."""

    site: Site
    tree: Tree
    support: Support
    member: Member
    mark: Mark


def a_support(
    session: Session,
    code: str = "S-0142",
    *,
    kind: MemberKind = MemberKind.POST,
    installed_on: date = date(2010, 5, 14),
    mark: str = "plate",
) -> Standing:
    owner = records.PARTIES.find(session, name="City of Velmarsh") or Party(
        new_id(), "City of Velmarsh", "", LONG_AGO
    )
    if records.PARTIES.find(session, name=owner.name) is None:
        records.PARTIES.add(session, [owner])
    site = Site(
        id=new_id(),
        code=f"V-{code}",
        name="Chapel Row",
        owner_id=owner.id,
        manager_id=None,
        timezone="Etc/UTC",
        exposure=Exposure.C3,
        latitude=47.5,
        longitude=-20.0,
        soil="",
        access_note="",
        quiet_seasons="",
        recorded_at=LONG_AGO,
    )
    tree = Tree(
        id=new_id(),
        site_id=site.id,
        code="T1",
        species="Platanus × hispanica",
        is_heritage=True,
        latitude=None,
        longitude=None,
        note="",
        recorded_at=LONG_AGO,
    )
    support = Support(
        id=new_id(),
        tree_id=tree.id,
        code=code,
        reason="long low limb",
        target="path",
        occupancy=Occupancy.FREQUENT,
        consequence=Consequence.SIGNIFICANT,
        installed_on=installed_on,
        removed_on=None,
        installer_id=None,
        interval_months=None,
        interval_reason="",
        note="",
        recorded_at=LONG_AGO,
    )
    member = Member(
        id=new_id(),
        support_id=support.id,
        code="P1",
        kind=kind,
        installed_on=installed_on,
        removed_on=None,
        removal_note="",
        bearing_deg=None,
        recorded_at=LONG_AGO,
    )
    spot = Mark(new_id(), member.id, mark, "", LONG_AGO)
    records.SITES.add(session, [site])
    records.TREES.add(session, [tree])
    records.SUPPORTS.add(session, [support])
    records.MEMBERS.add(session, [member])
    records.MARKS.add(session, [spot])
    return Standing(site, tree, support, member, spot)


def an_inspection(
    support_id: UUID,
    on: date,
    *,
    kind: InspectionKind = InspectionKind.ROUTINE,
    recorded_at: datetime = LONG_AGO,
) -> Inspection:
    key = new_id()
    return Inspection(
        id=key,
        root_id=key,
        support_id=support_id,
        kind=kind,
        inspected_on=on,
        inspector="Ines",
        device_at=None,
        air_c=None,
        leaf=None,
        note="",
        source="test",
        withdrawn=False,
        recorded_by="test",
        recorded_at=recorded_at,
        supersedes_id=None,
        reason="",
    )


def a_reading(
    inspection: Inspection,
    mark_id: UUID,
    quantity: str,
    value: float,
    *,
    recorded_at: datetime = LONG_AGO,
    supersedes_id: UUID | None = None,
) -> Reading:
    noise = noise_of(quantity, "").at(value)
    return Reading(
        id=new_id(), inspection_id=inspection.id, mark_id=mark_id, quantity=quantity,
        repeat=1, answer=Answer.MEASURED, value=value, relation="=", given=str(value),
        method="", instrument_id=None, sd_instrument=noise.repeatability,
        sd_placement=noise.placement, resolution=noise.resolution, reason="",
        recorded_at=recorded_at, supersedes_id=supersedes_id,
    )  # fmt: skip


def some_readings(
    session: Session,
    standing: Standing,
    quantity: str,
    values: dict[date, float],
    *,
    recorded_at: datetime = LONG_AGO,
) -> list[Reading]:
    """One inspection a date, each with one reading."""
    visits = [
        an_inspection(standing.support.id, on, recorded_at=recorded_at) for on in values
    ]
    readings = [
        a_reading(visit, standing.mark.id, quantity, values[visit.inspected_on],
                  recorded_at=recorded_at)
        for visit in visits
    ]  # fmt: skip
    records.INSPECTIONS.add(session, visits)
    records.READINGS.add(session, readings)
    return readings
