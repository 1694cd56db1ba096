"""What readings say: is it moving, how fast, until when, and when to look again.

numpy in, numpy out, whole fleets at once. Nothing here reads a file or a clock.
"""

from monitor.trends.codes import (
    EVIDENCE_WORDS,
    LOOK_WORDS,
    REFUSAL_WORDS,
    EvidenceWord,
    Law,
    LawSet,
    LookRule,
    Refusal,
    Regime,
    Relation,
)
from monitor.trends.evidence import discoveries
from monitor.trends.hyper import DEFAULT, METHOD_VERSION, GroupHyper, Hyper
from monitor.trends.outlook import Outlook, Outlooks, outlooks
from monitor.trends.readings import Readings, Series
from monitor.trends.words import About, reading_note, sentence

__all__ = [
    "DEFAULT",
    "EVIDENCE_WORDS",
    "LOOK_WORDS",
    "METHOD_VERSION",
    "REFUSAL_WORDS",
    "About",
    "EvidenceWord",
    "GroupHyper",
    "Hyper",
    "Law",
    "LawSet",
    "LookRule",
    "Outlook",
    "Outlooks",
    "Readings",
    "Refusal",
    "Regime",
    "Relation",
    "Series",
    "discoveries",
    "outlooks",
    "reading_note",
    "sentence",
]
