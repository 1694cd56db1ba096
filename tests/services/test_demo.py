"""The told stories, loaded: their numbers, what was known when, nothing twice."""

import csv
import io
import math
import shutil
from datetime import UTC, date, datetime

import pytest

from demo_data.make import FOLDER
from monitor.clock import FixedClock
from monitor.services.demo import load_demo
from monitor.store import Store, ledger, records
from monitor.store.frames import readings_frame

TODAY = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
TOLD = frozenset(
    {
        "P-01", "T-07", "P-12", "C-03", "J-02", "S-05", "P-02", "P-03", "T-11", "P-24",
        "P-30", "P-41",
    }
)  # fmt: skip
"""Supports that stories with numbers are told of."""


def write_some(folder, codes):
    """The files with these supports only: the same cells, fewer rows."""
    for path in FOLDER.glob("*.csv"):
        lines = list(csv.reader(io.StringIO(path.read_text("utf-8"))))
        at = lines[0].index("support")
        with (folder / path.name).open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(
                line for line in lines if line[at] in codes or line is lines[0]
            )


@pytest.fixture(scope="module")
def told_folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("told")
    write_some(folder, TOLD)
    return folder


@pytest.fixture(scope="module")
def shares():
    """What the loading told of its progress."""
    return []


@pytest.fixture(scope="module")
def loaded(migrated_file, told_folder, tmp_path_factory, shares):
    """A store with the told stories in it. Not to be changed."""
    path = tmp_path_factory.mktemp("demo") / "underprop.db"
    shutil.copy(migrated_file, path)
    store = Store(f"sqlite:///{path}")
    clock = FixedClock(TODAY)
    load_demo(store, today_clock=clock, progress=shares.append, folder=told_folder)
    yield store
    store.close()


def told(store, code, quantity, mark=None, *, known_at=None):
    """Values of one quantity of one support by day, the last of a day standing."""
    with store.read_session() as session:
        support = records.SUPPORTS.find(session, code=code)
        frame = readings_frame(session, [support.id], known_at=known_at)
        marks = {one.id: one.code for one in records.MARKS.all(session)}
    frame = frame[(frame["quantity"] == quantity) & frame["value"].notna()]
    if mark is not None:
        frame = frame[frame["mark_id"].map(marks) == mark]
    kind = frame["inspection_kind"] == "after work"
    frame = frame.assign(is_after=kind).sort_values(["inspected_on", "is_after"])
    return dict(zip(frame["inspected_on"], frame["value"], strict=True))


def by_year(values):
    return {day.year: value for day, value in values.items()}


def end_of(year):
    return datetime(year, 12, 31, 23, 0, tzinfo=UTC)


def test_the_tollgate_post_follows_the_drain_and_stands_again(loaded):
    x, y = told(loaded, "P-01", "tilt_x"), told(loaded, "P-01", "tilt_y")
    lean = [round(math.hypot(x[day], y[day]), 1) for day in x]
    sunk = list(told(loaded, "P-01", "settlement").values())

    assert lean[:8] == [0.4, 0.6, 0.9, 1.1, 1.4, 3.2, 4.9, 6.1]
    assert sunk[4:8] == [2.0, 3.0, 11.0, 14.0]
    assert sunk[8] == 0.0
    assert by_year(x)[2008] == 0.3
    assert by_year(x)[2024] == 0.9


def test_the_ash_closes_its_hole_and_dies(loaded):
    wound = by_year(told(loaded, "T-07", "wound_width"))

    with loaded.read_session() as session:
        support = records.SUPPORTS.find(session, code="T-07")

    assert [wound[year] for year in range(2002, 2006)] == [21.0, 9.0, 2.0, 0.0]
    assert support.removed_on == date(2013, 9, 17)


def test_the_reading_on_rust_is_withdrawn_and_its_place_taken(loaded):
    now = by_year(told(loaded, "P-12", "wall", "at grade"))
    then = told(loaded, "P-12", "wall", "at grade", known_at=end_of(2012))
    above = by_year(told(loaded, "P-12", "wall", "100 mm above grade"))

    assert [now[year] for year in (1975, 1985, 1995, 2003, 2009, 2012)] == [
        6.3, 6.2, 5.9, 5.4, 4.8, 4.6,
    ]  # fmt: skip
    assert 6.1 in then.values()
    assert 6.1 not in told(loaded, "P-12", "wall", "at grade").values()
    assert above[2012] == 6.1


def test_the_mulberry_needs_its_cable_less_and_less(loaded):
    tension = list(told(loaded, "C-03", "tension").values())
    crack = set(told(loaded, "C-03", "crack_width").values())

    assert tension == [2.9, 2.7, 2.3, 1.8, 1.2, 0.6]
    assert crack == {1.4}


def test_the_screw_is_turned_out_until_too_little_is_held(loaded):
    shown = by_year(told(loaded, "J-02", "jack_extension"))
    held = told(loaded, "J-02", "jack_engagement")

    assert [shown[year] for year in (1999, 2004, 2009, 2013)] == [140, 146, 158, 164]
    assert held[date(2018, 5, 15)] == 144.0
    assert 176.0 in told(loaded, "J-02", "jack_extension").values()


