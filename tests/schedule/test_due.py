"""What is owed, when and why: one rule a test, and what holds whatever happens."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from monitor.domain.vocabulary import (
    Consequence,
    Grade,
    InspectionKind,
    MemberKind,
    Occupancy,
    WorkKind,
)
from monitor.errors import InvalidInput
from monitor.schedule.default_policy import default_policy
from monitor.schedule.due import owed, reasons, state
from monitor.schedule.policy import Cell
from tests.schedule.build import NOW, TODAY, a_history, a_look

POLICY = default_policy()
BASELINE, ROUTINE = InspectionKind.BASELINE, InspectionKind.ROUTINE


def due_of(history, today=TODAY, policy=POLICY):
    due = owed(history, policy, today, NOW)
    assert due is not None
    return due


def a_yearly_policy():
    yearly = {key: Cell(12, "by hand") for key in POLICY.routine}
    return replace(POLICY, routine=yearly, detailed={}, first_gaps=0)


def test_the_duty_holders_interval_governs_a_quiet_support():
    due = due_of(a_history())

    assert (due.rule, due.due_on) == ("duty-interval", date(2027, 3, 14))
    assert due.sentence == (
        "Due on 14 March 2027: at the latest every 24 months for a post (occasional "
        "use beneath, minor consequence), policy version 1, counted from 14 March "
        "2025."
    )
    assert (due.opens_on, due.late_on) == (date(2027, 2, 12), date(2027, 4, 13))


def test_a_removed_support_owes_nothing_and_one_to_be_removed_still_does():
    assert owed(a_history(removed_on=TODAY), POLICY, TODAY, NOW) is None
    tomorrow = TODAY + timedelta(days=1)
    assert due_of(a_history(removed_on=tomorrow)).rule == "duty-interval"


def test_a_missing_baseline_is_owed_from_the_day_of_installation():
    due = due_of(a_history(inspections=(), installed_on=date(2026, 5, 1)))

    assert (due.rule, due.kind, due.due_on) == (
        "baseline", BASELINE, date(2026, 5, 1),
    )  # fmt: skip
    assert due.late_on == date(2026, 6, 30)  # 60 days, 17 NYCRR 165.4 by analogy
    assert state(due, TODAY) == "due"


@pytest.mark.parametrize(
    ("seen", "rule", "due_on"),
    [
        ([], "first-year", date(2026, 2, 1)),
        ([date(2026, 2, 3)], "first-year", date(2026, 4, 1)),
        ([date(2026, 2, 3), date(2026, 3, 25)], "first-year", date(2026, 7, 1)),
        ([date(2026, 4, 2)], "first-year", date(2026, 7, 1)),
        ([date(2026, 7, 1)], "first-year", date(2027, 1, 1)),
    ],
)
def test_early_settlement_is_followed_after_1_3_6_and_12_months(seen, rule, due_on):
    visits = [(date(2026, 1, 1), BASELINE), *((on, ROUTINE) for on in seen)]
    history = a_history(installed_on=date(2026, 1, 1), inspections=tuple(visits))

    due = due_of(history, today=date(2026, 8, 1))

    assert (due.rule, due.due_on) == (rule, due_on)


def test_the_first_three_gaps_are_at_most_a_year():
    visits = tuple((date(year, 6, 1), ROUTINE) for year in (2024, 2025))
    history = a_history(inspections=visits, installed_on=date(1998, 4, 1))

    due = due_of(history)

    assert (due.rule, due.due_on) == ("first-gaps", date(2026, 6, 1))
    assert due_of(replace(history, inspections=(*visits, *visits))).rule == "first-gaps"


def test_the_analysis_shortens_the_interval_and_is_quoted():
    sooner = a_look(look_again_on=date(2026, 11, 2))

    due = due_of(a_history(looks=(sooner,)))

    assert due.sentence == (
        "Due on 2 November 2026: half of the time left until the settlement may reach "
        "8 mm (as early as May 2032 at the fast bound)."
    )
    assert due.rule == "look-again"


def test_the_analysis_never_lengthens_the_interval():
    due, plain = due_of(a_history(looks=(a_look(),))), due_of(a_history())

    assert (due.rule, due.due_on) == (plain.rule, plain.due_on)


def test_a_look_is_late_at_the_latest_when_the_limit_may_be_reached():
    look = a_look(look_again_on=date(2026, 6, 1), act_early_on=date(2026, 6, 5))

    assert due_of(a_history(looks=(look,))).late_on == date(2026, 6, 5)


def test_a_doubtful_reading_is_repeated_within_three_months_and_at_once():
    look = a_look(look_again_on=date(2028, 1, 1), unconfirmed=True)

    due = due_of(a_history(looks=(look,)), today=date(2025, 4, 1))

    assert (due.rule, due.due_on, due.late_on) == (
        "unconfirmed", date(2025, 6, 14), date(2025, 6, 14),
    )  # fmt: skip
    assert state(due, date(2025, 4, 1)) == "open"


def test_a_clients_interval_is_named_with_its_reason():
    history = a_history(
        client_interval_months=6, client_interval_reason="insurer's condition"
    )

    due = due_of(history)

    assert due.rule == "client-interval"
    assert "every 6 months, set: insurer's condition" in due.sentence


@pytest.mark.parametrize("months", [0, -3])
def test_a_clients_interval_of_nothing_is_refused(months):
    with pytest.raises(InvalidInput, match="VM-001: a client interval"):
        due_of(a_history(client_interval_months=months))


def test_work_wants_a_reading_at_once_and_a_follow_up():
    history = a_history(works=((date(2026, 2, 2), WorkKind.ADJUSTMENT),))

    due = due_of(history)
    assert (due.rule, due.due_on) == ("after-work", date(2026, 2, 2))
    assert (
        "nothing has been read since the adjustment of 2 February 2026" in due.sentence
    )

    read = (date(2026, 2, 2), InspectionKind.AFTER_WORK)
    due = due_of(replace(history, inspections=(*history.inspections, read)))
    assert (due.rule, due.due_on) == ("after-work", date(2026, 3, 2))
    assert due.kind is InspectionKind.AFTER_WORK

    again = (date(2026, 3, 3), InspectionKind.AFTER_WORK)
    due = due_of(replace(history, inspections=(*history.inspections, read, again)))
    assert due.rule == "duty-interval"


def test_a_synthetic_part_wants_a_look_half_a_year_ahead_then_until_replaced():
    history = a_history(replace_by=(("sling", date(2026, 9, 1)),))
    assert due_of(history).due_on == date(2026, 3, 1)
    assert due_of(history).rule == "service-life"

    seen = (*history.inspections, (date(2026, 3, 2), ROUTINE))
    assert due_of(replace(history, inspections=seen)).due_on == date(2026, 9, 1)

    seen = (*seen, (date(2026, 9, 2), ROUTINE))
    due = due_of(replace(history, inspections=seen), today=date(2026, 10, 1))
    assert due.due_on == date(2027, 3, 1)
    assert "until it is replaced" in due.sentence


def test_a_finding_to_be_made_safe_wants_a_look_the_next_day_then_weekly():
    history = a_history(
        worst_finding=("cracked weld", Grade.MAKE_SAFE, date(2026, 5, 2))
    )
    due = due_of(history)
    assert (due.rule, due.due_on, due.late_on) == (
        "open-finding", date(2026, 5, 3), date(2026, 5, 3),
    )  # fmt: skip
    assert state(due, TODAY) == "late"

    seen = (*history.inspections, (date(2026, 5, 3), InspectionKind.AFTER_EVENT))
    due = due_of(replace(history, inspections=seen))
    assert due.due_on == date(2026, 5, 10)


def test_a_note_or_a_watch_wants_no_extra_look():
    for grade in (Grade.NOTE, Grade.WATCH):
        history = a_history(worst_finding=("flaking paint", grade, date(2026, 5, 2)))
        assert due_of(history).rule == "duty-interval"


def test_a_cable_wants_a_look_within_reach_and_quick_looks_do_not_answer_it():
    history = a_history(kinds=(MemberKind.CABLE,))

    due = due_of(history)

    assert (due.rule, due.kind) == ("detailed-interval", InspectionKind.DETAILED)
    assert due.due_on == date(2015, 3, 14)
    seen = (*history.inspections, (date(2026, 4, 1), InspectionKind.DETAILED))
    due = due_of(replace(history, inspections=seen))
    assert (due.rule, due.due_on) == ("duty-interval", date(2028, 4, 1))


def test_an_inspection_dated_in_the_future_moves_no_due_date():
    ahead = (date(2028, 5, 4), ROUTINE)
    history = a_history()

    due = due_of(replace(history, inspections=(*history.inspections, ahead)))

    assert due.due_on == due_of(history).due_on


@pytest.mark.parametrize(
    ("visits", "due_on"),
    [
        ([], date(2025, 2, 28)),
        ([date(2025, 2, 10)], date(2026, 2, 28)),  # inside the window
        ([date(2025, 6, 1)], date(2026, 2, 28)),  # late: the rhythm is kept
        ([date(2024, 9, 1)], date(2025, 9, 1)),  # far too early: counted anew
        ([date(2027, 12, 1)], date(2028, 2, 29)),  # years late, back on the 29th
        ([date(2028, 2, 1)], date(2029, 2, 28)),  # early for the 29th, inside
    ],
)
def test_the_rhythm_is_counted_from_the_anchor(visits, due_on):  # by hand
    """Army aviation rule for calendar inspections."""
    history = a_history(
        installed_on=date(2024, 2, 29),
        inspections=((date(2024, 2, 29), BASELINE), *((v, ROUTINE) for v in visits)),
    )

    said = reasons(history, a_yearly_policy(), date(2028, 3, 1))

    assert [r.due_on for r in said if r.rule == "duty-interval"] == [due_on]


def test_the_window_is_told_in_words_through_to_seriously_late():
    due = due_of(a_history())
    days = [
        (due.opens_on - timedelta(days=1), "not yet"),
        (due.opens_on, "open"),
        (due.due_on, "due"),
        (due.late_on, "due"),
        (due.late_on + timedelta(days=1), "late"),
        (date(2028, 4, 12), "late"),  # half of 24 months: 365 days after 13 April 2027
        (date(2028, 4, 13), "seriously late"),
    ]

    assert [state(due, day) for day, _ in days] == [word for _, word in days]


def test_every_rule_that_spoke_is_listed_earliest_first():
    history = a_history(looks=(a_look(),), client_interval_months=30)

    due = due_of(history)

    dates = [on for _, on, _ in due.reasons]
    assert dates == sorted(dates)
    assert {rule for rule, _, _ in due.reasons} == {
        "duty-interval", "client-interval", "look-again",
    }  # fmt: skip
    assert due.reasons[0][2] == due.sentence


def test_a_due_date_leaves_the_nesting_season_and_the_visit_still_counts():
    history = a_history(quiet_seasons="03-01/08-31 nesting")
    due = due_of(history)
    assert due.due_on == date(2027, 2, 28)
    assert due.sentence.endswith(
        "; moved from 14 March 2027, which falls in the nesting season "
        "(1 March to 31 August)."
    )

    seen = (*history.inspections, (date(2027, 2, 28), ROUTINE))
    later = due_of(replace(history, inspections=seen), today=date(2027, 3, 1))
    assert later.due_on == date(2029, 2, 28)


def test_the_consequence_and_the_use_beneath_choose_the_interval():
    grave = a_history(occupancy=Occupancy.CONSTANT, consequence=Consequence.SEVERE)

    assert "every 6 months for a post" in due_of(grave).sentence


def test_a_visit_on_the_first_day_of_the_window_counts_and_a_day_earlier_does_not():
    history = a_history()  # due 14 March 2027, the window opens 12 February 2027
    for day, due_on in ((12, date(2029, 3, 14)), (11, date(2029, 2, 11))):
        visit = (date(2027, 2, day), ROUTINE)
        seen = replace(history, inspections=(*history.inspections, visit))
        assert due_of(seen, today=date(2027, 3, 1)).due_on == due_on


def test_a_follow_up_brought_forward_out_of_a_season_is_answered():
    """Month 3 falls on 1 May; the last free day before the nesting is 28 February."""
    visits = ((date(2026, 2, 1), BASELINE), (date(2026, 2, 28), ROUTINE))
    history = a_history(
        installed_on=date(2026, 2, 1),
        inspections=visits,
        quiet_seasons="03-01/08-31 nesting",
    )

    rules = {r.rule: r.due_on for r in reasons(history, POLICY, date(2026, 3, 1))}

    assert rules["first-year"] == date(2027, 2, 1)


def test_a_look_has_a_window_of_a_tenth_of_its_own_wait():
    """From 14 March 2025 to 1 June 2025 are 79 days, a tenth are 7 days."""
    look = a_look(look_again_on=date(2025, 6, 1))

    due = due_of(a_history(looks=(look,)), today=date(2025, 4, 1))

    assert due.opens_on == date(2025, 5, 25)
    assert due.late_on == date(2025, 6, 8)


def test_at_the_end_of_a_service_life_the_sentence_says_no_more_than_that():
    seen = (*a_history().inspections, (date(2026, 3, 2), ROUTINE))
    history = a_history(replace_by=(("sling", date(2026, 9, 1)),), inspections=seen)

    assert due_of(history).sentence == (
        "Due on 1 September 2026: the service life of the sling ends on "
        "1 September 2026."
    )
