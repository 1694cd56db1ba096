"""The rows of the files, in the words of the import, and how they are written."""

import csv
import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

WORDS = {
    "supports.csv": (
        "owner", "manager", "installer", "site", "site name", "time zone", "exposure",
        "latitude", "longitude", "soil", "access", "quiet seasons", "tree", "species",
        "heritage", "support", "reason", "target", "occupancy", "consequence",
        "interval [months]", "interval reason", "member", "kind", "installed",
        "removed", "removal note", "bearing [deg]", "note", "stem diameter [mm]",
        "stem measured",
    ),
    "inspections.csv": (
        "support", "member", "mark", "date", "kind", "inspector", "quantity", "value",
        "unit", "method", "answer", "why", "air [degC]", "leaf", "finding", "grade",
        "note", "repeat",
    ),
    "works.csv": (
        "support", "member", "date", "work", "done by", "note", "restarts", "closes",
    ),
    "corrections.csv": (
        "support", "member", "mark", "date", "quantity", "repeat", "value", "unit",
        "reason", "entered",
    ),
    "truth.csv": (
        "support", "member", "mark", "quantity", "from", "until", "course",
        "moves from", "rate per year", "season", "noise sd", "true value at from",
        "true value at until",
    ),
}  # fmt: skip
"""Headings of each file; the as-built facts that occur follow in supports.csv."""

Row = dict[str, str]


@dataclass(frozen=True, slots=True)
class Site:
    """A place in Velmarsh.

    Attributes
    ----------
    district : quarter of the city, the last words of its name
    """

    code: str
    name: str
    district: str
    owner: str
    exposure: str
    latitude: float
    longitude: float
    soil: str
    access: str = ""
    quiet_seasons: str = ""


@dataclass(frozen=True, slots=True)
class Tree:
    """A tree on a site."""

    code: str
    species: str
    site: Site
    heritage: bool = True
    stem: str = ""
    stem_measured: str = ""


@dataclass(frozen=True, slots=True)
class Support:
    """A support, as it is registered."""

    code: str
    tree: Tree
    reason: str
    target: str
    occupancy: str
    consequence: str
    installer: str = "Corbel & Fern Supports"
    note: str = ""


@dataclass(frozen=True, slots=True)
class Member:
    """A member, as built."""

    code: str
    kind: str
    installed: date
    facts: Mapping[str, str]
    bearing: str = ""
    removed: date | None = None
    removal_note: str = ""


@dataclass(frozen=True, slots=True)
class Visit:
    """One support looked at by one person on one day."""

    support: str
    on: date
    inspector: str
    kind: str = "routine"
    air: str = ""
    leaf: str = ""


@dataclass(frozen=True, slots=True)
class Entry:
    """One row of a visit: a reading, a finding, or why there is neither."""

    quantity: str = ""
    value: str = ""
    unit: str = ""
    method: str = ""
    member: str = ""
    mark: str = ""
    answer: str = ""
    why: str = ""
    finding: str = ""
    grade: str = ""
    note: str = ""
    repeat: str = ""


@dataclass(frozen=True, slots=True)
class Work:
    """Something done to a support."""

    support: str
    on: date
    kind: str
    note: str
    member: str = ""
    done_by: str = "Corbel & Fern Supports"
    restarts: str = ""
    closes: str = ""


@dataclass(frozen=True, slots=True)
class Correction:
    """A later word on a reading, and the day it was entered."""

    support: str
    member: str
    mark: str
    on: date
    quantity: str
    value: str
    unit: str
    reason: str
    entered: date
    repeat: str = "1"


@dataclass
class Book:
    """All rows, as they are written down one after another."""

    rows: dict[str, list[Row]] = field(
        default_factory=lambda: {name: [] for name in WORDS}
    )
    supports: dict[str, Support] = field(default_factory=dict)
    members: dict[str, tuple[Member, ...]] = field(default_factory=dict)

    def register(self, support: Support, members: Iterable[Member]) -> None:
        """Write a support with its members."""
        self.supports[support.code] = support
        self.members[support.code] = tuple(members)
        head = _head(support)
        for member in self.members[support.code]:
            self.rows["supports.csv"].append(head | _built(member))

    def visit(self, visit: Visit, *entries: Entry) -> None:
        """Write an inspection, one row for each entry."""
        head = {
            "support": visit.support,
            "date": visit.on.isoformat(),
            "kind": visit.kind,
            "inspector": visit.inspector,
            "air [degC]": visit.air,
            "leaf": visit.leaf,
        }
        for entry in entries:
            self.rows["inspections.csv"].append(
                head | {name: getattr(entry, name) for name in _ENTRY}
            )

    def work(self, work: Work) -> None:
        """Write down what was done."""
        row = {name: getattr(work, name) for name in ("support", "member", "note")}
        row |= {"date": work.on.isoformat(), "work": work.kind}
        row |= {"done by": work.done_by}
        row |= {"restarts": work.restarts, "closes": work.closes}
        self.rows["works.csv"].append(row)

    def correct(self, correction: Correction) -> None:
        """Write a later word on a reading."""
        names = ("support", "member", "mark", "quantity", "repeat", "value", "unit")
        row = {name: getattr(correction, name) for name in (*names, "reason")}
        row |= {"date": correction.on.isoformat()}
        row |= {"entered": correction.entered.isoformat()}
        self.rows["corrections.csv"].append(row)

    def files(self) -> dict[str, str]:
        """The text of every file, in an order that does not depend on the making."""
        return {name: _csv(name, rows) for name, rows in self.rows.items()}


_ENTRY = tuple(Entry.__dataclass_fields__)


def _head(support: Support) -> Row:
    tree, site = support.tree, support.tree.site
    return {
        "owner": site.owner,
        "manager": "Office of Street and Heritage Trees",
        "installer": support.installer,
        "site": site.code,
        "site name": f"{site.name}, {site.district}",
        "time zone": "UTC",
        "exposure": site.exposure,
        "latitude": f"{site.latitude:.5f}",
        "longitude": f"{site.longitude:.5f}",
        "soil": site.soil,
        "access": site.access,
        "quiet seasons": site.quiet_seasons,
        "tree": tree.code,
        "species": tree.species,
        "heritage": "yes" if tree.heritage else "no",
        "support": support.code,
        "reason": support.reason,
        "target": support.target,
        "occupancy": support.occupancy,
        "consequence": support.consequence,
        "note": support.note,
        "stem diameter [mm]": tree.stem,
        "stem measured": tree.stem_measured,
    }


def _built(member: Member) -> Row:
    return {
        "member": member.code,
        "kind": member.kind,
        "installed": member.installed.isoformat(),
        "removed": member.removed.isoformat() if member.removed else "",
        "removal note": member.removal_note,
        "bearing [deg]": member.bearing,
        **member.facts,
    }


def _csv(name: str, rows: list[Row]) -> str:
    headings = list(WORDS[name])
    for row in rows:
        headings += [heading for heading in row if heading not in headings]
    text = io.StringIO()
    writer = csv.DictWriter(text, headings, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(sorted(rows, key=_place) if name in _DATED else rows)
    return text.getvalue()


def _place(row: Mapping[str, str]) -> tuple[str, str]:
    """Date, then support; rows of one visit keep the order they were written in."""
    return row["date"], row["support"]


_DATED = frozenset({"inspections.csv", "works.csv", "corrections.csv"})
