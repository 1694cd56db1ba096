"""Every table, as classes named *Row; importing this fills `Base.metadata`."""

from monitor.store.models.base import Base
from monitor.store.models.calibration import CalibrationRow
from monitor.store.models.conclusions import DueRow, OutlookRow, StaleRow, StandingRow
from monitor.store.models.entry import (
    AccountRow,
    EntryKeyRow,
    KnownDeviceRow,
    OutsideNameRow,
    RecoveryCodeRow,
    SecondFactorRow,
    SignInBegunRow,
    SignInRow,
    WrongTriesRow,
)
from monitor.store.models.guards import guard_all
from monitor.store.models.history import LedgerNodeRow, LedgerRow
from monitor.store.models.inspections import (
    ClosureRow,
    FindingRow,
    InspectionRow,
    InstrumentRow,
    PhotoRow,
    ReadingRow,
    SegmentRow,
    WorkRow,
)
from monitor.store.models.loggers import LoggerBatchRow
from monitor.store.models.notices import CalendarShownRow, NoticeRow, RecipientRow
from monitor.store.models.operations import (
    EventRow,
    ImportRow,
    JobRunRow,
    LeaseRow,
)
from monitor.store.models.pictures import (
    FieldSettlementRow,
    FieldTaskRow,
    PhotoMeasureRow,
    SketchRow,
)
from monitor.store.models.places import PartyRow, SiteRow, StemDiameterRow, TreeRow
from monitor.store.models.rounds import (
    AgreedRoundRow,
    AgreedStopRow,
    TravelTableRow,
)
from monitor.store.models.scheduling import (
    CrownWishRow,
    DeferralRow,
    EventCallRow,
    PolicyRow,
    SiteClosureRow,
)
from monitor.store.models.supports import (
    FactRow,
    LimitOverrideRow,
    MarkRow,
    MemberRow,
    SupportRow,
)

__all__ = [
    "AccountRow",
    "AgreedRoundRow",
    "AgreedStopRow",
    "Base",
    "CalendarShownRow",
    "CalibrationRow",
    "ClosureRow",
    "CrownWishRow",
    "DeferralRow",
    "DueRow",
    "EntryKeyRow",
    "EventCallRow",
    "EventRow",
    "FactRow",
    "FieldSettlementRow",
    "FieldTaskRow",
    "FindingRow",
    "ImportRow",
    "InspectionRow",
    "InstrumentRow",
    "JobRunRow",
    "KnownDeviceRow",
    "LeaseRow",
    "LedgerNodeRow",
    "LedgerRow",
    "LimitOverrideRow",
    "LoggerBatchRow",
    "MarkRow",
    "MemberRow",
    "NoticeRow",
    "OutlookRow",
    "OutsideNameRow",
    "PartyRow",
    "PhotoMeasureRow",
    "PhotoRow",
    "PolicyRow",
    "ReadingRow",
    "RecipientRow",
    "RecoveryCodeRow",
    "SecondFactorRow",
    "SegmentRow",
    "SignInBegunRow",
    "SignInRow",
    "SiteClosureRow",
    "SiteRow",
    "SketchRow",
    "StaleRow",
    "StandingRow",
    "StemDiameterRow",
    "SupportRow",
    "TravelTableRow",
    "TreeRow",
    "WorkRow",
    "WrongTriesRow",
]

guard_all(Base.metadata)
