"""Changing what is registered, through a real database."""

from datetime import UTC, datetime

import pytest

from monitor.domain.vocabulary import Exposure, Occupancy
from monitor.errors import InvalidInput, NotFound
from monitor.services.recording.commands import Revision
from monitor.services.recording.register import register_supports
from monitor.services.recording.revise import revise
from monitor.store import records
from monitor.store.ledger import entries
from monitor.store.stale import mark_fresh, stale_supports
from tests.services.test_register import DRAFT

NOW = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)


@pytest.fixture
def registered(store):
    with store.write_session() as session:
        ids = register_supports(session, [DRAFT], actor="test", now=NOW)
        mark_fresh(session, ids)
    return store


def change(store, *said, reason="letter of the owner"):
    with store.write_session() as session:
        return revise(session, Revision(*said, reason), actor="office", now=NOW)


def test_a_field_of_each_kind_is_changed_and_the_ledger_keeps_what_it_was(registered):
    site = change(registered, "site", "V-1", "exposure", "C4")
    tree = change(registered, "tree", "v-1/t1", "heritage", "no")
    support = change(registered, "support", "S-0142", "occupancy", "rare")
    member = change(registered, "member", "S-0142/P1", "bearing", "90 deg")

    assert site.exposure is Exposure.C4
    assert tree.is_heritage is False
    assert support.occupancy is Occupancy.RARE
    assert member.bearing_deg == 90.0
    with registered.read_session() as session:
        assert records.SUPPORTS.get(session, support.id) == support
        assert stale_supports(session) == {support.id}
        changes = [entry.change for entry in entries(session)][1:]
        assert {change.action for change in changes} == {"record revised"}
        assert '"occupancy":"frequent"' in changes[2].payload


def test_holidays_and_hours_of_a_site_are_set(registered):
    kept = change(registered, "site", "V-1", "holidays", "de-by")
    open_ = change(registered, "site", "V-1", "access hours", "9:00 - 14:30")

    assert kept.holiday_region == "DE-BY"
    assert open_.access_hours == "09:00-14:30"


@pytest.mark.parametrize("field", ["holidays", "access hours", "access_hours"])
def test_holidays_and_hours_of_a_site_are_cleared(registered, field):
    change(registered, "site", "V-1", "holidays", "DE")
    change(registered, "site", "V-1", "access hours", "9:00-14:30")

    cleared = change(registered, "site", "V-1", field, " ")

    left = {cleared.holiday_region, cleared.access_hours} - {""}
    assert left == ({"09:00-14:30"} if field == "holidays" else {"DE"})


def test_a_new_owner_is_made_as_needed(registered):
    site = change(registered, "site", "V-1", "owner", "The Theatre Trust")

    with registered.read_session() as session:
        assert records.PARTIES.get(session, site.owner_id).name == "The Theatre Trust"


def test_an_as_built_fact_is_superseded(registered):
    fact = change(registered, "member", "S-0142/P1", "wall", "6 mm")

    with registered.read_session() as session:
        current = {f.name: f.number for f in records.FACTS.current(session)}
        assert current["wall_mm"] == 6.0
        assert records.FACTS.get(session, fact.supersedes_id).number == 5.0


@pytest.mark.parametrize(
    ("said", "error", "sentence"),
    [
        (("site", "V-9", "soil", "clay"), NotFound, "No site “V-9”"),
        (("member", "S-0142/P9", "bearing", "N"), NotFound, "No member"),
        (("site", "V-1", "colour", "red"), InvalidInput, "a field of a site"),
        (("site", "V-1", "exposure", "C9"), InvalidInput, "one of C1"),
        (("site", "V-1", "holidays", "DE-XX"), InvalidInput, "known parts are"),
        (("site", "V-1", "access hours", "16:00-9:00"), InvalidInput, "no hours"),
        (("support", "S-0142", "interval", "often"), InvalidInput, "interval"),
        (("member", "S-0142/P1", "hole", "3 mm"), InvalidInput, "as-built fact"),
        (("member", "S-0142/P1", "wall", "3 kg"), InvalidInput, "measures mass"),
        (("support", "S-0142", "note", " "), InvalidInput, "blanks say nothing"),
        (("river", "S-0142", "note", "x"), InvalidInput, "none of site"),
    ],
)
def test_what_can_not_be_is_refused_in_words(registered, said, error, sentence):
    with pytest.raises(error, match=sentence):
        change(registered, *said)

    with registered.read_session() as session:
        assert len(list(entries(session))) == 1


def test_a_revision_needs_a_reason(registered):
    with pytest.raises(InvalidInput, match="Say why"):
        change(registered, "site", "V-1", "soil", "clay", reason="")
