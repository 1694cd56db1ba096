"""Print the comparison: ops/bench rounds [--visits N --people N --days N --seeds N]."""

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import click

from monitor.schedule.bench.by_habit import by_habit, due_next, nearest_next
from monitor.schedule.bench.towns import a_town
from monitor.schedule.round_task import Task
from monitor.schedule.round_timing import DayRound
from monitor.schedule.rounds import plan_rounds


@dataclass(frozen=True, slots=True)
class Result:
    """What one way of planning makes of one town."""

    visits: int
    travel_min: float
    days_late: int
    seconds: float


@click.command()
@click.option("--visits", default=200)
@click.option("--people", default=5)
@click.option("--days", default=5)
@click.option("--seeds", default=3, help="Towns.")
def main(visits: int, people: int, days: int, seeds: int) -> None:
    """Compare a plan with two habits on invented towns."""
    towns = [a_town(visits, people, days, seed) for seed in range(seeds)]
    click.echo(f"{visits} visits, {people} people, {days} days, {seeds} towns; means")
    click.echo(f"{'':14}{'visits':>8}{'travel min':>12}{'days late':>11}{'s':>7}")
    for name, way in WAYS.items():
        results = [_timed(way, town) for town in towns]
        n = len(results)
        click.echo(
            f"{name:14}{sum(r.visits for r in results) / n:8.1f}"
            f"{sum(r.travel_min for r in results) / n:12.0f}"
            f"{sum(r.days_late for r in results) / n:11.0f}"
            f"{sum(r.seconds for r in results) / n:7.1f}"
        )


def _timed(way: Callable[[Task], Sequence[DayRound]], town: Task) -> Result:
    """Processor seconds: on a busy machine only these say something."""
    began = time.process_time()
    days = way(town)
    seconds = time.process_time() - began
    visits = [visit for day in days for visit in day.visits]
    return Result(
        len(visits),
        sum(day.travel_min for day in days),
        sum(visit.days_late for visit in visits),
        seconds,
    )


WAYS: dict[str, Callable[[Task], Sequence[DayRound]]] = {
    "planned": lambda town: plan_rounds(town).days,
    "nearest next": lambda town: by_habit(town, nearest_next),
    "by due date": lambda town: by_habit(town, due_next),
}

if __name__ == "__main__":
    main()
