"""Supports from a file: one row a member, the rest repeated and in agreement."""

from dataclasses import dataclass, field

from monitor.exchange.headings import FACT
from monitor.exchange.sheet import Row
from monitor.services.drafting.support import draft_support
from monitor.services.ingesting.rows import Origin, Reader, with_heading_unit
from monitor.services.recording.addition import Addition
from monitor.services.recording.checks import Stamp, plain
from monitor.services.recording.commands import (
    MemberDraft,
    SiteDraft,
    SupportDraft,
    TreeDraft,
)
from monitor.services.recording.register import write_additions
from monitor.services.showing.register_view import RegisterView, view_register
from monitor.store import Session

_OF_MEMBER = frozenset(
    {"member", "kind", "installed", "removed", "removal note", "bearing"}
)


@dataclass(slots=True)
class Group:
    """The rows of one support.

    Attributes
    ----------
    head : what all rows together say of the support, its tree and site
    origins : the row of each member
    """

    head: dict[str, str] = field(default_factory=dict)
    members: list[MemberDraft] = field(default_factory=list)
    origins: list[Origin] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)


def ingest_supports(session: Session, reader: Reader, stamp: Stamp) -> None:
    """Check the rows, and write the supports that are sound.

    A support of which one row is bad is left out whole, even when bad rows are skipped.
    """
    groups = _grouped(reader)
    view = view_register(session, [group.head["support"] for group in groups])
    additions = []
    for done, group in enumerate(groups, 1):
        reader.options.progress(done, len(groups))
        addition = _checked(view, reader, group, stamp)
        if addition is not None:
            view.take(addition)
            additions.append(addition)
    if not reader.options.dry_run and (reader.options.skip_bad or not reader.tally.bad):
        write_additions(session, additions, stamp)


def _grouped(reader: Reader) -> list[Group]:
    groups: dict[str, Group] = {}
    for row in reader.table.rows:
        cells = reader.cells(row)
        group = groups.setdefault(plain(cells["support"]), Group())
        group.rows.append(row)
        if not cells["support"]:
            heading = reader.heading("support", Origin(row.number))
            reader.tally.wrong(row.number, heading, "", "the code on the tag")
        _agree(reader, group, row, cells)
        member = _member(reader, row, cells)
        if member:
            group.members.append(member)
            group.origins.append(Origin(row.number))
    return list(groups.values())


def _agree(reader: Reader, group: Group, row: Row, cells: dict[str, str]) -> None:
    """Gather what the rows say of the support; they may be silent, not at odds."""
    for name, text in cells.items():
        said = group.head.get(name, "")
        if name in _OF_MEMBER or not text:
            group.head.setdefault(name, "")
        elif said and name == "note" and plain(text) not in plain(said):
            group.head[name] = f"{said}; {text}"
        elif said and name != "note" and plain(said) != plain(text):
            heading = reader.heading(name, Origin(row.number))
            expected = f"“{said}”, as in row {group.rows[0].number} of the same support"
            reader.tally.wrong(row.number, heading, text, expected)
        else:
            group.head[name] = said or text


def _member(reader: Reader, row: Row, cells: dict[str, str]) -> MemberDraft | None:
    installed_on = reader.day(row, "installed", cells["installed"])
    removed = cells.get("removed", "")
    removed_on = reader.optional_day(row, "removed", removed)
    facts = {column.name: text for column, text in reader.named(row, FACT)}
    units = {column.name: column.unit for column, _ in reader.named(row, FACT)}
    if "replace_by" in facts:
        replace_by = reader.day(row, "replace_by", facts["replace_by"])
        facts["replace_by"] = replace_by.isoformat() if replace_by else ""
    if installed_on is None:
        return None
    return MemberDraft(
        code=cells["member"],
        kind=cells["kind"],
        installed_on=installed_on,
        removed_on=removed_on,
        removal_note=cells.get("removal note", ""),
        bearing=with_heading_unit(
            cells.get("bearing", ""), reader.units.get("bearing", "")
        ),
        facts=facts,
        fact_units=units,
    )


def _checked(
    view: RegisterView, reader: Reader, group: Group, stamp: Stamp
) -> Addition | None:
    """What the group adds to the record; None, with problems noted, if it is bad."""
    tally = reader.tally
    rows = {row.number for row in group.rows}
    draft = _draft(reader, group)
    if rows & tally.bad:
        tally.bad |= rows
        return None
    addition = draft_support(view, draft, stamp, timezone=reader.options.timezone)
    for problem in addition.problems:
        reader.blame(problem, [group.origins[max(problem.part, 0)]])
    for doubt in addition.doubts:
        reader.question(doubt, group.origins[0])
    if rows & tally.bad:
        tally.bad |= rows
        return None
    if addition.changes_record:
        known = {group.origins[part].row for part in addition.known}
        tally.new |= (rows - known) or rows
    for name in ("supports", "members", "facts", "trees", "sites"):
        tally.made[name] += len(getattr(addition, name))
    return addition


def _draft(reader: Reader, group: Group) -> SupportDraft:
    said = group.head
    stem_row = group.rows[0]
    measured_on = reader.optional_day(
        stem_row, "stem measured", said.get("stem measured", "")
    )
    site = SiteDraft(
        code=said.get("site", ""),
        name=said.get("site name", ""),
        owner=said.get("owner", ""),
        manager=said.get("manager", ""),
        timezone=said.get("time zone", ""),
        exposure=said.get("exposure", ""),
        latitude=said.get("latitude", ""),
        longitude=said.get("longitude", ""),
        soil=said.get("soil", ""),
        access_note=said.get("access", ""),
        quiet_seasons=said.get("quiet seasons", ""),
        holidays=said.get("holidays", ""),
        access_hours=said.get("access hours", ""),
    )
    tree = TreeDraft(
        code=said.get("tree", ""),
        species=said.get("species", ""),
        heritage=said.get("heritage", ""),
        stem=said.get("stem diameter", ""),
        stem_unit=reader.units.get("stem diameter", ""),
        stem_measured_on=measured_on,
    )
    return SupportDraft(
        code=said["support"],
        site=site,
        tree=tree,
        members=tuple(group.members),
        reason=said.get("reason", ""),
        target=said.get("target", ""),
        occupancy=said.get("occupancy", ""),
        consequence=said.get("consequence", ""),
        installer=said.get("installer", ""),
        interval=said.get("interval", ""),
        interval_unit=reader.units.get("interval", "") or "months",
        interval_reason=said.get("interval reason", ""),
        note=said.get("note", ""),
    )
