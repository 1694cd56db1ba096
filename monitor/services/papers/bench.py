"""How fast papers are made: `ops/bench papers [--supports N]`.

A city of copies of one well-read support is recorded in a database of its own, and its
condition report is made in one run. Wall and processor time are both printed: on a
machine that others use as well only the second says something.
"""

import argparse
import tempfile
import time
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from monitor.domain.vocabulary import InspectionKind
from monitor.services.assessing.assess import assess_all
from monitor.services.papers.make import House, make_paper
from monitor.services.papers.wish import PaperWish
from monitor.services.recording.commands import (
    InspectionCommand,
    MemberDraft,
    ReadingDraft,
    SiteDraft,
    SupportDraft,
    TreeDraft,
)
from monitor.services.recording.record import record_inspections
from monitor.services.recording.register import register_supports
from monitor.store import Store
from monitor.store.photos import PhotoFiles
from monitor.store.schema import upgrade
