"""A policy is data: it reads back as written, and what can not work is refused."""

import json
from dataclasses import replace

import pytest

from monitor.domain.vocabulary import (
    Consequence,
    Grade,
    MemberKind,
    Occupancy,
    WorkKind,
)
from monitor.errors import InvalidInput
from monitor.schedule.default_policy import default_policy
from monitor.schedule.policy import Cell, FindingRule, WindowRule, governing
from monitor.schedule.policy_record import from_plain, to_plain

DEFAULT = default_policy()
WORST = (MemberKind.POST, Occupancy.CONSTANT, Consequence.SEVERE)


def test_the_proposal_reads_back_as_written_even_through_json():
    written = json.loads(json.dumps(to_plain(DEFAULT)))

    assert from_plain(written) == DEFAULT


def test_every_interval_of_the_proposal_names_its_source():
    cells = [*DEFAULT.routine.values(), *DEFAULT.detailed.values()]

    assert all(cell.source for cell in cells)
    assert len(DEFAULT.routine) == 5 * 4 * 3


def test_more_use_or_graver_consequence_never_lengthens_the_proposal():
    uses, harms = list(Occupancy), list(Consequence)
    for kind in MemberKind:
        for i, use in enumerate(uses):
            for j, harm in enumerate(harms):
                months = DEFAULT.routine[kind, use, harm].months
                for milder in [(u, h) for u in uses[i:] for h in harms[j:]]:
                    assert months <= DEFAULT.routine[kind, *milder].months


def test_the_kind_with_the_shortest_interval_governs_a_mixed_support():
    kinds = (MemberKind.PIN, MemberKind.CABLE)

    found = governing(DEFAULT.routine, kinds, Occupancy.FREQUENT, Consequence.SEVERE)

    assert found is not None
    assert found[0] is MemberKind.CABLE


def test_a_support_without_members_is_held_to_the_strictest_kind():
    found = governing(DEFAULT.routine, (), Occupancy.FREQUENT, Consequence.SEVERE)

    assert found is not None
    assert found[1].months == min(
        DEFAULT.routine[kind, Occupancy.FREQUENT, Consequence.SEVERE].months
        for kind in MemberKind
    )


@pytest.mark.parametrize("months", [0, -6])
def test_an_interval_of_zero_or_less_is_refused(months):
    table = dict(DEFAULT.routine) | {WORST: Cell(months, "by hand")}

    with pytest.raises(InvalidInput, match="must be at least 1 day"):
        replace(DEFAULT, routine=table)


def test_a_missing_cell_is_named():
    table = {key: cell for key, cell in DEFAULT.routine.items() if key != WORST}

    with pytest.raises(InvalidInput, match="no interval for a post, constant use"):
        replace(DEFAULT, routine=table)


def test_an_interval_without_a_source_is_refused():
    table = dict(DEFAULT.routine) | {WORST: Cell(6, " ")}

    with pytest.raises(InvalidInput, match="names no source"):
        replace(DEFAULT, routine=table)


@pytest.mark.parametrize(
    ("window", "says"),
    [
        (WindowRule(opens_days=-5), "opens after the due date"),
        (WindowRule(late_days=-5), "late before it is due"),
        (WindowRule(opens_share=0.6), "half the interval or more"),
        (WindowRule(opens_days=200, late_days=200), "runs into the next one"),
    ],
)
def test_a_window_that_can_not_work_is_refused(window, says):
    with pytest.raises(InvalidInput, match=says):
        replace(DEFAULT, window=window)


def test_follow_ups_that_do_not_go_up_are_refused():
    with pytest.raises(InvalidInput, match="do not go up"):
        replace(DEFAULT, follow_up_months=(3, 1))
    with pytest.raises(InvalidInput, match="do not go up"):
        replace(DEFAULT, after_work_months={WorkKind.REPAIR: (0, 3)})


@pytest.mark.parametrize(
    "name", ["first_gap_months", "unconfirmed_months", "life_ahead_months"]
)
def test_other_intervals_of_zero_are_refused_too(name):
    with pytest.raises(InvalidInput, match="must be at least 1"):
        replace(DEFAULT, **{name: 0})


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"routine": None}, "can not be read"),
        ({"window": {"opens": 3}}, "can not be read"),
        ({"version": "two"}, "whole number"),
        ({"holiday": 1}, "not a part of a policy"),
        ({"after_work_months": {"painting": [1]}}, "painting"),
    ],
)
def test_a_record_that_is_no_policy_is_refused_in_words(change, says):
    with pytest.raises(InvalidInput, match=says):
        from_plain(to_plain(DEFAULT) | change)


def test_a_part_that_is_missing_is_named():
    record = to_plain(DEFAULT)
    del record["findings"]

    with pytest.raises(InvalidInput, match="'findings' is missing"):
        from_plain(record)


def test_the_window_is_a_tenth_of_a_short_interval_and_30_days_of_a_long_one():
    """Army aviation practice: 10 % below 12 months, 30 days from 12 months on."""
    window = WindowRule()

    assert window.opening_days(12) == window.grace_days(36) == 30
    assert window.opening_days(6) == 18  # a tenth of 182.6 days
    assert window.opening_days(11) == 30  # 33.5 days by share, 30 at most


@pytest.mark.parametrize(("first", "again"), [(0, 7), (7, 0)])
def test_looks_at_an_open_finding_need_at_least_a_day_between(first, again):
    rule = {Grade.ACT: FindingRule(first, again, "by hand")}

    with pytest.raises(InvalidInput, match="not above 0 days"):
        replace(DEFAULT, findings=rule)


def test_an_interval_at_the_threshold_is_a_long_one():
    window = WindowRule(opens_share=0.01, late_share=0.01)

    assert window.opening_days(12) == window.grace_days(12) == 30
    assert window.opening_days(11.9) == window.grace_days(11.9) == 3
