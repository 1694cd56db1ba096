"""The dossier that is handed over when owner or contractor changes."""

from collections.abc import Sequence

from monitor.domain.places import Site
from monitor.reports.blocks import (
    Block,
    Chapter,
    Column,
    Grid,
    Heading,
    Pairs,
    Points,
    Signatures,
    Voice,
    Words,
)
from monitor.services.papers.support_pages import Desk
from monitor.services.papers.then import HOW_KNOWN
from monitor.services.papers.wording import CAUTION, counted, on, sentence, why_due
from monitor.services.showing.support import SupportView
from monitor.store import records

PROMISES = (
    "A support eases the load of a limb or stem; it does not make a tree safe, and it "
    "is only as good as its last look.",
    "Who takes over the duty orders the looks and works from the day of hand-over; the "
    "days they are owed by stand below.",
    "Limits without a reason of their own are starting values by analogy; a competent "
    "person sets them for each support.",
    "Parts left in wood or ground when a support was removed stand in its works.",
)


def dossier_pages(desk: Desk, site: Site, views: Sequence[SupportView]) -> list[Block]:
    """The first pages: what is handed over, what is open, what is owed, who signs."""
    standing = [view for view in views if view.support.removed_on is None]
    today = views[0].place.today if views else desk.moment.at.date()
    owner = views[0].place.owner if views else records.PARTIES.get(
        desk.session, site.owner_id
    ).name  # fmt: skip
    blocks: list[Block] = [
        Chapter(
            (site.name or site.code, on(today)),
            f"Hand-over dossier, {on(today)}",
            f"Everything recorded of {site.name or site.code}.",
        ),
        Words(
            f"{counted(len(standing), 'support')} in service and "
            f"{len(views) - len(standing)} removed: every reading, work, finding and "
            "photograph follows, with the limits and the sentences of the analysis. "
            "Nothing else is needed to read it.",
            Voice.LEAD,
        ),
    ]
    if desk.moment.is_past:
        blocks.append(Words(f"As known on {on(today)}. {HOW_KNOWN}", Voice.CAUTION))
    return [
        *blocks,
        Pairs(_about(desk, site, owner)),
        Heading("What it does and does not promise"),
        Points(PROMISES),
        *_open_findings(standing),
        *_owed(standing),
        Words(CAUTION, Voice.CAUTION),
        Heading("Handed over"),
        Words("Open findings and the looks owed have been read and are taken over."),
        Signatures(("Handed over by, place and day", "Taken over by, place and day")),
    ]


def _about(desk: Desk, site: Site, owner: str) -> tuple[tuple[str, str], ...]:
    manager = (
        records.PARTIES.get(desk.session, site.manager_id).name
        if site.manager_id
        else "not said"
    )
    where = "no coordinates on record"
    if site.latitude is not None and site.longitude is not None:
        where = f"{site.latitude:.5f}°, {site.longitude:.5f}°".replace("-", "−")
    items = (
        ("Site", f"{site.code}, {site.name}"),
        ("Where", where),
        ("Owner", owner),
        ("Looked after by", manager),
        ("Access", site.access_note or "not said"),
        ("Ground", site.soil or "not said"),
        ("Air (ISO 9223)", site.exposure.value if site.exposure else "not said"),
        ("Closed seasons", site.quiet_seasons or "none"),
    )
    return tuple((name, sentence(value)) for name, value in items)


def _open_findings(views: Sequence[SupportView]) -> list[Block]:
    rows = [
        (view.support.code, one.grade.value, on(one.seen_on),
         ", ".join(part for part in (one.member, one.label, one.note) if part))
        for view in views
        for one in view.findings
        if one.is_open
    ]  # fmt: skip
    if not rows:
        return [Heading("Open findings"), Words("None.")]
    columns = (Column("Support", 0.8), Column("Grade", 0.8), Column("Seen", 1.4),
               Column("What", 3.4))  # fmt: skip
    return [
        Heading("Open findings"),
        Grid(counted(len(rows), "open finding"), columns, tuple(rows)),
    ]


def _owed(views: Sequence[SupportView]) -> list[Block]:
    rows = tuple(
        (view.support.code, view.standing.standing.value if view.standing else "",
         on(view.due.due_on), why_due(view.due))
        for view in sorted(views, key=lambda v: (v.due is None, v.support.code))
        if view.due is not None
    )  # fmt: skip
    if not rows:
        return [Heading("Looks owed"), Words("None by the rules in force.")]
    columns = (Column("Support", 0.8), Column("Stands at", 0.8), Column("By", 1.4),
               Column("Why", 3.4))  # fmt: skip
    return [Heading("Looks owed"), Grid("One each", columns, rows)]
