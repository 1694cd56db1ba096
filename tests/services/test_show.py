"""What the pages are given."""

import json
from dataclasses import replace
from datetime import date, timedelta

import pytest

from monitor.clock import new_id
from monitor.domain.events import Event
from monitor.domain.vocabulary import EventKind, InspectionKind, Standing
from monitor.errors import NotFound
from monitor.services.showing import due_page
from monitor.services.showing import record as show_record
from monitor.services.showing import register as show_register
from monitor.services.showing import support as show_support
from monitor.services.showing import today as show_today
from monitor.services.showing.due_page import DueChoice
from monitor.services.showing.register import Owed
from monitor.services.showing.series import stored_fan
from monitor.store import records
from tests.build import LONG_AGO, a_reading, a_support, an_inspection, some_readings
from tests.conftest import NOON
from tests.dashboard.conclusions import an_outlook, is_owed, stands
from tests.dashboard.world import build_world

TODAY = NOON.date()


@pytest.fixture
def session(store):
    with store.write_session() as session:
        yield session


@pytest.fixture
def world(session):
    build_world(session)
    return session


def test_today_gathers_what_needs_someone_by_its_gravity(world):
    found = show_today.today(world, NOON)

    assert [line.code for line in found.make_safe.lines] == ["S-0101"]
    assert found.watch == 2
    assert [due.line.code for due in found.late.lines] == ["S-0103"]
    assert [(line.code, line.series) for line in found.doubtful.lines] == [
        ("S-0104", "settlement")
    ]
    assert [due.line.code for due in found.due_soon.lines] == ["S-0106"]
    assert found.next_due.line.code == "S-0101"
    assert (found.in_service, found.holding) == (5, 1)


def test_a_removed_support_needs_nobody(session):
    spot = a_support(session)
    stands(session, spot.support.id, Standing.MAKE_SAFE, "It leans.")
    is_owed(session, spot.support.id, TODAY, "a rule")
    gone = replace(spot.support, removed_on=date(2020, 1, 1))
    records.SUPPORTS.change(session, gone)

    found = show_today.today(session, NOON)

    assert (found.make_safe.total, found.late.total, found.in_service) == (0, 0, 0)
    assert [line.code for line in show_register.register(session)] == ["S-0142"]


def test_a_withdrawn_or_superseded_inspection_is_not_the_last_look(session):
    spot = a_support(session)
    first = an_inspection(spot.support.id, date(2020, 5, 1))
    typo = an_inspection(spot.support.id, date(2025, 5, 1))
    mended = replace(
        typo, id=new_id(), inspected_on=date(2022, 5, 1), supersedes_id=typo.id
    )
    never = replace(an_inspection(spot.support.id, date(2026, 5, 1)), withdrawn=True)
    records.INSPECTIONS.add(session, [first, typo, mended, never])

    (line,) = show_register.register(session)

    assert line.last_on == date(2022, 5, 1)


@pytest.mark.parametrize(
    ("due_in_days", "owed"),
    [
        (-61, Owed.LATE),
        (-60, Owed.DUE),
        (0, Owed.DUE),
        (30, Owed.OPEN),
        (31, Owed.NOT_YET),
    ],
)
def test_where_today_falls_in_the_window(session, due_in_days, owed):
    spot = a_support(session)
    is_owed(session, spot.support.id, TODAY + timedelta(due_in_days), "a rule")

    ((group),) = show_register.due_list(session, NOON)

    assert group.owed is owed


def test_what_is_owed_later_is_grouped_by_month(world):
    groups = show_register.due_list(world, NOON)

    assert [(group.owed, group.month) for group in groups] == [
        (Owed.LATE, None),
        (Owed.OPEN, None),
        (Owed.NOT_YET, date(2026, 7, 1)),
        (Owed.NOT_YET, date(2026, 8, 1)),
        (Owed.NOT_YET, date(2027, 5, 1)),
    ]


