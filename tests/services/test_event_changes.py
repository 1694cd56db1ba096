"""An event entered wrongly is set right; the looks it raised go with it."""

from dataclasses import replace
from datetime import date

import pytest

from monitor.errors import Conflict, InvalidInput, NotFound
from monitor.schedule.circle import circle
from monitor.services.assessing.assess import assess_all
from monitor.services.planning.event_calls import calls_of, event_named
from monitor.services.planning.event_changes import EventCorrection, correct_event
from monitor.services.planning.events import EventCommand, enter_event
from monitor.store import ledger, records
from tests.build import a_support
from tests.conftest import NOON

WHO = {"actor": "test", "now": NOON}
STORM = EventCommand(
    "storm", date(2026, 5, 30), name="Night storm", area=circle((-20.0, 47.5), 2.0),
    size="95 km/h",
)  # fmt: skip


@pytest.fixture
def entered(store):
    with store.write_session() as session:
        built = [a_support(session, f"S-{n}") for n in (1, 2)]
        records.SITES.change(session, replace(built[1].site, latitude=48.0))
        assess_all(session, now=NOON)
        enter_event(session, STORM, **WHO)
    return built


def test_the_right_place_is_called_and_the_wrong_one_no_more(store, entered):
    there = replace(STORM, area=circle((-20.0, 48.0), 2.0))
    right = EventCorrection("night storm", there, "wrong district")
    with store.write_session() as session:
        made = correct_event(session, right, **WHO)

        rules = {
            due.support_id: {rule for rule, _, _ in due.reasons}
            for due in records.DUES.all(session)
        }
        called = calls_of(session, event_named(session, "Night storm"))
        subjects = [entry.change.action for entry in ledger.entries(session)]
    assert [one.candidate.code for one in made.new] == ["S-2"]
    assert [call.support_id for call in called] == [entered[1].support.id]
    assert "after-event" not in rules[entered[0].support.id]
    assert "after-event" in rules[entered[1].support.id]
    assert subjects.count("event withdrawn") == 1


def test_a_correction_that_corrects_nothing_or_says_no_why_is_refused(store, entered):
    with store.write_session() as session:
        with pytest.raises(Conflict, match="says just this"):
            correct_event(session, EventCorrection("Night storm", STORM, "x"), **WHO)
        with pytest.raises(InvalidInput, match="Say what was wrong"):
            correct_event(session, EventCorrection("Night storm", STORM, " "), **WHO)
        with pytest.raises(NotFound):
            correct_event(session, EventCorrection("flood", STORM, "x"), **WHO)


def test_a_nonsense_correction_leaves_the_event_as_it_was(store, entered):
    wrong = replace(STORM, size="95 parsec")
    with store.write_session() as session:
        with pytest.raises(InvalidInput):
            correct_event(session, EventCorrection("Night storm", wrong, "x"), **WHO)

        kept = event_named(session, "Night storm")
    assert kept.magnitude == pytest.approx(95 / 3.6)
