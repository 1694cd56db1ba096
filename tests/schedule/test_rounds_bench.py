"""A plan is no worse than the habits it replaces."""

from monitor.schedule.bench.by_habit import by_habit, due_next, nearest_next
from monitor.schedule.bench.towns import a_town
from monitor.schedule.rounds import plan_rounds


def test_a_plan_travels_less_than_both_habits_and_is_late_no_more_than_either():
    town = a_town(30, 2, 3, seed=5)

    planned = plan_rounds(town)

    assert len(planned.visits) == 30
    for habit in (nearest_next, due_next):
        days = by_habit(town, habit)
        assert sum(len(day.visits) for day in days) <= 30
        assert planned.travel_min < sum(day.travel_min for day in days)
    nearest = by_habit(town, nearest_next)
    late = sum(visit.days_late for day in nearest for visit in day.visits)
    assert planned.days_late <= late