def test_the_day_is_that_of_the_site_and_not_of_the_server(session):
    spot = a_support(session)
    far = replace(spot.site, timezone="Pacific/Kiritimati")
    records.SITES.change(session, far)
    late_tonight = NOON.replace(hour=23)
    is_owed(session, spot.support.id, TODAY - timedelta(60), "a rule")

    ((group),) = show_register.due_list(session, late_tonight)

    assert group.owed is Owed.LATE  # there it is tomorrow already


def test_tilt_is_the_way_from_the_first_position_of_its_segment(world):
    view = show_support.support(world, "S-0101", NOON)

    tilt = next(series for series in view.series if series.series == "tilt")
    first, second = tilt.points.iloc[0], tilt.points.iloc[1]
    assert first["value"] == 0.0
    # by hand: from (0.4, −0.2) to (0.9, 0.2)
    assert second["value"] == pytest.approx((0.5**2 + 0.4**2) ** 0.5)
    assert (second["x"], second["y"]) == (0.9, 0.2)


def test_a_tilt_read_along_one_axis_only_is_no_position(session):
    spot = a_support(session, mark="face")
    some_readings(session, spot, "tilt_x", {date(2020, 5, 1): 1.0})

    (tilt,) = show_support.support(session, spot.support.code, NOON).series

    assert tilt.points.empty


def test_readings_know_their_segment_and_whether_they_are_doubted(world):
    view = show_support.support(world, "S-0104", NOON)

    (series,) = view.series
    assert list(series.points["stretch"]) == [0] * 5 + [1] * 6
    assert list(series.points["doubted"]) == [False] * 10 + [True]
    assert series.starts_on == (date(2007, 3, 20),)


def test_the_noise_of_a_reading_has_all_its_declared_parts(session):
    spot = a_support(session)
    some_readings(session, spot, "settlement", {date(2020, 5, 1): 1.0})

    (series,) = show_support.support(session, spot.support.code, NOON).series

    # by hand: repeatability 0.7, placement 0.5, resolution 0.5 / √12
    assert series.points["sd"].iloc[0] == pytest.approx(
        (0.7**2 + 0.5**2 + 0.5**2 / 12) ** 0.5
    )


def test_a_look_without_a_number_is_kept_with_its_reason(world):
    (series,) = show_support.support(world, "S-0103", NOON).series

    assert series.misses.to_dict("records") == [
        {
            "on": date(2021, 9, 1),
            "answer": "could not reach",
            "reason": "no lift on site",
        }
    ]


def test_works_and_events_are_numbered_in_the_order_of_time(world):
    flags = show_support.support(world, "S-0101", NOON).flags

    assert [(flag.number, flag.label) for flag in flags] == [
        (1, "Storm of 3 February 2017")
    ]


@pytest.mark.parametrize(
    ("corner", "is_met"), [((-21.0, 47.0), True), ((-25.0, 47.0), False)]
)
def test_an_event_with_an_area_meets_the_supports_inside_it(session, corner, is_met):
    spot = a_support(session)  # at 47.5 N, 20 W
    x, y = corner
    ring = [[x, y], [x + 2, y], [x + 2, y + 1], [x, y + 1], [x, y]]
    area = json.dumps({"type": "Polygon", "coordinates": [ring]})
    storm = Event(
        id=new_id(), kind=EventKind.STORM, name="", happened_on=date(2017, 2, 3),
        area=area, support_id=None, magnitude=None, ended_on=None, note="",
        recorded_at=LONG_AGO,
    )  # fmt: skip
    records.EVENTS.add(session, [storm])

    flags = show_support.support(session, spot.support.code, NOON).flags

    assert [flag.label for flag in flags] == (["storm"] if is_met else [])


def test_a_finding_is_open_again_when_the_work_that_closed_it_is_withdrawn(world):
    (work,) = records.WORKS.all(world)
    never = replace(work, id=new_id(), supersedes_id=work.id, withdrawn=True)
    records.WORKS.add(world, [never])

    (finding,) = show_support.support(world, "S-0104", NOON).findings

    assert finding.is_open


