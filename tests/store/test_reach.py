"""How far a viewer's questions reach, on both engines."""

import re
from dataclasses import replace
from datetime import date

import pytest
import sqlalchemy as sa

from monitor.clock import new_id
from monitor.domain.places import Party
from monitor.domain.vocabulary import Role
from monitor.errors import NotAllowed
from monitor.store import reach as reaching
from monitor.store import records
from monitor.store.frames import readings_frame
from monitor.store.models import Base
from monitor.store.models.guards import EVIDENCE, MASTER, PASSING
from monitor.store.overview import overview
from monitor.store.reach import FOLLOWS, SEEN, WRITTEN, Reach, within
from tests.build import LONG_AGO, a_support, some_readings


@pytest.fixture
def two_owners(any_store):
    """Each owner with one support and a reading; the party ids of both."""
    with any_store.write_session() as session:
        mine = a_support(session, "S-0001")
        other = a_support(session, "S-0002")
        stranger = Party(new_id(), "Abbey Yard", "", LONG_AGO)
        records.PARTIES.add(session, [stranger])
        records.SITES.change(session, replace(other.site, owner_id=stranger.id))
        for spot in (mine, other):
            some_readings(session, spot, "settlement", {date(2020, 1, 1): 1.0})
    return any_store, mine, other


def of_owner(store, spot):
    return store.within(Reach(owner_id=spot.site.owner_id))


def test_an_owner_sees_the_own_supports_through_every_kind_of_question(two_owners):
    store, mine, other = two_owners

    with of_owner(store, mine).read_session() as session:
        assert [line.code for line in overview(session)] == ["S-0001"]
        assert records.SUPPORTS.find(session, code="S-0002") is None
        assert records.SITES.count(session) == 1
        assert set(readings_frame(session)["support_id"]) == {mine.support.id}
        assert readings_frame(session, [other.support.id]).empty
        assert records.PARTIES.find(session, name="Abbey Yard") is None
        raw = session.execute(sa.text("SELECT count(*) FROM reading")).scalar_one()
        nested = "WITH a AS (SELECT code FROM support) SELECT code FROM a"
        assert session.execute(sa.text(nested)).scalars().all() == ["S-0001"]
    assert raw == 1


def test_everything_is_seen_again_without_a_reach(two_owners):
    store, mine, _ = two_owners
    with of_owner(store, mine).read_session() as session:
        records.SUPPORTS.all(session)

    with store.read_session() as session:
        assert records.SUPPORTS.count(session) == 2


def test_one_support_may_be_all_that_is_seen(two_owners):
    store, _, other = two_owners

    with store.within(Reach(support_id=other.support.id)).read_session() as session:
        assert [line.code for line in overview(session)] == ["S-0002"]
        assert records.SITES.count(session) == 1
        assert records.READINGS.count(session) == 1


def test_a_support_of_another_owner_is_not_seen_by_naming_it(two_owners):
    store, mine, other = two_owners
    limits = Reach(owner_id=mine.site.owner_id, support_id=other.support.id)

    with store.within(limits).read_session() as session:
        assert overview(session) == []


@pytest.mark.parametrize("role", [Role.AUDITOR, Role.OWNER, None])
def test_who_only_reads_changes_nothing(two_owners, role):
    store, mine, _ = two_owners

    with (
        pytest.raises(NotAllowed, match="may not change"),
        store.within(Reach(role=role)).write_session() as session,
    ):
        records.SITES.change(session, replace(mine.site, name="Elsewhere"))

    with store.read_session() as session:
        assert records.SITES.get(session, mine.site.id).name == "Chapel Row"


def test_a_role_changes_what_it_has_the_right_to_and_no_more(two_owners):
    store, mine, _ = two_owners
    inspectors = store.within(Reach(role=Role.INSPECTOR))

    with inspectors.write_session() as session:
        records.SITES.change(session, replace(mine.site, name="Chapel Lane"))
    with pytest.raises(NotAllowed), inspectors.write_session() as session:
        session.execute(sa.text("UPDATE account SET role = 'administrator'"))
    with pytest.raises(NotAllowed), inspectors.write_session() as session:
        session.execute(sa.text("DELETE FROM policy"))


@pytest.mark.parametrize(
    "statement",
    [
        "WITH a AS (DELETE FROM support RETURNING id) SELECT id FROM a",
        "WITH a AS (SELECT 1) UPDATE support SET code = ''",
        "  insert\n into support VALUES (1)",
        "DROP TABLE support",
        "ATTACH DATABASE 'x' AS y",
        "PRAGMA writable_schema = 1",
        "COPY support TO '/x'",
        "REPLACE INTO support VALUES (1)",
    ],
)
def test_a_change_does_not_pass_as_a_question(statement):
    with pytest.raises(NotAllowed):
        within(Reach(), statement, "sqlite")


def test_every_table_was_decided_about():
    known = {"site", "tree", "support", "party", *SEEN}
    unseen = {
        "account", "sign_in", "entry_key", "second_factor", "recovery_code",
        "outside_name", "sign_in_begun",
        "known_device", "wrong_tries", "recipient", "notice", "import", "job_run",
        "lease", "calibration", "ledger_node", "budget", "travel_table",
    }  # fmt: skip
    tables = {*EVIDENCE, *MASTER, *PASSING}

    assert tables - known - unseen == set()
    assert WRITTEN.keys() & FOLLOWS == set()


def test_a_table_stands_below_those_it_is_narrowed_by():
    for limits in (Reach(owner_id=new_id()), Reach(support_id=new_id())):
        seen = {**reaching._roots(limits), **SEEN}
        order = list(seen)
        for name, condition in seen.items():
            named = set(re.findall(r"FROM (\w+)", condition))
            assert named <= Base.metadata.tables.keys()
            assert all(order.index(other) < order.index(name) for other in named)


def test_a_table_that_is_not_listed_holds_nothing_for_an_owner(two_owners):
    store, mine, _ = two_owners

    with of_owner(store, mine).read_session() as session:
        assert records.ACCOUNTS.all(session) == []
        assert session.execute(sa.text("SELECT * FROM ledger_node")).all() == []
