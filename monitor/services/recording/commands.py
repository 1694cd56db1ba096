"""What a person, a page, a file or a device asks to have recorded.

Words and numbers arrive as typed; the services read, check and refuse them. An empty
text means that nothing was said.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from uuid import UUID


@dataclass(frozen=True, slots=True)
class ReadingCommand:
    """One number as typed, or why there is none.

    Attributes
    ----------
    quantity : name or label in the catalogue
    text, unit : as typed; the unit counts when the text names none
    member : code; empty if the support has only one that carries the quantity
    mark : code; empty for the usual mark of the quantity
    repeat : 0 counts up from 1 within the inspection
    answer, why : empty means measured; else why not
    sd : one standard deviation measured with it [unit of the quantity], None if none
    """

    quantity: str
    text: str = ""
    unit: str = ""
    member: str = ""
    mark: str = ""
    repeat: int = 0
    method: str = ""
    instrument: str = ""
    answer: str = ""
    why: str = ""
    sd: float | None = None


@dataclass(frozen=True, slots=True)
class FindingCommand:
    """A coded observation; an empty grade takes the usual one of the code."""

    code: str
    grade: str = ""
    member: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class InspectionCommand:
    """One support looked at by one person at one moment.

    Attributes
    ----------
    support : code on the tag
    kind : empty means routine, or baseline when it is the support's first
    air : air temperature as typed, in °C unless it says otherwise
    id : made by the device that recorded it, so that sending it twice is harmless
    sure : keys of the doubts that the person has answered
    """

    support: str
    inspected_on: date
    inspector: str
    readings: tuple[ReadingCommand, ...] = ()
    findings: tuple[FindingCommand, ...] = ()
    kind: str = ""
    air: str = ""
    leaf: str = ""
    note: str = ""
    id: UUID | None = None
    device_at: datetime | None = None
    source: str = "command"
    sure: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class MemberDraft:
    """One post, pin, cable, rod or guy as installed.

    Attributes
    ----------
    facts : as typed, by name or label of `monitor.domain.facts`
    fact_units : unit of the heading or field, where the text of a fact has none
    marks : codes of marks to make at once
    """

    code: str
    kind: str
    installed_on: date
    removed_on: date | None = None
    removal_note: str = ""
    bearing: str = ""
    facts: Mapping[str, str] = field(default_factory=dict)
    fact_units: Mapping[str, str] = field(default_factory=dict)
    marks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WorkCommand:
    """An adjustment, repair, repaint, replacement or removal.

    Attributes
    ----------
    member : code; empty means all members of the support
    restarts : series that start anew; None means those usual for the work
    closes : codes of the findings it ends, or "all"
    successor : the new member, where one was replaced by another
    """

    support: str
    done_on: date
    kind: str
    done_by: str
    member: str = ""
    note: str = ""
    restarts: tuple[str, ...] | None = None
    closes: tuple[str, ...] = ()
    successor: MemberDraft | None = None
    id: UUID | None = None


@dataclass(frozen=True, slots=True)
class SiteDraft:
    """A place; parties by name. Empty fields say nothing about an existing site."""

    code: str
    name: str = ""
    owner: str = ""
    manager: str = ""
    timezone: str = ""
    exposure: str = ""
    latitude: str = ""
    longitude: str = ""
    soil: str = ""
    access_note: str = ""
    quiet_seasons: str = ""
    holidays: str = ""
    access_hours: str = ""


@dataclass(frozen=True, slots=True)
class TreeDraft:
    """A tree on the site, with its stem diameter on one day if that is known."""

    code: str
    species: str = ""
    heritage: str = ""
    note: str = ""
    stem: str = ""
    stem_unit: str = ""
    stem_measured_on: date | None = None


@dataclass(frozen=True, slots=True)
class SupportDraft:
    """A support with its site, tree and members, new or to be added to."""

    code: str
    site: SiteDraft
    tree: TreeDraft
    members: tuple[MemberDraft, ...]
    reason: str = ""
    target: str = ""
    occupancy: str = ""
    consequence: str = ""
    installer: str = ""
    interval: str = ""
    interval_unit: str = "months"
    interval_reason: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class ReadingCorrection:
    """Another value for a reading, or the text “withdrawn”.

    Attributes
    ----------
    member, mark : as in `ReadingCommand`
    inspector : needed only if two people read it on that day
    """

    support: str
    on: date
    quantity: str
    text: str
    reason: str
    unit: str = ""
    member: str = ""
    mark: str = ""
    repeat: int = 1
    inspector: str = ""


@dataclass(frozen=True, slots=True)
class InspectionAmendment:
    """Which inspection, why, and what is to be said of it instead; None leaves as is.

    Attributes
    ----------
    inspector, kind : needed only to tell two inspections of one day apart
    """

    support: str
    on: date
    reason: str
    inspector: str = ""
    kind: str = ""
    new_on: date | None = None
    new_inspector: str | None = None
    new_kind: str | None = None
    new_air: str | None = None
    new_leaf: str | None = None
    new_note: str | None = None


@dataclass(frozen=True, slots=True)
class WorkAmendment:
    """Which work, why, and what is to be said of it instead; None leaves as is.

    Attributes
    ----------
    kind, member : needed only to tell two works of one day apart
    """

    support: str
    on: date
    reason: str
    kind: str = ""
    member: str = ""
    new_done_by: str | None = None
    new_note: str | None = None


@dataclass(frozen=True, slots=True)
class LimitCommand:
    """Watch and act values for one series of one support.

    Attributes
    ----------
    basis : "absolute", "change since the baseline" or "fraction of the baseline"
    watch, act : as typed; fractions in per cent
    """

    support: str
    series: str
    basis: str
    watch: str
    act: str
    reason: str


@dataclass(frozen=True, slots=True)
class Revision:
    """A change to what is registered: one field of one thing, with the reason.

    Attributes
    ----------
    kind : "site", "tree", "support" or "member"
    code : as "V-1", "V-1/T1", "S-0142", "S-0142/P1"
    field : as it is called in a list of supports; an as-built fact of a member as well
    text : as typed, with its unit
    """

    kind: str
    code: str
    field: str
    text: str
    reason: str
