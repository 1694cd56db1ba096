"""Conclusions as the analysis writes them, with plain made-up numbers."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID

from monitor.domain.conclusions import Dates, Due, Outlook, SupportStanding
from monitor.domain.vocabulary import InspectionKind, Standing
from monitor.store import Session, records
from tests.build import Standing as Spot

COMPUTED_AT = datetime(2026, 6, 1, 3, tzinfo=UTC)
COMPUTED_FOR = date(2026, 6, 1)
NEVER = Dates(None, None, None)
YEAR = timedelta(days=365.25)


def an_outlook(spot: Spot, series: str, **changes: Any) -> Outlook:
    """Five readings of a still series."""
    outlook = Outlook(
        mark_id=spot.mark.id, series=series, support_id=spot.support.id,
        computed_for=COMPUTED_FOR, readings=5, level=0.7, level_sd=0.4, rate=0.0,
        rate_low=-0.1, rate_high=0.1, evidence=0.3, watch_level=3.0, act_level=8.0,
        watch_on=NEVER, act_on=NEVER, p_beyond_watch=0.0, p_beyond_act=0.0,
        expected_on=COMPUTED_FOR, expected=0.7, expected_low=-0.8, expected_high=2.2,
        unconfirmed=False, look_again_on=None, look_rule="ordinary", refusal="",
        sentence="No movement seen: below 0.1 mm a year.", method_version="test",
        input_version="test", details={}, computed_at=COMPUTED_AT,
    )  # fmt: skip
    return replace(outlook, **changes)


def a_fan(
    start: date, level: float, rate: float, spread: float
) -> list[list[str | float]]:
    """A straight forecast whose 90 % range widens evenly, year by year."""
    return [
        [
            (start + n * YEAR).isoformat(),
            level + rate * n - spread * (1 + 0.3 * n),
            level + rate * n,
            level + rate * n + spread * (1 + 0.3 * n),
        ]
        for n in range(31)
    ]


def stands(
    session: Session, support_id: UUID, standing: Standing, *reasons: str
) -> None:
    """Store how a support stands."""
    said = SupportStanding(support_id, standing, reasons, COMPUTED_FOR, COMPUTED_AT)
    records.STANDINGS.put(session, [said])


def is_owed(session: Session, support_id: UUID, due_on: date, why: str) -> None:
    """Store a routine inspection that opens 30 days early and is late 60 days after."""
    sentence = f"Due on {due_on:%-d %B %Y}: {why}."
    due = Due(
        support_id, InspectionKind.ROUTINE, due_on - timedelta(30), due_on,
        due_on + timedelta(60), due_on + timedelta(240), "duty-interval", sentence,
        (("duty-interval", due_on, sentence),), COMPUTED_AT,
    )  # fmt: skip
    records.DUES.put(session, [due])
