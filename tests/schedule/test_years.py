"""The plan of the years counts what it is told, and says how sure it is."""

from datetime import date, timedelta

import pytest

from monitor.errors import InvalidInput
from monitor.schedule.years import Owing, PastRate, plan_years, undone

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
    plan = plan_years([owing(works=((3, 120.0),))], NEVER, TODAY, 1)

    assert plan.months[3].starts_on == date(2026, 9, 1)
    assert plan.months[3].hours.median == 2.0
    assert plan.works == 1


def test_sites_and_owners_share_all_planned_hours():
    plan = plan_years([owing(), owing("S-2", site="Quay")], NEVER, TODAY, 2)

    assert sum(hours for _, _, hours in plan.by_site) == pytest.approx(4.0)
    assert plan.by_owner == (("City", 4.0, 4.0),)


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

    left = undone(fleet, plan, 2.0)

    assert (left.codes, left.hours_short) == (("sound",), 1.0)


def test_enough_hours_leave_nothing_undone():
    plan = plan_years([owing()], NEVER, TODAY, 1)

    assert undone([owing()], plan, 5.0).codes == ()
