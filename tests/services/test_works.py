"""Works that age calls for come from the record and are shown where they are owed."""

from dataclasses import replace
from datetime import date

import pytest

from monitor.clock import new_id
from monitor.domain.supports import Fact
from monitor.domain.vocabulary import MemberKind, WorkKind
from monitor.services.planning.adopt_policy import adopt
from monitor.services.planning.policy import policy_in_force
from monitor.services.planning.works import works_due
from monitor.store import records
from tests.build import LONG_AGO, a_support
from tests.conftest import NOON

TODAY = date(2026, 6, 1)


def told(member_id, name, given):
    return Fact(new_id(), member_id, name, None, given, LONG_AGO, None)


@pytest.fixture
def aged(store):
    """A post painted in 2010, a synthetic cable of 2019, a new one."""
    with store.write_session() as session:
        post = a_support(session, "S-1")
        rope = a_support(
            session, "S-2", kind=MemberKind.CABLE, installed_on=date(2019, 3, 1)
        )
        new = a_support(
            session, "S-3", kind=MemberKind.CABLE, installed_on=date(2026, 3, 1)
        )
        records.FACTS.add(
            session,
            [
                told(post.member.id, "coating", "epoxy"),
                told(rope.member.id, "line", "synthetic rope"),
                told(new.member.id, "line", "synthetic rope"),
            ],
        )
    return post


def test_what_is_to_be_planned_is_listed_by_its_date(store, aged):
    with store.write_session() as session:
        lasting = replace(policy_in_force(session), coating_life_years=12)
        adopt(session, lasting, reason="paint plan", actor="test", now=NOON)
        works = works_due(session, None, today=TODAY)

    # By hand: 12 years after 14 May 2010; 8 years after 1 March 2019
    assert [(w.code, w.due_on) for w in works] == [
        ("S-1", date(2022, 5, 14)),
        ("S-2", date(2027, 3, 1)),
    ]
    assert "Replace the synthetic cable" in works[1].sentence


def test_the_policy_to_begin_with_renews_paint_at_the_end_of_medium(store, aged):
    with store.read_session() as session:
        works = works_due(session, [aged.support.id], today=TODAY)

    # ISO 12944-1:2017: medium durability is 7 to 15 years; by hand: 14 May 2010 + 15
    assert [(w.kind, w.rule, w.due_on) for w in works] == [
        (WorkKind.REPAINT, "coating-life", date(2025, 5, 14))
    ]


def test_one_support_has_its_own_works(store, aged):
    with store.write_session() as session:
        none = replace(policy_in_force(session), coating_life_years=0)
        adopt(session, none, reason="no paint plan", actor="test", now=NOON)
    with store.read_session() as session:
        rope = records.SUPPORTS.find(session, code="S-2")
        of_rope = works_due(session, [rope.id], today=TODAY)
        of_post = works_due(session, [aged.support.id], today=TODAY)

    assert [work.code for work in of_rope] == ["S-2"]
    assert of_post == ()  # nobody said how long its paint should last


def test_zinc_is_not_renewed_by_its_age(store):
    with store.write_session() as session:
        post = a_support(session)
        zinc = told(post.member.id, "coating", "hot-dip galvanised")
        records.FACTS.add(session, [zinc])
        lasting = replace(policy_in_force(session), coating_life_years=12)
        adopt(session, lasting, reason="paint plan", actor="test", now=NOON)

        assert works_due(session, None, today=TODAY) == ()


@pytest.mark.parametrize(
    ("kind", "coating"), [(MemberKind.POST, "None"), (MemberKind.PIN, "red lead paint")]
)
def test_no_coating_is_renewed_where_there_is_none_or_nobody_gets_at_it(
    store, kind, coating
):
    with store.write_session() as session:
        bare = a_support(session, kind=kind)
        records.FACTS.add(session, [told(bare.member.id, "coating", coating)])

        assert works_due(session, None, today=TODAY) == ()
