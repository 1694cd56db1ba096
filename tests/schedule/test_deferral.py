"""An inspection can be put off, but not quietly, not for ever, and not everything."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from monitor.domain.vocabulary import Grade, InspectionKind
from monitor.errors import InvalidInput
from monitor.schedule.default_policy import default_policy
from monitor.schedule.deferral import check_deferral, latest_deferral_on
from monitor.schedule.due import owed, reasons, state
from monitor.schedule.history import Deferral
from tests.schedule.build import NOW, a_history, a_look

POLICY = default_policy()
DUE_ON = date(2027, 3, 14)
TODAY = date(2027, 3, 1)


def a_deferral(**changes):
    deferral = Deferral(
        from_on=DUE_ON,
        until_on=date(2027, 6, 1),
        reason="The bridge to the meadow is closed.",
        name="Maren",
        given_on=TODAY,
    )
    return replace(deferral, **changes)


def the_reason(history=None):
    return reasons(history or a_history(), POLICY, TODAY)[0]


def due_of(history, today=TODAY):
    due = owed(history, POLICY, today, NOW)
    assert due is not None
    return due


def test_a_deferral_moves_the_date_and_stays_in_the_sentence():
    due = due_of(a_history(deferrals=(a_deferral(),)))

    assert (due.due_on, due.late_on) == (date(2027, 6, 1), date(2027, 6, 1))
    assert due.sentence == (
        "Due on 1 June 2027: at the latest every 24 months for a post (occasional use "
        "beneath, minor consequence), policy version 1, counted from 14 March 2025; "
        "deferred from 14 March 2027 by Maren: The bridge to the meadow is closed."
    )


def test_it_does_not_move_the_day_from_which_it_is_seriously_late():
    plain, deferred = due_of(a_history()), due_of(a_history(deferrals=(a_deferral(),)))

    first_late = date(2027, 6, 2)
    assert state(deferred, first_late) == "late"
    assert deferred.serious_on == plain.serious_on


def test_an_inspection_ends_it():
    history = a_history(deferrals=(a_deferral(),))
    seen = (*history.inspections, (date(2027, 3, 20), InspectionKind.ROUTINE))

    due = due_of(replace(history, inspections=seen), today=date(2027, 3, 21))

    assert due.due_on == date(2029, 3, 14)
    assert "deferred" not in due.sentence


def test_it_counts_only_from_the_day_it_was_given():
    history = a_history(deferrals=(a_deferral(given_on=TODAY + timedelta(days=1)),))

    assert due_of(history).due_on == DUE_ON


def test_a_second_deferral_goes_on_from_the_first_up_to_the_same_limit():
    second = a_deferral(from_on=date(2027, 6, 1), until_on=date(2027, 9, 1))
    beyond = a_deferral(from_on=date(2027, 9, 1), until_on=date(2028, 5, 1))

    due = due_of(a_history(deferrals=(a_deferral(), second, beyond)))

    assert due.due_on == date(2027, 9, 1)
    assert due.sentence.count("deferred from") == 2


def test_a_doubtful_reading_an_event_or_a_grave_finding_still_governs():
    grave = ("cracked weld", Grade.ACT, date(2027, 2, 1))
    history = a_history(deferrals=(a_deferral(),), worst_finding=grave)

    assert due_of(history).rule == "open-finding"
    assert due_of(history).due_on == date(2027, 5, 2)


def test_a_deferral_that_can_stand_is_accepted():
    check_deferral(a_deferral(), the_reason())


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"reason": " "}, "needs a reason"),
        ({"name": ""}, "needs a name"),
        ({"from_on": date(2027, 3, 13)}, "is due on 14 March 2027, not on"),
        ({"until_on": DUE_ON}, "puts nothing off"),
        ({"given_on": date(2027, 6, 1)}, "puts nothing off"),
        ({"until_on": date(2029, 1, 1)}, "can be put off until 12 April 2028"),
    ],
)
def test_a_deferral_that_can_not_stand_is_refused_in_words(changes, says):
    """24 months: late after 13 April 2027, half an interval is 365 days."""
    with pytest.raises(InvalidInput, match=says):
        check_deferral(a_deferral(**changes), the_reason())


def test_what_someone_saw_can_not_be_put_off():
    look = a_look(unconfirmed=True, look_again_on=date(2027, 3, 10))
    reason = the_reason(a_history(looks=(look,)))

    with pytest.raises(InvalidInput, match="can not be put off"):
        check_deferral(a_deferral(from_on=reason.due_on), reason)


def test_the_limit_is_the_last_day_that_is_not_seriously_late():
    due = due_of(a_history())
    limit_on = latest_deferral_on(the_reason())

    assert state(due, limit_on) == "late"
    assert state(due, limit_on + timedelta(days=1)) == "seriously late"
