"""The plan of the years from the record, with prices and caps."""

from dataclasses import replace
from datetime import date

import pytest

from monitor.clock import new_id
from monitor.domain.conclusions import Dates
from monitor.domain.supports import Fact
from monitor.domain.vocabulary import InspectionKind, MemberKind, WorkKind
from monitor.errors import InvalidInput
from monitor.schedule.costs import Costs, costs_from_plain, costs_to_plain
from monitor.schedule.shortfall import Cap
from monitor.services.assessing.assess import assess_all
from monitor.services.assessing.fleet import load_fleet
from monitor.services.planning.adopt_policy import adopt
from monitor.services.planning.policy import policy_in_force
from monitor.services.planning.year_owing import (
    WAY_MIN,
    limit_time,
    owing_of,
    past_rate,
)
from monitor.services.planning.years import told, years_view
from monitor.store import records
from tests.build import LONG_AGO, a_support, an_inspection, some_readings
from tests.conftest import NOON
from tests.services.test_assess import STILL

WHO = {"actor": "test", "now": NOON}
TODAY = NOON.date()
PRICES = Costs(
    "EUR", hour=60.0, km=0.5, km_a_visit=8.0,
    visit=dict.fromkeys(InspectionKind, 10.0), work={WorkKind.REPLACEMENT: 400.0},
)  # fmt: skip


@pytest.fixture
def two(store):
    """A post that is read, and a synthetic cable of 2019."""
    with store.write_session() as session:
        post = a_support(session, "S-1")
        some_readings(session, post, "settlement", STILL)
        rope = a_support(
            session, "S-2", kind=MemberKind.CABLE, installed_on=date(2019, 3, 1)
        )
        line = "synthetic rope"
        fact = Fact(new_id(), rope.member.id, "line", None, line, LONG_AGO, None)
        records.FACTS.add(session, [fact])
        assess_all(session, now=NOON)
    return post


def priced(session):
    adopt(session, replace(policy_in_force(session), costs=PRICES), reason="prices",
          **WHO)  # fmt: skip


def test_visits_and_works_of_the_record_are_planned_by_site_and_owner(store, two):
    with store.read_session() as session:
        view = years_view(session, 2, now=NOON)

    assert (view.supports, view.plan.works) == (2, 1)  # the rope ends in March 2027
    assert [share.name for share in view.plan.by_owner] == ["City of Velmarsh"]
    assert view.plan.months[9].works == 1
    assert view.undone is None


def test_prices_are_kept_with_the_policy_and_give_money(store, two):
    with store.write_session() as session:
        before = years_view(session, 1, now=NOON)
        dues = records.DUES.all(session)
        priced(session)
        after = years_view(session, 1, now=NOON)

        assert records.DUES.all(session) == dues  # prices move no date
    assert before.plan.money_by_year[0].median == 0.0
    # by hand: 120 min of a replacement at 60 an hour, and 400 for itself
    assert after.plan.months[9].money.median >= 520.0
    assert "EUR" in told(after)[0]


def test_a_visit_costs_its_price_its_time_and_its_way():
    # By hand: 10 + 60 · 90 / 60 + 0.5 · 8
    assert PRICES.of_visit(InspectionKind.ROUTINE, 90.0) == pytest.approx(104.0)
    assert PRICES.of_work(WorkKind.REPLACEMENT, 120.0) == pytest.approx(520.0)
    assert costs_from_plain(costs_to_plain(PRICES)) == PRICES


@pytest.mark.parametrize(
    "wrong",
    [
        {"hour": -1.0},
        {"hour": float("nan")},
        {"hour": "sixty"},
        {"hour": True},
        {"visit": {"stroll": 5.0}},
        {"fuel": 1.0},
    ],
)
def test_what_is_no_price_is_refused(wrong):
    with pytest.raises((TypeError, ValueError)):
        costs_from_plain(wrong)


def test_a_cap_says_who_goes_without_and_which_risk_remains(store, two):
    with store.read_session() as session:
        view = years_view(session, 3, Cap(visits=0.0), now=NOON)

    assert set(view.undone.codes) == {"S-1", "S-2"}
    said = "\n".join(told(view))
    assert "would go without their standing visits" in said
    assert "in nine cases of ten" in said
    assert "as screening" in said


@pytest.mark.parametrize("cap", [Cap(hours=-1.0), Cap(money=100.0), Cap(hours=1e12)])
def test_a_cap_that_can_not_be_is_refused(store, two, cap):
    with store.read_session() as session, pytest.raises(InvalidInput):
        years_view(session, 1, cap, now=NOON)


def test_dates_of_an_outlook_become_shares_of_certainty(store, two):
    with store.read_session() as session:
        outlook = records.OUTLOOKS.all(session)[0]
    dates = Dates(date(2027, 6, 1), date(2028, 6, 1), None)
    sure = replace(outlook, act_on=dates, act_level=8.0, p_beyond_act=0.01, refusal="")

    limit = limit_time(sure, TODAY)

    assert limit.shares == (0.01, 0.05, 0.5, 0.95)
    assert limit.months[1:3] == (pytest.approx(12.0, abs=0.1),
                                 pytest.approx(24.0, abs=0.1))  # fmt: skip
    assert limit.months[3] == 1200.0
    assert limit_time(replace(sure, refusal="too few readings"), TODAY) is None


def test_visits_that_nobody_planned_are_counted_over_the_years_in_service(store):
    # By hand: in service 1 June 2020 to 1 June 2026, 2191 days, 5.9986 years; two looks
    # after events in that time, one of them before the support stood.
    with store.write_session() as session:
        built = a_support(session, "S-1", installed_on=date(2020, 6, 1))
        looks = [
            (date(2021, 2, 3), InspectionKind.AFTER_EVENT),
            (date(2024, 5, 6), InspectionKind.AFTER_WORK),
            (date(2025, 5, 6), InspectionKind.ROUTINE),
            (date(2012, 5, 6), InspectionKind.AFTER_EVENT),  # beyond ten years
        ]
        visits = [an_inspection(built.support.id, on, kind=k) for on, k in looks]
        records.INSPECTIONS.add(session, visits)
        rate = past_rate(load_fleet(session), TODAY)

    assert rate.count == 2
    assert rate.support_years == pytest.approx(2191 / 365.25)


def test_one_line_of_the_plan_holds_what_the_record_says(store, two):
    with store.read_session() as session:
        lines = owing_of(session, load_fleet(session), policy_in_force(session), TODAY)
        dues = {due.support_id: due for due in records.DUES.all(session)}
        codes = {s.code: s.id for s in records.SUPPORTS.all(session)}

    by_code = {line.code: line for line in lines}
    assert by_code.keys() == {"S-1", "S-2"}
    for code, line in by_code.items():
        due = dues[codes[code]]
        assert line.opens_on == max(TODAY, due.opens_on)
        assert line.late_on == max(TODAY, due.late_on)
        assert line.owner == "City of Velmarsh"
        assert line.visit_min > WAY_MIN
    # by hand: the rope of 1 March 2019 ends after 8 years, 9 months from June 2026
    assert [(w.month, w.minutes) for w in by_code["S-2"].works] == [(9, 120.0)]
    assert by_code["S-1"].works == ()
