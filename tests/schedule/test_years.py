"""The plan of the years counts what it is told, and says how sure it is."""

from datetime import date, timedelta

import pytest

from monitor.errors import InvalidInput
from monitor.schedule.shortfall import Cap, ladder, undone
from monitor.schedule.years import (
    LimitTime,
    Owing,
    PastRate,
    PlannedWork,
    Share,
    plan_years,
)

TODAY = date(2026, 6, 1)
NEVER = PastRate(0, 0.0)


def owing(code="S-1", **changes):
    told = {
        "site": "Chapel Row", "owner": "City", "opens_on": TODAY, "late_on": TODAY,
        "every_months": 12.0, "visit_min": 60.0,
    }  # fmt: skip
    return Owing(code, **(told | changes))


def test_a_yearly_visit_is_one_visit_and_one_hour_a_year():
    # By hand: 12 months, 60 min, no window and nothing unplanned.
    plan = plan_years([owing()], NEVER, TODAY, 5)

    assert [year.median for year in plan.visits_by_year] == [1.0] * 5
    assert [year.high for year in plan.hours_by_year] == [1.0] * 5


def test_a_wide_window_spreads_over_the_months():
    wide = owing(late_on=TODAY + timedelta(days=180))

    plan = plan_years([wide], NEVER, TODAY, 1)

    assert plan.visits_by_year[0].median == 1.0
    assert plan.months[0].visits.median == 0.0
    assert plan.months[0].visits.high == 1.0


def test_unplanned_visits_come_at_the_rate_of_the_past():
    # By hand: 100 in 1000 support-years, 200 supports: 20 a year on top of 200.
    many = [owing(f"S-{n}") for n in range(200)]

    plan = plan_years(many, PastRate(100, 1000.0), TODAY, 1)

    year = plan.visits_by_year[0]
    assert year.median == pytest.approx(220, abs=2)
    assert year.low < 215 < 225 < year.high


def test_a_work_adds_its_hours_in_its_month():
    plan = plan_years([owing(works=(PlannedWork(3, 120.0, 900.0),))], NEVER, TODAY, 1)

    assert plan.months[3].starts_on == date(2026, 9, 1)
    assert plan.months[3].hours.median == 2.0
    assert (plan.months[3].money.median, plan.months[3].works) == (900.0, 1)
    assert plan.works == 1


def test_sites_and_owners_share_all_planned_hours():
    plan = plan_years([owing(), owing("S-2", site="Quay")], NEVER, TODAY, 2)

    assert sum(share.hours for share in plan.by_site) == pytest.approx(4.0)
    assert plan.by_owner == (Share("City", 4.0, 4.0, 0.0),)


def test_the_same_seed_gives_the_same_plan():
    wide = [owing(late_on=TODAY + timedelta(days=90))]

    assert plan_years(wide, NEVER, TODAY, 2) == plan_years(wide, NEVER, TODAY, 2)


@pytest.mark.parametrize("years", [0, 11, -1])
def test_years_beyond_the_reach_are_refused(years):
    with pytest.raises(InvalidInput):
        plan_years([owing()], NEVER, TODAY, years)


def test_what_stands_best_is_given_up_first():
    fleet = [owing("grave", weight=8.0), owing("sound"), owing("watched", weight=2.0)]
    plan = plan_years(fleet, NEVER, TODAY, 1)

    left = undone(fleet, plan, Cap(hours=2.0))

    assert (left.codes, left.short.hours) == (("sound",), 1.0)


def test_enough_hours_leave_nothing_undone():
    plan = plan_years([owing()], NEVER, TODAY, 1)

    assert undone([owing()], plan, Cap(hours=5.0)).codes == ()


def test_money_is_what_the_visits_cost():
    # By hand: 10 supports, a visit each a year, 80 a visit.
    fleet = [owing(f"S-{n}", visit_cost=80.0) for n in range(10)]

    plan = plan_years(fleet, NEVER, TODAY, 2)

    assert [year.median for year in plan.money_by_year] == [800.0, 800.0]
    assert plan.by_site[0].money == pytest.approx(1600.0)


@pytest.mark.parametrize(
    ("cap", "given_up"),
    [(Cap(money=240.0), 2), (Cap(visits=4.0), 1), (Cap(hours=1.0, visits=5.0), 4)],
)
def test_the_tightest_cap_decides_how_many_are_given_up(cap, given_up):
    # By hand: 5 supports, a visit of one hour and 80 each a year.
    fleet = [owing(f"S-{n}", visit_cost=80.0) for n in range(5)]
    plan = plan_years(fleet, NEVER, TODAY, 1)

    assert len(undone(fleet, plan, cap).codes) == given_up


