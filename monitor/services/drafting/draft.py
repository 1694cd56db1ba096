"""An inspection on its way into the record."""

from dataclasses import dataclass, field

from monitor.domain.inspections import Finding, Inspection, Instrument, Reading
from monitor.services.drafting.reading import Spot
from monitor.services.recording.checks import Doubt, Problem
from monitor.services.recording.dossier import SeriesKey


@dataclass(slots=True)
class Draft:
    """What would be written, and what stands against it.

    Attributes
    ----------
    is_new : whether the inspection itself would be written
    readings, findings : by number in the command
    known : numbers of readings and findings that the record holds already; findings
        are numbered after the readings
    seen : text of each repeat met so far, by mark and quantity
    """

    inspection: Inspection
    is_new: bool
    readings: dict[int, tuple[Spot, Reading]] = field(default_factory=dict)
    findings: dict[int, Finding] = field(default_factory=dict)
    instruments: list[Instrument] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    known: set[int] = field(default_factory=set)
    seen: dict[SeriesKey, dict[int, str]] = field(default_factory=dict)

    @property
    def changes_record(self) -> bool:
        """Whether there is anything to write."""
        return self.is_new or bool(self.readings or self.findings)
