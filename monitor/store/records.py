"""The repositories, one per kind of record."""

from collections.abc import Mapping
from dataclasses import asdict, fields
from datetime import date
from typing import Any

from monitor.domain.calibration import Calibration, GroupAudit
from monitor.domain.conclusions import Dates, Due, Outlook, SupportStanding
from monitor.domain.events import Event
from monitor.domain.field_tasks import FieldSettlement, FieldTask
from monitor.domain.inspections import (
    Closure,
    Finding,
    Inspection,
    Instrument,
    Photo,
    Reading,
    Segment,
    Work,
)
from monitor.domain.loggers import LoggerBatch
from monitor.domain.notices import Notice, NoticeLine, Recipient
from monitor.domain.people import (
    Account,
    EntryKey,
    KnownDevice,
    RecoveryCode,
    SecondFactor,
    SignIn,
)
from monitor.domain.pictures import PhotoMeasure, Sketch
from monitor.domain.places import Party, Site, StemDiameter, Tree
from monitor.domain.rounds import AgreedRound, AgreedStop, TravelTable
from monitor.domain.running import ImportedFile, JobRun
from monitor.domain.scheduling import (
    CrownWish,
    DeferralEntry,
    EventCall,
    PolicyVersion,
    SiteClosure,
)
from monitor.domain.supports import Fact, LimitOverride, Mark, Member, Support
from monitor.domain.vocabulary import MemberKind
from monitor.store import models as m
from monitor.store.repository import Repository

_FLAT = ("watch_on", "act_on")


def _outlook_values(outlook: Outlook) -> dict[str, Any]:
    values = {f.name: getattr(outlook, f.name) for f in fields(outlook)}
    for name in _FLAT:
        dates: Dates = values.pop(name)
        stem = name.removesuffix("_on")
        values[f"{stem}_early_on"] = dates.early
        values[f"{stem}_median_on"] = dates.median
        values[f"{stem}_late_on"] = dates.late
    return values


def _outlook(row: Mapping[str, Any]) -> Outlook:
    values = dict(row)
    for name in _FLAT:
        stem = name.removesuffix("_on")
        parts = [
            values.pop(f"{stem}_{part}_on") for part in ("early", "median", "late")
        ]
        values[name] = Dates(*parts)
    return Outlook(**values)


def _due_values(due: Due) -> dict[str, Any]:
    values = {f.name: getattr(due, f.name) for f in fields(due)}
    values["reasons"] = [[r, on.isoformat(), why] for r, on, why in due.reasons]
    return values


def _due(row: Mapping[str, Any]) -> Due:
    reasons = tuple((r, date.fromisoformat(on), why) for r, on, why in row["reasons"])
    return Due(**{**row, "reasons": reasons})


def _calibration_values(found: Calibration) -> dict[str, Any]:
    values = {f.name: getattr(found, f.name) for f in fields(found)}
    return values | {"audits": [asdict(audit) for audit in found.audits]}


def _calibration(row: Mapping[str, Any]) -> Calibration:
    audits = tuple(
        GroupAudit(**{**audit, "kind": MemberKind(audit["kind"])})
        for audit in row["audits"]
    )
    return Calibration(**{**row, "audits": audits})


def _standing(row: Mapping[str, Any]) -> SupportStanding:
    return SupportStanding(**{**row, "reasons": tuple(row["reasons"])})


def _recipient(row: Mapping[str, Any]) -> Recipient:
    return Recipient(**{**row, "sites": tuple(row["sites"])})


def notice_values(notice: Notice) -> dict[str, Any]:
    """Columns of a notice."""
    values = {f.name: getattr(notice, f.name) for f in fields(notice)}
    lines = [[line.heading, line.text, line.path] for line in notice.lines]
    return values | {"lines": lines}


def _notice(row: Mapping[str, Any]) -> Notice:
    return Notice(**{**row, "lines": tuple(NoticeLine(*line) for line in row["lines"])})


def _travel_table(row: Mapping[str, Any]) -> TravelTable:
    ways = tuple((start, end, value) for start, end, value in row["ways"])
    return TravelTable(**{**row, "ways": ways})


PARTIES = Repository(m.PartyRow, Party)
SITES = Repository(m.SiteRow, Site)
TREES = Repository(m.TreeRow, Tree)
STEM_DIAMETERS = Repository(m.StemDiameterRow, StemDiameter)
SUPPORTS = Repository(m.SupportRow, Support)
MEMBERS = Repository(m.MemberRow, Member)
FACTS = Repository(m.FactRow, Fact)
MARKS = Repository(m.MarkRow, Mark)
LIMIT_OVERRIDES = Repository(m.LimitOverrideRow, LimitOverride)
INSTRUMENTS = Repository(m.InstrumentRow, Instrument)
INSPECTIONS = Repository(m.InspectionRow, Inspection)
READINGS = Repository(m.ReadingRow, Reading)
LOGGER_BATCHES = Repository(m.LoggerBatchRow, LoggerBatch)
FINDINGS = Repository(m.FindingRow, Finding)
CLOSURES = Repository(m.ClosureRow, Closure)
PHOTOS = Repository(m.PhotoRow, Photo)
SKETCHES = Repository(m.SketchRow, Sketch)
PHOTO_MEASURES = Repository(m.PhotoMeasureRow, PhotoMeasure)
FIELD_TASKS = Repository(m.FieldTaskRow, FieldTask)
FIELD_SETTLEMENTS = Repository(m.FieldSettlementRow, FieldSettlement)
WORKS = Repository(m.WorkRow, Work)
SEGMENTS = Repository(m.SegmentRow, Segment)
OUTLOOKS = Repository(
    m.OutlookRow, Outlook, to_values=_outlook_values, to_record=_outlook
)
STANDINGS = Repository(m.StandingRow, SupportStanding, to_record=_standing)
DUES = Repository(m.DueRow, Due, to_values=_due_values, to_record=_due)
EVENTS = Repository(m.EventRow, Event)
ACCOUNTS = Repository(m.AccountRow, Account)
SIGN_INS = Repository(m.SignInRow, SignIn)
ENTRY_KEYS = Repository(m.EntryKeyRow, EntryKey)
KNOWN_DEVICES = Repository(m.KnownDeviceRow, KnownDevice)
SECOND_FACTORS = Repository(m.SecondFactorRow, SecondFactor)
RECOVERY_CODES = Repository(m.RecoveryCodeRow, RecoveryCode)
IMPORTS = Repository(m.ImportRow, ImportedFile)
JOB_RUNS = Repository(m.JobRunRow, JobRun)
POLICIES = Repository(m.PolicyRow, PolicyVersion)
EVENT_CALLS = Repository(m.EventCallRow, EventCall)
DEFERRALS = Repository(m.DeferralRow, DeferralEntry)
SITE_CLOSURES = Repository(m.SiteClosureRow, SiteClosure)
CROWN_WISHES = Repository(m.CrownWishRow, CrownWish)
AGREED_ROUNDS = Repository(m.AgreedRoundRow, AgreedRound)
AGREED_STOPS = Repository(m.AgreedStopRow, AgreedStop)
TRAVEL_TABLES = Repository(m.TravelTableRow, TravelTable, to_record=_travel_table)
CALIBRATIONS = Repository(
    m.CalibrationRow,
    Calibration,
    to_values=_calibration_values,
    to_record=_calibration,
)
RECIPIENTS = Repository(m.RecipientRow, Recipient, to_record=_recipient)
NOTICES = Repository(m.NoticeRow, Notice, to_values=notice_values, to_record=_notice)
