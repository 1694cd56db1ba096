"""Registering supports through a real database."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from monitor.domain.vocabulary import Consequence, MemberKind, Occupancy
from monitor.errors import InvalidInput
from monitor.services.recording.commands import (
    MemberDraft,
    SiteDraft,
    SupportDraft,
    TreeDraft,
)
from monitor.services.recording.register import register_supports
from monitor.store import records
from monitor.store.ledger import entries
from monitor.store.stale import stale_supports

NOW = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)

POST = MemberDraft(
    "P1",
    "post",
    date(2001, 4, 2),
    bearing="NE",
    facts={"section": "round hollow", "wall": "5", "length": "9 ft 6 in"},
    fact_units={"wall": "mm"},
    marks=("plate", "face"),
)
DRAFT = SupportDraft(
    "S-0142",
    SiteDraft("V-1", "Chapel Row", owner="City of Velmarsh", exposure="c3"),
    TreeDraft(
        "T1", "Quercus robur", heritage="yes", stem="1.42 m",
        stem_measured_on=date(2001, 4, 2),
    ),
    (POST,),
    reason="long low limb",
    occupancy="frequent",
    consequence="minor",
    installer="Corbel & Fern Supports",
    interval="12",
)  # fmt: skip


def register(session, *drafts):
    return register_supports(session, drafts, actor="test", now=NOW)


def test_a_support_is_registered_with_all_that_belongs_to_it(store):
    with store.write_session() as session:
        (key,) = register(session, DRAFT)

    with store.read_session() as session:
        support = records.SUPPORTS.get(session, key)
        (member,) = records.MEMBERS.all(session)
        facts = {f.name: f for f in records.FACTS.all(session)}
        (stem,) = records.STEM_DIAMETERS.all(session)
        assert support.installed_on == date(2001, 4, 2)
        assert support.occupancy is Occupancy.FREQUENT
        assert support.interval_months == 12
        assert member.kind is MemberKind.POST
        assert member.bearing_deg == 45.0
        assert facts["length_mm"].number == pytest.approx(2895.6)  # 114 in by hand
        assert facts["length_mm"].given == "9 ft 6 in"
        assert facts["wall_mm"].given == "5 mm"
        assert facts["section"].given == "round hollow"
        assert stem.diameter_mm == pytest.approx(1420)
        assert {m.code for m in records.MARKS.all(session)} == {"plate", "face"}
        assert {p.name for p in records.PARTIES.all(session)} == {
            "City of Velmarsh",
            "Corbel & Fern Supports",
        }
        assert stale_supports(session) == {key}
        (entry,) = entries(session)
        assert entry.change.action == "support registered"


def test_saying_the_same_again_changes_nothing(store):
    with store.write_session() as session:
        first = register(session, DRAFT)
    with store.write_session() as session:
        second = register(session, DRAFT)

    with store.read_session() as session:
        assert first == second
        assert records.MEMBERS.count(session) == 1
        assert len(list(entries(session))) == 1


def test_a_member_is_added_and_blanks_are_filled_in(store):
    pin = MemberDraft("T7", "pin", date(1999, 3, 1), facts={"hole diameter": "32 mm"})
    later = replace(
        DRAFT, site=replace(DRAFT.site, soil="clay"), members=(POST, pin), note="lit"
    )
    with store.write_session() as session:
        register(session, DRAFT)
    with store.write_session() as session:
        register(session, later)

    with store.read_session() as session:
        (support,) = records.SUPPORTS.all(session)
        (site,) = records.SITES.all(session)
        assert support.installed_on == date(1999, 3, 1)
        assert support.note == "lit"
        assert site.soil == "clay"
        assert {m.code for m in records.MEMBERS.all(session)} == {"P1", "T7"}
        assert [e.change.action for e in entries(session)] == [
            "support registered",
            "support added to",
        ]


def test_several_supports_share_a_new_site_and_tree(store):
    with store.write_session() as session:
        register(session, DRAFT, replace(DRAFT, code="S-0143"))

    with store.read_session() as session:
        assert records.SUPPORTS.count(session) == 2
        assert records.SITES.count(session) == 1
        assert records.TREES.count(session) == 1


def test_a_support_whose_members_are_all_gone_is_gone(store):
    gone = replace(POST, removed_on=date(2020, 5, 1), removal_note="limb lost")
    with store.write_session() as session:
        register(session, replace(DRAFT, members=(gone,)))

        (support,) = records.SUPPORTS.all(session)

    assert support.removed_on == date(2020, 5, 1)


def test_unsaid_occupancy_and_consequence_count_as_the_gravest(store):
    with store.write_session() as session:
        register(session, replace(DRAFT, occupancy="", consequence=""))

        (support,) = records.SUPPORTS.all(session)

    assert support.occupancy is Occupancy.CONSTANT
    assert support.consequence is Consequence.SEVERE


def with_member(**values):
    return replace(DRAFT, members=(replace(POST, **values),))


REFUSED = [
    (with_member(kind="pole"), "one of post, pin"),
    (with_member(facts={"hole diameter": "32 mm"}), "no such fact"),
    (with_member(facts={"wall": "500 mm"}), "0.1 to 60"),
    (with_member(facts={"section": "oval"}), "square hollow"),
    (with_member(installed_on=date(2026, 6, 2)), "today at the site"),
    (with_member(removed_on=date(2000, 1, 1)), "2 April 2001, when it was installed"),
    (with_member(bearing="north-ish"), "a point such as NE"),
    (replace(DRAFT, members=(POST, POST)), "each member once"),
    (replace(DRAFT, members=()), "at least one member"),
    (replace(DRAFT, occupancy="busy"), "one of constant"),
    (replace(DRAFT, site=SiteDraft("V-1")), "the owner of a new site"),
    (replace(DRAFT, site=replace(DRAFT.site, timezone="Mars/One")), "IANA"),
    (replace(DRAFT, site=replace(DRAFT.site, latitude="97")), "latitude"),
    (replace(DRAFT, site=replace(DRAFT.site, quiet_seasons="May")), "03-01/08-31"),
    (replace(DRAFT, site=replace(DRAFT.site, holidays="XX")), "ISO code of a country"),
    (replace(DRAFT, site=replace(DRAFT.site, access_hours="noon")), "9:00-14:30"),
    (replace(DRAFT, tree=replace(DRAFT.tree, heritage="maybe")), "yes or no"),
    (replace(DRAFT, tree=replace(DRAFT.tree, stem_measured_on=None)), "stem measured"),
    (replace(DRAFT, interval="1.5"), "whole number"),
]


@pytest.mark.parametrize(("draft", "sentence"), REFUSED)
def test_what_can_not_be_is_refused_in_words_and_nothing_is_written(
    store, draft, sentence
):
    with pytest.raises(InvalidInput, match=sentence), store.write_session() as session:
        register(session, draft)

    with store.read_session() as session:
        assert records.PARTIES.count(session) == 0
        assert list(entries(session)) == []


CONTRADICTING = [
    (with_member(kind="guy", facts={}), "found “guy”, expected “post” as recorded"),
    (with_member(facts={"wall": "6 mm"}), "“5 mm” as recorded"),
    (replace(DRAFT, occupancy="rare"), "“frequent” as recorded"),
    (replace(DRAFT, tree=TreeDraft("T2")), "found “T2”, expected “T1”"),
    (
        replace(DRAFT, site=replace(DRAFT.site, owner="The Parish")),
        "found “The Parish”, expected “City of Velmarsh”",
    ),
]


@pytest.mark.parametrize(("draft", "sentence"), CONTRADICTING)
def test_what_contradicts_the_record_names_both_values(store, draft, sentence):
    with store.write_session() as session:
        register(session, DRAFT)

    with pytest.raises(InvalidInput, match=sentence), store.write_session() as session:
        register(session, draft)

    with store.read_session() as session:
        assert len(list(entries(session))) == 1
