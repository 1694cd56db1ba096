"""Age calls for work; a new policy shows what it changes before it is adopted."""

from dataclasses import replace
from datetime import date
from uuid import UUID

import pytest

from monitor.domain.vocabulary import MemberKind, WorkKind
from monitor.schedule.default_policy import default_policy
from monitor.schedule.effect import effect, standing_months
from monitor.schedule.history import Coat
from monitor.schedule.policy import Cell
from monitor.schedule.upkeep import work_state, works_owed
from tests.schedule.build import TODAY, a_history

POLICY = default_policy()
COAT = Coat("post P1", date(2010, 3, 14), 20, None)


def test_a_synthetic_part_is_to_be_replaced_by_the_end_of_its_life():
    (work,) = works_owed(
        a_history(replace_by=(("sling C1", date(2027, 1, 31)),)), TODAY
    )

    assert (work.kind, work.due_on) == (WorkKind.REPLACEMENT, date(2027, 1, 31))
    assert work.plan_on == date(2026, 1, 31)
    assert work.sentence == (
        "Replace the sling C1 by 31 January 2027: its service life ends then."
    )
    assert work_state(work, date(2026, 1, 30)) == "not yet"
    assert work_state(work, TODAY) == "to plan"
    assert work_state(work, date(2027, 2, 1)) == "late"


def test_a_coating_is_renewed_at_the_end_of_its_planned_life():
    (work,) = works_owed(a_history(coats=(COAT,)), TODAY)

    assert (work.rule, work.due_on) == ("coating-life", date(2030, 3, 14))
    assert "planned life of 20 years from 14 March 2010" in work.sentence


def test_rust_that_comes_sooner_than_planned_brings_the_paint_forward():
    rusting = replace(COAT, limit_early_on=date(2026, 9, 1))

    (work,) = works_owed(a_history(coats=(rusting,)), TODAY)

    assert (work.rule, work.due_on) == ("coating-limit", date(2027, 9, 1))


def test_a_repaint_starts_the_life_anew():
    history = a_history(coats=(COAT,), works=((date(2024, 6, 3), WorkKind.REPAINT),))

    (work,) = works_owed(history, TODAY)

    assert work.due_on == date(2044, 6, 3)


def test_nothing_is_proposed_without_a_life_or_for_a_removed_support():
    unknown = a_history(
        coats=(replace(COAT, life_years=None), replace(COAT, life_years=0))
    )
    removed = a_history(coats=(COAT,), removed_on=date(2026, 1, 1))

    assert works_owed(unknown, TODAY) == ()
    assert works_owed(removed, TODAY) == ()


def test_the_policy_plans_a_life_for_a_coating_that_states_none_and_is_not_read():
    unknown = replace(COAT, life_years=None)
    read = replace(unknown, is_read=True)

    (work,) = works_owed(a_history(coats=(unknown,)), TODAY, 15)

    assert work.due_on == date(2025, 3, 14)  # by hand: 15 years after 14 March 2010
    assert works_owed(a_history(coats=(read,)), TODAY, 15) == ()


def test_halving_every_interval_doubles_the_visits_of_every_support():
    halved = {
        key: replace(cell, months=cell.months // 2, days=15 * (cell.months % 2))
        for key, cell in POLICY.routine.items()
    }
    stricter = replace(POLICY, routine=halved, detailed={})
    before = replace(POLICY, detailed={})
    fleet = [a_history(support_id=UUID(int=i), code=f"VM-{i:03}") for i in range(4)]

    found = effect(before, stricter, fleet, TODAY)

    assert found.visits_before == pytest.approx(2.0)  # four posts every 24 months
    assert found.visits_after == pytest.approx(4.0)
    assert found.more_visits == pytest.approx(2.0)
    assert [change.code for change in found.changes] == [s.code for s in fleet]
    assert found.in_words() == (
        "2.0 more visits a year (2.0 before, 4.0 after); the interval or next date "
        "changes for 4 of 4 supports."
    )


def test_only_the_supports_that_change_are_listed_and_removed_ones_do_not_count():
    post = a_history()
    pin = a_history(kinds=(MemberKind.PIN,), code="VM-002")
    gone = a_history(removed_on=date(2020, 1, 1))
    yearly_posts = {
        key: Cell(12, "by hand") if key[0] is MemberKind.POST else cell
        for key, cell in POLICY.routine.items()
    }

    found = effect(
        POLICY, replace(POLICY, routine=yearly_posts), [post, pin, gone], TODAY
    )

    assert [change.code for change in found.changes] == ["VM-001"]
    assert found.supports == 2


def test_a_policy_compared_with_itself_changes_nothing():
    found = effect(POLICY, POLICY, [a_history()], TODAY)

    assert found.changes == ()
    assert found.more_visits == 0


def test_a_clients_interval_shortens_what_stands():
    assert standing_months(a_history(), POLICY) == 24
    assert standing_months(a_history(client_interval_months=6), POLICY) == 6


def test_the_largest_gain_in_visits_comes_first():
    """From 24 to 6 months is 1.5 more a year, from 36 to 12 only 0.67."""
    post = a_history(code="A", kinds=(MemberKind.PIN,))
    other = a_history(code="B")
    table = dict(POLICY.routine)
    key = (post.occupancy, post.consequence)
    table[MemberKind.PIN, *key] = Cell(12, "by hand")
    table[MemberKind.POST, *key] = Cell(6, "by hand")

    found = effect(POLICY, replace(POLICY, routine=table), [post, other], TODAY)

    assert [change.code for change in found.changes] == ["B", "A"]
    assert found.more_visits == pytest.approx(1.5 + 2 / 3)