def test_the_sling_runs_out_of_spare_length(loaded):
    spare = by_year(told(loaded, "S-05", "slack"))

    assert [spare[year] for year in (2008, 2010, 2012, 2014, 2016)] == [
        160, 120, 74, 31, 5,
    ]  # fmt: skip


def test_the_square_was_measured_in_feet_and_has_a_gap_in_its_record(loaded):
    with loaded.read_session() as session:
        support = records.SUPPORTS.find(session, code="P-02")
        member = records.MEMBERS.find(session, support_id=support.id)
        length = records.FACTS.find(session, member_id=member.id, name="length_mm")

    years = set(by_year(told(loaded, "P-02", "settlement")))

    assert length.given == "13 ft 2 in"
    assert length.number == pytest.approx(13 * 304.8 + 2 * 25.4)  # by hand
    assert not years & set(range(1979, 1987))


def test_the_claim_of_2015_finds_what_was_known_in_february_2013(loaded):
    asked = datetime(2013, 2, 12, 12, 0, tzinfo=UTC)
    day = date(2012, 11, 20)

    assert told(loaded, "P-03", "tilt_x", known_at=asked)[day] == 0.6
    assert told(loaded, "P-03", "tilt_x")[day] == 2.4


def test_the_tired_inspector_is_corrected_a_year_later(loaded):
    day = date(2016, 5, 10)

    then = told(loaded, "T-11", "wound_width", known_at=end_of(2016))
    tilt = told(loaded, "P-24", "tilt_x")[date(2016, 5, 12)]

    assert then[day] == 1.7
    assert told(loaded, "T-11", "wound_width")[day] == 43.2
    assert tilt == pytest.approx(1000 * math.tan(math.radians(0.3)))  # by hand


def test_the_clay_breathes_and_the_new_plate_starts_at_nought(loaded):
    settled = told(loaded, "P-30", "settlement")
    early = [
        v for day, v in settled.items() if date(2011, 1, 1) < day < date(2018, 1, 1)
    ]
    march, september = early[::2], early[1::2]

    assert settled[date(2018, 9, 6)] == 11.0
    assert settled[date(2019, 9, 6)] == 4.0
    assert settled[date(2023, 9, 6)] == 0.0
    assert sum(march) / len(march) == pytest.approx(-4.0, abs=1.0)
    assert sum(september) / len(september) == pytest.approx(4.6, abs=1.0)


def test_the_chapel_row_post_leans_two_degrees(loaded):
    x, y = told(loaded, "P-41", "tilt_x"), told(loaded, "P-41", "tilt_y")
    last = max(x)

    lean = math.degrees(math.atan(math.hypot(x[last], y[last]) / 1000))

    assert round(lean, 1) == 2.1


def test_the_ledger_carries_the_days_on_which_things_were_entered(loaded):
    with loaded.read_session() as session:
        entries = list(ledger.entries(session))
        broken = ledger.first_broken(session)

    days = [entry.change.recorded_at.date() for entry in entries]
    assert broken is None
    assert days == sorted(days)
    assert days[0] == date(1964, 12, 31)
    assert date(2014, 3, 18) in days
    assert days[-1] == TODAY.date()


def test_a_removal_is_not_known_before_its_year(loaded):
    with loaded.read_session() as session:
        entries = list(ledger.entries(session))

    early = [
        entry.change.payload
        for entry in entries
        if entry.change.subject == "support C-03"
        and entry.change.recorded_at.year < 2019
    ]
    assert early
    assert not any("2019-10-15" in payload for payload in early)


def test_progress_runs_to_the_end(loaded, shares):
    assert shares == sorted(shares)
    assert shares[-1] == pytest.approx(1.0)


def test_loading_it_again_changes_nothing(store, tmp_path):
    """A correction, a removal and a replacement are among these few."""
    write_some(tmp_path, {"T-11", "T-07", "C-03", "S-05"})

    def load():
        clock = FixedClock(TODAY)
        return load_demo(
            store, today_clock=clock, progress=lambda _share: None, folder=tmp_path
        )

    def state():
        with store.read_session() as session:
            chain = [entry.chain_hash for entry in ledger.entries(session)]
            return chain[-1], records.READINGS.count(session)

    first = load()
    before = state()
    second = load()

    assert (second.taken, second.known) == (0, first.taken)
    assert state() == before


def test_what_has_not_happened_yet_is_left_out(store, told_folder):
    clock = FixedClock(datetime(1990, 6, 1, 12, 0, tzinfo=UTC))

    load_demo(
        store, today_clock=clock, progress=lambda _share: None, folder=told_folder
    )

    with store.read_session() as session:
        codes = {support.code for support in records.SUPPORTS.all(session)}
        last = max(i.inspected_on for i in records.INSPECTIONS.all(session))
    assert codes == {"P-01", "P-02", "P-03", "P-12"}
    assert last < date(1990, 6, 1)