def test_a_support_that_is_not_there_is_named(session):
    with pytest.raises(NotFound, match="S-9999"):
        show_support.support(session, "S-9999", NOON)


def test_a_fan_comes_back_with_its_dates(session):
    spot = a_support(session)
    details = {"fan": [["2027-01-01", 1.0, 2.0, 3.0]]}
    outlook = an_outlook(spot, "settlement", details=details)

    assert stored_fan(outlook, "fan") == [(date(2027, 1, 1), 1.0, 2.0, 3.0)]
    assert stored_fan(outlook, "fan_x") == []
    assert stored_fan(None, "fan") == []


def test_recording_shows_the_last_value_and_what_is_expected(session):
    spot = a_support(session)
    some_readings(
        session, spot, "settlement", {date(2020, 5, 1): 1.0, date(2022, 5, 1): 1.5}
    )
    outlook = an_outlook(spot, "settlement", expected_low=1.1, expected_high=1.9)
    records.OUTLOOKS.add(session, [outlook])

    view = show_record.to_record(session, spot.support.code, NOON)

    settlement = next(w for w in view.wanted if w.quantity.name == "settlement")
    assert (settlement.last.value, settlement.last.on) == (1.5, date(2022, 5, 1))
    assert settlement.expected == (1.1, 1.9)
    assert settlement.is_usual


def test_recording_offers_what_is_usual_at_a_mark_and_folds_the_rest(session):
    spot = a_support(session, mark="plate, north corner")

    view = show_record.to_record(session, spot.support.code, NOON)

    usual = {w.quantity.name for w in view.wanted if w.is_usual}
    assert usual == {"settlement"}
    assert {"gap", "wall"} <= {w.quantity.name for w in view.wanted}
    assert "tension" not in {w.quantity.name for w in view.wanted}


def test_corrected_kinds_show_once(session):
    spot = a_support(session)
    visit = an_inspection(spot.support.id, date(2020, 5, 1))
    mended = replace(
        visit, id=new_id(), kind=InspectionKind.DETAILED, supersedes_id=visit.id,
        reason="wrong kind",
    )  # fmt: skip
    records.INSPECTIONS.add(session, [visit, mended])
    records.READINGS.add(session, [a_reading(visit, spot.mark.id, "settlement", 1.0)])

    view = show_support.support(session, spot.support.code, NOON)

    assert [visit.kind for visit in view.visits] == [InspectionKind.DETAILED]
    assert len(view.series[0].points) == 1


def test_of_each_group_a_few_are_shown_and_all_are_counted(session, monkeypatch):
    monkeypatch.setattr(due_page, "FEW", 2)
    for n in range(3):
        spot = a_support(session, code=f"L-{n}")
        is_owed(session, spot.support.id, TODAY - timedelta(61 + n), "a rule")
    spot = a_support(session, code="M-1")
    is_owed(session, spot.support.id, date(2026, 8, 3), "a rule")

    found = due_page.due_page(session, NOON, DueChoice())

    assert found.totals == {"late": 3, "2026-08": 1}
    late, august = found.parts
    assert [due.line.code for due in late.lines] == ["L-2", "L-1"]
    assert (late.total, august.month) == (3, date(2026, 8, 1))


def test_one_group_is_shown_a_page_at_a_time(session, monkeypatch):
    monkeypatch.setattr(due_page, "ON_A_PAGE", 2)
    for n in range(3):
        spot = a_support(session, code=f"L-{n}")
        is_owed(session, spot.support.id, TODAY - timedelta(61), "a rule")

    found = due_page.due_page(session, NOON, DueChoice(part="late", page=9))

    ((late,), page) = found.parts, found.page
    assert page == 2  # the last one
    assert [due.line.code for due in late.lines] == ["L-2"]


def test_the_groups_of_the_page_are_those_of_the_whole_list(world):
    whole = show_register.due_list(world, NOON)

    found = due_page.due_page(world, NOON, DueChoice())

    assert [part.lines for part in found.parts] == [group.lines for group in whole]
