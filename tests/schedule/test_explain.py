"""Every rule that speaks comes with its source."""

from datetime import date

from monitor.domain.vocabulary import EventKind, Grade, MemberKind, WorkKind
from monitor.schedule.default_policy import default_policy
from monitor.schedule.due import owed
from monitor.schedule.explain import explain
from monitor.schedule.history import EventLook
from tests.schedule.build import NOW, TODAY, a_history, a_look

POLICY = default_policy()


def everything_at_once():
    storm = EventLook(EventKind.STORM, "storm", date(2026, 4, 1), date(2026, 4, 4))
    return a_history(
        kinds=(MemberKind.CABLE, MemberKind.POST),
        client_interval_months=12,
        client_interval_reason="insurer's condition",
        inspections=a_history().inspections[-2:],
        works=((date(2026, 1, 5), WorkKind.REPAIR),),
        replace_by=(("sling", date(2026, 9, 1)),),
        looks=(a_look(), a_look(label="tilt", unconfirmed=True)),
        worst_finding=("loose nut", Grade.ACT, date(2026, 4, 2)),
        events=(storm,),
    )


def test_every_rule_that_speaks_names_its_source():
    lines = explain(everything_at_once(), POLICY, TODAY)

    assert {line.rule for line in lines} == {
        "after-event", "after-work", "client-interval", "detailed-interval",
        "duty-interval", "first-gaps", "look-again", "open-finding", "service-life",
        "unconfirmed",
    }  # fmt: skip
    assert all(line.source for line in lines)


def test_the_first_line_is_the_one_that_governs():
    history = everything_at_once()

    due = owed(history, POLICY, TODAY, NOW)

    assert due is not None
    first = explain(history, POLICY, TODAY)[0]
    assert (first.rule, first.due_on) == (due.rule, due.due_on)
    assert due.sentence == first.sentence


def test_a_missing_baseline_has_a_source_too():
    (line, *_) = explain(a_history(inspections=()), POLICY, TODAY)

    assert line.rule == "baseline"
    assert "17 NYCRR 165.4" in line.source