def test_the_graver_target_and_the_nearer_limit_are_kept():
    near = LimitTime((0.0, 6.0, 12.0), (0.0, 0.5, 0.95))
    far = LimitTime((0.0, 600.0), (0.0, 0.05))
    fleet = [
        owing("over a lane", target=9, limits=(far,)),
        owing("moving", target=9, limits=(near,)),
        owing("over a school", target=0, limits=(far,)),
    ]
    plan = plan_years(fleet, NEVER, TODAY, 1)

    left = undone(fleet, plan, Cap(visits=1.0))

    assert left.codes == ("over a lane", "moving")


def test_the_remaining_risk_is_the_sum_of_the_forecasts_given_up():
    # By hand: 100 supports, each 30 % within the year: 30 expected, sd 4.6.
    limit = LimitTime((0.0, 12.0), (0.0, 0.3))
    fleet = [owing(f"S-{n:03}", limits=(limit,)) for n in range(100)]
    plan = plan_years(fleet, NEVER, TODAY, 1)

    unseen = undone(fleet, plan, Cap(hours=0.0)).unseen

    assert unseen.expected == pytest.approx(30.0, abs=1.0)
    assert unseen.number.low == pytest.approx(30 - 1.645 * 4.58, abs=2)
    assert unseen.number.high == pytest.approx(30 + 1.645 * 4.58, abs=2)
    assert (unseen.any_share, unseen.unknown) == (1.0, 0)


def test_supports_without_a_forecast_are_counted_as_unknown_and_not_as_safe():
    plan = plan_years([owing()], NEVER, TODAY, 1)

    unseen = undone([owing()], plan, Cap(hours=0.0)).unseen

    assert (unseen.expected, unseen.unknown) == (0.0, 1)


def test_a_smaller_budget_never_leaves_less_unseen():
    fleet = [
        owing(f"S-{n:02}", limits=(LimitTime((0.0, 12.0), (0.0, n / 50)),))
        for n in range(40)
    ]
    rungs = ladder(fleet, plan_years(fleet, NEVER, TODAY, 1))

    given = [rung.given_up for rung in rungs]
    expected = [rung.unseen.expected for rung in rungs]
    assert (given[0], given[-1]) == (0, 40)
    assert given == sorted(given)
    assert expected == sorted(expected)


def test_every_month_of_a_small_fleet_is_as_counted_by_hand():
    # By hand, from 1 June 2026 with months of 30.44 days. A: 15 July is 44 days on, in
    # month 1, then every 6 months: 1, 7. B: today and every 4 months: 0, 4, 8.
    # C: 1 December is 183 days on, 6.01 months, yearly: 6; paint in month 3, 2 h.
    fleet = [
        owing("A", opens_on=date(2026, 7, 15), late_on=date(2026, 7, 15),
              every_months=6.0, visit_min=30.0),
        owing("B", every_months=4.0),
        owing("C", opens_on=date(2026, 12, 1), late_on=date(2026, 12, 1),
              visit_min=90.0, works=(PlannedWork(3, 120.0),)),
    ]  # fmt: skip

    plan = plan_years(fleet, NEVER, TODAY, 1)

    visits = [month.visits.median for month in plan.months]
    hours = [month.hours.median for month in plan.months]
    assert visits == [1, 1, 0, 0, 1, 0, 1, 1, 1, 0, 0, 0]
    assert hours == [1, 0.5, 0, 2, 1, 0, 1.5, 0.5, 1, 0, 0, 0]
    assert [month.works for month in plan.months].index(1) == 3
    assert all(month.visits.low == month.visits.high for month in plan.months)


def test_the_interval_of_a_month_is_that_of_the_binomial():
    # By hand: 100 visits, each even over two months: 50 in the first, sd 5.
    wide = {"late_on": TODAY + timedelta(days=61), "every_months": 24.0}
    fleet = [owing(f"S-{n}", **wide) for n in range(100)]

    plan = plan_years(fleet, NEVER, TODAY, 1)

    first, second, third = (month.visits for month in plan.months[:3])
    assert first.median == pytest.approx(50, abs=1.5)
    assert first.low == pytest.approx(50 - 1.645 * 5, abs=2)
    assert first.high == pytest.approx(50 + 1.645 * 5, abs=2)
    assert second.median == pytest.approx(50, abs=1.5)
    assert third.high <= 2  # 61 days are 2.004 months
    assert plan.visits_by_year[0].low == plan.visits_by_year[0].high == 100


def test_a_few_unplanned_visits_of_few_years_are_known_only_roughly():
    # By hand: 2 in 10 support-years with half a count more, for 40 supports: gamma of
    # 2.5 times 4 is 10 a year, sd of the rate 4 · sqrt(2.5) = 6.3, with the counts
    # themselves sqrt(10 + 40) = 7.1.
    fleet = [owing(f"S-{n}") for n in range(40)]

    year = plan_years(fleet, PastRate(2, 10.0), TODAY, 1).visits_by_year[0]

    assert 40 <= year.low < 44
    assert 60 < year.high < 68
