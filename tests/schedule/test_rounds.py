"""Rounds: short ways, kept hours, nothing left out in silence."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from monitor.domain.vocabulary import InspectionKind, MemberKind
from monitor.errors import InvalidInput
from monitor.schedule.closures import Blackout
from monitor.schedule.round_task import Arranged, Person, Pin, Stop, Task, working_days
from monitor.schedule.round_timing import Shift
from monitor.schedule.rounds import plan_rounds
from monitor.schedule.travel import Place, Travel, great_circle_km, middle_of
from monitor.schedule.visit_minutes import (
    COMMON_PRACTICE,
    PastVisit,
    learn_minutes,
    minutes_of,
)

MONDAY = date(2026, 11, 23)
HOME = Place("home", 47.50, -20.00)
EDDA = Person("Edda", frozenset({"climbing"}))
PERRAN = Person("Perran", frozenset())


def a_stop(code="S-1", **changes):
    stop = Stop(
        code=code,
        place=Place(f"at {code}", 47.51, -20.0),
        minutes=20.0,
        opens_on=MONDAY - timedelta(days=30),
        due_on=MONDAY,
        late_on=MONDAY + timedelta(days=30),
    )
    return replace(stop, **changes)


def a_task(*stops, people=(EDDA,), days=1, **changes):
    return Task(stops, people, working_days(MONDAY, days), HOME, **changes)


def planned(rounds):
    return [visit.stop.code for visit in rounds.visits]


def test_a_degree_of_latitude_is_111_195_km():
    # By hand: pi / 180 x 6371.0088 km.
    assert great_circle_km(Place("a", 0, 0), Place("b", 1, 0)) == pytest.approx(111.195)


def test_london_to_paris_is_344_km():
    # From memory, widely quoted: 343 to 344 km between the two centres.
    london, paris = Place("l", 51.5074, -0.1278), Place("p", 48.8566, 2.3522)

    assert great_circle_km(london, paris) == pytest.approx(343.5, abs=1.0)


def test_a_table_of_minutes_beats_the_map_either_way_round():
    travel = Travel(table_min={("a", "b"): 17.0})
    a, b = Place("a", 47.5, -20.0), Place("b", None, None)

    assert travel.minutes(a, b) == travel.minutes(b, a) == 17.0 + travel.set_up_min


def test_no_set_up_is_counted_within_a_site():
    a = Place("a", 47.5, -20.0)

    assert Travel().minutes(a, a) == 0.0


def test_stops_in_a_row_are_visited_in_a_row():
    # By hand: on a line north of home, out and back is 2 x the farthest; any order that
    # only rises or only falls, or splits into both, is as short; three set-ups and one.
    stops = [
        a_stop(c, place=Place(c, 47.5 + n / 100, -20.0))
        for c, n in (("c", 3), ("a", 1), ("b", 2))
    ]
    km = great_circle_km(HOME, stops[0].place)
    travel = Travel()

    rounds = plan_rounds(a_task(*stops))

    road = 2 * km * travel.detour / travel.speed_km_h * 60
    assert rounds.travel_min == pytest.approx(road + 4 * travel.set_up_min)


def test_visits_of_one_site_follow_one_another():
    near, far = Place("near", 47.503, -20.0), Place("far", 47.53, -20.02)
    stops = [a_stop(f"S-{n}", place=(near, far)[n % 2]) for n in range(6)]

    rounds = plan_rounds(a_task(*stops))

    sites = [visit.stop.place.code for visit in rounds.visits]
    assert sum(a != b for a, b in pairwise(sites)) == 1


def test_a_visit_that_wants_climbing_goes_to_who_climbs():
    stop = a_stop(skills=frozenset({"climbing", "platform"}))

    rounds = plan_rounds(a_task(stop, people=(PERRAN, EDDA)))

    assert rounds.days[0].person == EDDA


def test_without_a_climber_it_is_left_and_says_so():
    stop = a_stop(skills=frozenset({"climbing", "platform"}))

    rounds = plan_rounds(a_task(stop, people=(PERRAN,)))

    assert rounds.left[0].why.startswith("It wants climbing or platform")


def test_a_closed_day_is_not_used():
    stop = a_stop(closures=(Blackout(MONDAY, MONDAY, "market"),))

    rounds = plan_rounds(a_task(stop, days=2))

    assert rounds.days[0].on == MONDAY + timedelta(days=1)


def test_closed_on_every_day_names_what_closes_it():
    closed = Blackout(MONDAY, MONDAY + timedelta(days=9), "market")

    rounds = plan_rounds(a_task(a_stop(closures=(closed,)), days=3))

    assert "market" in rounds.left[0].why


def test_a_place_that_nobody_knows_is_left_and_says_so():
    rounds = plan_rounds(a_task(a_stop(place=Place("V-9", None, None)), a_stop("S-2")))

    assert planned(rounds) == ["S-2"]
    assert rounds.left[0].why == (
        "Where V-9 lies is not recorded, so no way can be planned."
    )


def test_longer_than_the_day_is_left_and_says_by_how_much():
    # By hand: 8 h less 30 min break is 450 min; 460 min on site and the way are more.
    rounds = plan_rounds(a_task(a_stop(minutes=460.0)))

    assert "misses the hours of Edda" in rounds.left[0].why


def test_access_shorter_than_the_work_says_so():
    rounds = plan_rounds(a_task(a_stop(minutes=90.0, access=(540, 600))))

    assert "longer than the site is open, 09:00 to 10:00" in rounds.left[0].why


def test_access_times_are_kept_and_nobody_leaves_early_to_wait():
    stop = a_stop(access=(600, 660))

    day = plan_rounds(a_task(stop)).days[0]

    assert day.visits[0].begins == pytest.approx(600)
    assert day.wait_min == pytest.approx(0)
    assert day.leaves > EDDA.begins


def test_what_is_late_goes_before_what_is_not_when_hours_are_short():
    short = Person("Edda", begins=480, ends=540, break_min=0)
    late = a_stop("late", late_on=MONDAY - timedelta(days=60))
    others = [a_stop(f"S-{n}") for n in range(3)]

    rounds = plan_rounds(a_task(*others, late, people=(short,)))

    assert "late" in planned(rounds)
    assert rounds.left


def test_what_is_late_is_done_on_the_first_day():
    late = a_stop("late", late_on=MONDAY - timedelta(days=60), minutes=240.0)
    other = a_stop("other", minutes=240.0)

    rounds = plan_rounds(a_task(other, late, days=2))

    assert rounds.days[0].visits[0].stop.code == "late"


def test_what_may_wait_is_taken_only_on_the_way():
    here = a_stop("here")
    beside = a_stop("beside", place=here.place, is_wanted=False)
    away = a_stop("away", place=Place("away", 47.7, -20.0), is_wanted=False)

    rounds = plan_rounds(a_task(here, beside, away))

    assert set(planned(rounds)) == {"here", "beside"}
    assert "may wait" in rounds.left[0].why


def test_a_pin_is_kept_against_the_shorter_way():
    tuesday = MONDAY + timedelta(days=1)
    stops = [a_stop("a"), a_stop("b", place=Place("at a", 47.51, -20.0))]

    rounds = plan_rounds(a_task(*stops, days=2, pins=(Pin("b", "Edda", tuesday),)))

    assert [(d.on, d.visits[0].stop.code) for d in rounds.days][-1] == (tuesday, "b")
    assert rounds.days[-1].visits[0].is_pinned


def test_a_pin_on_a_closed_day_is_refused_in_words():
    stop = a_stop(closures=(Blackout(MONDAY, MONDAY, "market"),))

    rounds = plan_rounds(a_task(stop, days=2, pins=(Pin("S-1", "Edda", MONDAY),)))

    assert "that can not be" in rounds.left[0].why
    assert "market" in rounds.left[0].why


def test_a_day_in_order_by_hand_stays_as_it_is():
    stops = [
        a_stop(c, place=Place(c, 47.5 + n / 100, -20.0))
        for c, n in (("a", 1), ("b", 2), ("c", 3))
    ]
    by_hand = Arranged("Edda", MONDAY, ("a", "c", "b"))

    rounds = plan_rounds(a_task(*stops, arranged=(by_hand,)))

    assert planned(rounds) == ["a", "c", "b"]
    assert rounds.days[0].is_arranged


def test_a_day_by_hand_that_is_too_long_says_by_how_much():
    stops = [a_stop(c, minutes=240.0) for c in "ab"]

    rounds = plan_rounds(
        a_task(*stops, arranged=(Arranged("Edda", MONDAY, ("a", "b")),))
    )

    assert rounds.days[0].over_min > 30


def test_what_was_pinned_and_is_owed_no_more_is_named():
    rounds = plan_rounds(a_task(a_stop(), pins=(Pin("S-9", "Edda", MONDAY),)))

    assert rounds.unknown == ("S-9",)


def test_nothing_owed_is_an_empty_plan():
    rounds = plan_rounds(a_task())

    assert rounds.days == rounds.left == ()


def test_working_days_leave_out_the_weekend():
    friday = date(2026, 11, 27)

    assert working_days(friday, 2) == (friday, date(2026, 11, 30))


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Person("Edda", begins=600, ends=540),
        lambda: Person("Edda", begins=600, ends=620, break_min=30),
        lambda: a_task(a_stop(), people=()),
        lambda: a_task(a_stop(), people=(EDDA, EDDA)),
        lambda: a_task(a_stop(), a_stop()),
    ],
)
def test_what_can_not_be_planned_from_is_refused(wrong):
    with pytest.raises(InvalidInput):
        wrong()


some_stops = st.lists(
    st.builds(
        lambda lat, lon, minutes, late, wants, access: (lat, lon, minutes, late, wants,
                                                        access),
        st.integers(-9, 9), st.integers(-9, 9), st.sampled_from([10, 30, 90, 500]),
        st.integers(-50, 20), st.booleans(),
        st.sampled_from([None, (540, 720), (800, 820)]),
    ),
    max_size=12,
)  # fmt: skip


def stops_of(drawn):
    return [
        a_stop(
            f"S-{n}",
            place=Place(f"{lat},{lon}", 47.5 + lat / 200, -20.0 + lon / 200),
            minutes=float(minutes),
            late_on=MONDAY + timedelta(days=late),
            skills=frozenset({"climbing"}) if wants else frozenset(),
            access=access,
        )
        for n, (lat, lon, minutes, late, wants, access) in enumerate(drawn)
    ]


@settings(max_examples=12)
@given(some_stops)
def test_every_visit_is_planned_once_or_left_once_and_hours_are_kept(drawn):
    stops = stops_of(drawn)
    short = replace(PERRAN, ends=PERRAN.begins + 150)

    rounds = plan_rounds(a_task(*stops, people=(EDDA, short), days=2))

    told = planned(rounds) + [left.stop.code for left in rounds.left]
    assert sorted(told) == sorted(stop.code for stop in stops)
    assert all(left.why for left in rounds.left)
    assert all(day.over_min < 1e-6 for day in rounds.days)
    assert all(day.person.can(v.stop) for day in rounds.days for v in day.visits)


@settings(max_examples=8)
@given(some_stops)
def test_what_is_left_for_want_of_time_fits_at_the_end_of_no_day(drawn):
    short = replace(EDDA, ends=EDDA.begins + 150)
    task = a_task(*stops_of(drawn), people=(short,), days=1)

    rounds = plan_rounds(task)

    shift = Shift(short, MONDAY, HOME, task.travel)
    done = [visit.stop for visit in rounds.visits]
    assert all(shift.round_of([*done, left.stop]).over_min > 0 for left in rounds.left)


def test_the_same_task_has_the_same_answer():
    stops = [
        a_stop(f"S-{n}", place=Place(f"{n}", 47.5 + n % 5 / 100, -20.0 + n % 7 / 100))
        for n in range(20)
    ]

    assert plan_rounds(a_task(*stops, days=2)) == plan_rounds(a_task(*stops, days=2))


def past(minute, *, site="OT1", inspector="Edda"):
    at = datetime(2026, 3, 2, 9, tzinfo=UTC) + timedelta(minutes=minute)
    return PastVisit(inspector, site, at, InspectionKind.ROUTINE, (MemberKind.POST,))


def test_minutes_are_learnt_from_visits_in_a_row_at_one_site():
    # By hand: nine visits 25 min apart leave eight gaps of 25 min.
    learnt = learn_minutes([past(25 * n) for n in range(9)])

    found = minutes_of(InspectionKind.ROUTINE, (MemberKind.POST,), learnt)

    assert (found.minutes, found.source) == (25.0, "learnt from 8 visits")


def test_few_visits_or_other_sites_teach_nothing():
    few = [past(25 * n) for n in range(5)]
    scattered = [past(25 * n, site=f"V{n}") for n in range(20)]

    assert learn_minutes(few + scattered) == {}


def test_breaks_and_forms_saved_together_teach_nothing():
    visits = [past(n) for n in range(10)] + [past(10_000 + 300 * n) for n in range(10)]

    assert learn_minutes(visits) == {}


def test_where_nothing_is_learnt_the_usual_minutes_say_where_they_come_from():
    # Common practice, no source: 15 to 25 min for a ground visit to a post.
    found = minutes_of(InspectionKind.ROUTINE, (MemberKind.POST,), {})

    assert (found.minutes, found.source) == (20.0, COMMON_PRACTICE)


def test_the_middle_of_no_places_is_unknown():
    assert not middle_of([Place("a", None, None)]).is_known
