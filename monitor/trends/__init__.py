"""What readings say: is it moving, how fast, until when, and when to look again.

numpy in, numpy out, whole fleets at once. Nothing here reads a file or a clock.
"""

from monitor.trends.audit import (
    VERDICT_WORDS,
    Audit,
    Score,
    Verdict,
    applied,
    audit,
    audit_words,
)
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
from monitor.trends.fitting import fit
from monitor.trends.following import Following, append, follow, outlooks_of, settle
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
    "VERDICT_WORDS",
    "About",
    "Audit",
    "EvidenceWord",
    "Following",
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
    "Score",
    "Series",
    "Verdict",
    "append",
    "applied",
    "audit",
    "audit_words",
    "discoveries",
    "fit",
    "follow",
    "outlooks",
    "outlooks_of",
    "reading_note",
    "sentence",
    "settle",
]
