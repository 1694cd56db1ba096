"""Published intervals of neighbouring trades, entered as policies, give their answers.

The figures are facts of the sources named; they are analogies for tree supports.
"""

import itertools
from dataclasses import replace
from datetime import date, timedelta

import pytest

from monitor.domain.vocabulary import (
    Consequence,
    Grade,
    InspectionKind,
    MemberKind,
    Occupancy,
)
from monitor.schedule.calendar import Interval, occurrence
from monitor.schedule.default_policy import default_policy
from monitor.schedule.due import owed
from monitor.schedule.policy import Cell, FindingRule
from monitor.schedule.seasons import Season
from tests.schedule.build import NOW, a_history

BASE = default_policy()
START = date(2020, 6, 1)
BASELINE, ROUTINE = InspectionKind.BASELINE, InspectionKind.ROUTINE
DETAILED = InspectionKind.DETAILED


def a_regime(routine, detailed=None, **changes):
    """One interval for everything, without our own early follow-ups."""
    return replace(
        BASE,
        routine=dict.fromkeys(BASE.routine, routine),
        detailed={} if detailed is None else dict.fromkeys(BASE.routine, detailed),
        follow_up_months=(),
        first_gaps=0,
        **changes,
    )


def lived(policy, years, start=START):
    """Dates and kinds if every inspection is made on the day it is due."""
    visits = [(start, BASELINE)]
    while True:
        history = a_history(installed_on=start, inspections=tuple(visits))
        due = owed(history, policy, visits[-1][0], NOW)
        if due.due_on > occurrence(start, Interval(years=years), 1):
            return visits[1:]
        visits.append((due.due_on, due.kind))


def months_between(visits, start=START):
    dates = [start, *(on for on, _ in visits)]
    return [
        (b.year - a.year) * 12 + b.month - a.month for a, b in itertools.pairwise(dates)
    ]


@pytest.mark.parametrize(
    ("months", "source"),
    [
        (24, "23 CFR 650.311: routine inspection of bridges"),
        (6, "LOLER 1998 reg. 9: equipment lifting persons"),
        (12, "LOLER 1998 reg. 9: other lifting equipment"),
        (36, "ANSI/TIA-222: guyed masts"),
        (60, "ANSI/TIA-222: self-supporting masts"),
        (3, "Texas Department of Transportation: pin and hanger, special inspection"),
        (15, "a UK council: trees over high use"),
        (18, "a UK council: trees over high use"),
    ],
)
def test_a_single_interval_comes_round_as_published(months, source):
    visits = lived(a_regime(Cell(months, source)), years=15)

    assert set(months_between(visits)) == {months}
    assert len(visits) == 180 // months


def test_highway_structures_have_two_general_then_one_principal_inspection():
    """UK highway structures: general every 2 years, principal every 6."""
    source = "UK highway structures practice"
    visits = lived(a_regime(Cell(24, source), Cell(72, source)), years=12)

    assert [kind for _, kind in visits] == [
        ROUTINE, ROUTINE, DETAILED, ROUTINE, ROUTINE, DETAILED,
    ]  # fmt: skip
    assert set(months_between(visits)) == {24}


def test_dams_have_a_yearly_look_and_an_expert_every_five_years():
    """Swiss dam safety: engineer yearly, experts every 5 years."""
    source = "Swiss dam safety practice"
    visits = lived(a_regime(Cell(12, source), Cell(60, source)), years=10)

    assert [i + 1 for i, (_, kind) in enumerate(visits) if kind is DETAILED] == [5, 10]
    assert len(visits) == 10


def test_playgrounds_have_a_weekly_look_and_an_annual_main_inspection():
    """EN 1176-7: routine at least weekly on busy sites, annual main inspection."""
    weekly = Cell(0, "EN 1176-7", days=7)
    visits = lived(a_regime(weekly, Cell(12, "EN 1176-7")), years=2)

    dates = [START, *(on for on, _ in visits)]
    gaps = {(b - a).days for a, b in itertools.pairwise(dates)}
    assert max(gaps) == 7
    assert sum(kind is DETAILED for _, kind in visits) == 2


@pytest.mark.parametrize("months", [15, 18])
def test_councils_alternate_the_seasons_with_15_or_18_months(months):
    """18 months alternate strictly; 15 months never leave two years to one season."""
    in_leaf = Season((4, 20), (11, 9), "leaf")
    visits = lived(a_regime(Cell(months, "a UK council")), years=15)
    seen = [in_leaf.holds(on) for on, _ in visits]

    assert {True, False} == set(seen)
    if months == 18:
        assert all(a != b for a, b in itertools.pairwise(seen))
    else:
        runs = [seen[i : i + 4] for i in range(len(seen) - 3)]
        assert all(len(set(run)) == 2 for run in runs)


def test_a_bridge_in_new_york_is_first_inspected_within_60_days():
    """17 NYCRR 165.4."""
    history = a_history(inspections=(), installed_on=date(2026, 5, 1))

    due = owed(history, a_regime(Cell(24, "17 NYCRR 165.4")), date(2026, 5, 4), NOW)

    assert due.late_on == date(2026, 5, 1) + timedelta(days=60)


def test_an_extended_bridge_interval_shortens_when_the_condition_is_poor():
    """23 CFR 650.311: 24 months, extended to 48; a poor condition brings 12 back."""
    poor = {Grade.ACT: FindingRule(365, 365, "23 CFR 650.311")}
    regime = a_regime(Cell(48, "23 CFR 650.311"), findings=poor)
    sound = a_history(installed_on=START, inspections=((START, BASELINE),))
    weak = replace(sound, worst_finding=("section loss", Grade.ACT, START))

    assert owed(sound, regime, START, NOW).due_on == date(2024, 6, 1)
    assert owed(weak, regime, START, NOW).due_on == date(2021, 6, 1)


def test_tree_control_intervals_by_phase_of_life_and_safety_expected():
    """FLL tree control: mature 3 and 2 years, ageing 2 years and yearly."""
    source = "FLL tree control guidelines"
    by_cell = {
        (Occupancy.RARE, Consequence.MINOR): 36,
        (Occupancy.CONSTANT, Consequence.MINOR): 24,
        (Occupancy.RARE, Consequence.SEVERE): 24,
        (Occupancy.CONSTANT, Consequence.SEVERE): 12,
    }
    table = {key: Cell(by_cell.get(key[1:], 24), source) for key in BASE.routine}
    regime = replace(a_regime(Cell(24, source)), routine=table)

    for (use, harm), months in by_cell.items():
        history = a_history(
            installed_on=START, inspections=((START, BASELINE),),
            occupancy=use, consequence=harm, kinds=(MemberKind.POST,),
        )  # fmt: skip
        expected_on = occurrence(START, Interval(months=months), 1)
        assert owed(history, regime, START, NOW).due_on == expected_on
