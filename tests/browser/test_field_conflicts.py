"""Whatever changed while someone was out: a clear choice, and nothing lost."""

import json
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, timedelta

import pytest
from playwright.sync_api import expect

from monitor.clock import new_id
from monitor.domain.field_tasks import TaskKind
from monitor.services.field.tasks import open_tasks
from monitor.services.recording.commands import (
    InspectionCommand,
    ReadingCommand,
    WorkCommand,
)
from monitor.services.recording.record import record_inspection
from monitor.services.recording.works import record_work
from monitor.store import Store, records
from tests.browser.conftest import PHONE, served
from tests.browser.field_phone import come_in, done, open_form, recorded
from tests.build import a_support, some_readings
from tests.conftest import NOON

pytestmark = pytest.mark.browser

TODAY = date(2026, 6, 1)
CODES = tuple(f"C-{n:02}" for n in range(1, 17))


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("conflicts")


@pytest.fixture(scope="module")
def trip(chromium, world_file, folder):
    """One phone with one round; every test has a support of its own."""
    with served(world_file, folder) as home:
        with record(folder) as session:
            for code in CODES:
                spot = a_support(session, code, mark="face")
                years = {date(2024, 6, 1): 1.0, date(2025, 6, 1): 1.1}
                some_readings(session, spot, "settlement", years)
        context = chromium.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
        page = context.new_page()
        come_in(page, home)
        page.get_by_label("Or these codes only").fill(" ".join(CODES))
        page.get_by_role("button", name="Store this round").click()
        expect(page.get_by_text(f"{len(CODES)} supports stored.")).to_be_visible()
        yield page, home
        context.close()


@pytest.fixture
def page(trip):
    page, _ = trip
    yield page
    page.context.clock.set_fixed_time(NOON)
    page.context.set_offline(False)
    page.evaluate(KEEP + "keep.write([['clear', 'outbox'], ['clear', 'drafts']]))")


@contextmanager
def record(folder):
    store = Store(f"sqlite:///{folder / 'underprop.db'}")
    with store.write_session() as session:
        yield session
    store.close()


def look(trip, code, *, text="1.2", day=""):
    """Fill the form in and end it; it is sent at once."""
    page, home = trip
    open_form(page, home, code)
    page.get_by_label("Settlement", exact=True).fill(text)
    page.get_by_label("Note").fill("Nest in the fork.")
    if day:
        page.get_by_text("Change").click()
        page.get_by_label("Day", exact=True).fill(day)
    done(page)


def asked(page, words):
    expect(page.get_by_role("alert")).to_contain_text(words)
    expect(page.get_by_role("heading", level=1)).to_have_text(
        "One look waits for your answer."
    )


def takes(page, choice, code):
    page.get_by_role("button", name=choice).click()
    expect(page.get_by_text(f"Recorded: {code}")).to_be_visible()
    expect(page.get_by_role("heading", level=1)).to_have_text("The outbox is empty.")


def looks_at(folder, code):
    """What the form brought in of that support: the looks with their readings."""
    with record(folder) as session:
        key = records.SUPPORTS.find(session, code=code).id
    return [found for found in recorded(folder) if found[0].support_id == key]


def tasks_of(folder, code):
    with record(folder) as session:
        return [task for task in open_tasks(session) if task.support == code]


def someone(folder, code, *, inspector="Noor"):
    command = InspectionCommand(
        code, TODAY, inspector, (ReadingCommand("settlement", "1.2", "mm"),),
        kind="routine",
    )  # fmt: skip
    with record(folder) as session:
        record_inspection(session, command, actor="office", now=NOON)


def test_another_inspector_that_day_leaves_both_looks(trip, page, folder):
    someone(folder, "C-01")

    look(trip, "C-01")
    asked(page, "Noor looked at C-01 on 1 June 2026 as well.")
    takes(page, "Keep both", "C-01")

    [(made, readings, _)] = looks_at(folder, "C-01")
    assert (made.inspector, [r.given for r in readings]) == ("Ines", ["1.2 mm"])
    assert [task.kind for task in tasks_of(folder, "C-01")] == [TaskKind.ANOTHER]


def test_ones_own_look_at_the_desk_that_day_makes_this_a_detailed_one(
    trip, page, folder
):
    someone(folder, "C-02", inspector="Ines")

    look(trip, "C-02")
    asked(page, "already has an inspection of 1 June 2026 by Ines")
    takes(page, "Record it as a detailed look", "C-02")

    [(made, readings, _)] = looks_at(folder, "C-02")
    assert made.kind.value == "detailed"
    assert [r.given for r in readings] == ["1.2 mm"]


@pytest.mark.parametrize(
    ("code", "choice", "note", "left"),
    [
        ("C-03", "After it", "Nest in the fork.", []),
        ("C-04", "Before it", "Read before the adjustment of 1 June", [TaskKind.WORK]),
    ],
)
def test_work_the_phone_did_not_know_of_is_put_before_or_after(
    trip, page, folder, code, choice, note, left
):
    command = WorkCommand(code, TODAY, "adjustment", "Corbel & Fern")
    later = NOON + timedelta(minutes=1)
    with record(folder) as session:
        record_work(session, command, actor="office", now=later)

    look(trip, code)
    asked(page, "had work that this phone did not know of")
    takes(page, choice, code)

    [(made, readings, _)] = looks_at(folder, code)
    assert note in made.note
    assert len(readings) == 1
    assert [task.kind for task in tasks_of(folder, code)] == left


def removed(folder, code, member=""):
    day = date(2026, 5, 20)
    command = WorkCommand(code, day, "removal", "Corbel & Fern", member)
    with record(folder) as session:
        record_work(session, command, actor="office", now=NOON)


def test_of_a_removed_post_the_finding_is_taken_and_the_reading_kept_as_words(
    trip, page, folder
):
    with record(folder) as session:
        support = records.SUPPORTS.find(session, code="C-05")
        first = records.MEMBERS.find(session, support_id=support.id)
        records.MEMBERS.add(session, [replace(first, id=new_id(), code="P2")])
    removed(folder, "C-05", "P1")
    _, home = trip
    open_form(page, home, "C-05")
    page.get_by_label("Settlement", exact=True).fill("1.2")
    page.get_by_role("button", name="Something is wrong here").click()
    page.get_by_label("What was seen").select_option("other")
    done(page)

    asked(page, "C-05 was not taken.")
    takes(page, "Record the rest, and keep this in the note", "C-05")

    [(made, readings, _)] = looks_at(folder, "C-05")
    assert readings == []
    assert "settlement 1.2 mm" in made.note


def test_a_removed_support_with_readings_alone_is_left_with_the_office(
    trip, page, folder
):
    removed(folder, "C-06")

    look(trip, "C-06")
    asked(page, "a day up to 20 May 2026, when C-06 was removed.")
    page.get_by_role("button", name="Leave it with the office").click()

    expect(page.get_by_text("Left with the office: C-06.")).to_be_visible()
    expect(page.get_by_role("heading", level=1)).to_have_text("The outbox is empty.")
    [task] = tasks_of(folder, "C-06")
    assert task.kind is TaskKind.SET_ASIDE
    assert task.content["readings"][0]["text"] == "1.2"
    assert task.content["note"] == "Nest in the fork."


def test_a_support_whose_tag_was_changed_is_left_with_the_office(trip, page, folder):
    with record(folder) as session:
        support = records.SUPPORTS.find(session, code="C-07")
        records.SUPPORTS.change(session, replace(support, code="N-07"))

    look(trip, "C-07")
    asked(page, "C-07")
    page.get_by_role("button", name="Leave it with the office").click()

    expect(page.get_by_text("Left with the office: C-07.")).to_be_visible()
    [task] = tasks_of(folder, "C-07")
    assert task.content["readings"][0]["text"] == "1.2"


def test_a_number_that_surprises_the_office_is_confirmed(trip, page, folder):
    look(trip, "C-08", text="27.9")  # 1.1 in inches as millimetres

    asked(page, "27.9 mm after 1.1")
    takes(page, "It is so, as written", "C-08")

    [(_, readings, _)] = looks_at(folder, "C-08")
    assert [r.value for r in readings] == [27.9]


def test_a_number_nobody_can_read_stays_as_words_beside_the_rest(trip, page, folder):
    _, home = trip
    open_form(page, home, "C-09")
    page.get_by_label("Settlement", exact=True).fill("about one")
    page.get_by_role("button", name="Something is wrong here").click()
    page.get_by_label("What was seen").select_option("other")
    done(page)

    asked(page, "about one")
    takes(page, "Record the rest", "C-09")

    [(made, _, _)] = looks_at(folder, "C-09")
    assert "about one" in made.note


def test_a_look_dated_in_the_future_is_put_on_today(trip, page, folder):
    look(trip, "C-10", day="2026-06-09")

    asked(page, "9 June 2026")
    takes(page, "It was today, 1 June 2026", "C-10")

    [(made, _, _)] = looks_at(folder, "C-10")
    assert made.inspected_on == TODAY


@pytest.mark.parametrize(
    ("code", "ahead_days", "choice", "on"),
    [
        ("C-11", 3, "It was 1 June 2026", TODAY),
        ("C-12", -3, "It was 1 June 2026", TODAY),
        ("C-13", -3, "It was 29 May 2026", date(2026, 5, 29)),
    ],
)
def test_a_wrong_clock_of_the_phone_asks_for_the_day(
    trip, page, folder, code, ahead_days, choice, on
):
    page.context.clock.set_fixed_time(NOON + timedelta(days=ahead_days))

    look(trip, code)
    asked(page, "The phone's clock is 3 days")
    takes(page, choice, code)

    [(made, readings, _)] = looks_at(folder, code)
    assert made.inspected_on == on
    assert len(readings) == 1
    assert TaskKind.CLOCK in [task.kind for task in tasks_of(folder, code)]


def test_a_question_can_be_answered_by_mending_the_form(trip, page, folder):
    someone(folder, "C-14")
    look(trip, "C-14")
    asked(page, "Noor looked at C-14")

    page.get_by_role("button", name="Open it again").click()
    page.get_by_role("button", name="Done here").wait_for()
    expect(page.get_by_label("Settlement", exact=True)).to_have_value("1.2")
    page.get_by_text("Change").click()
    page.get_by_label("Day", exact=True).fill("2026-05-31")
    done(page)

    expect(page.get_by_text("Recorded: C-14, 31 May 2026.")).to_be_visible()
    [(_, readings, _)] = looks_at(folder, "C-14")
    assert [r.given for r in readings] == ["1.2 mm"]


KEEP = "import('/field/web/keep.js').then((keep) => "


@pytest.mark.parametrize(
    ("code", "choice", "left"),
    [("C-15", "Keep what is recorded", 0), ("C-16", "Leave it with the office", 1)],
)
def test_a_look_that_was_changed_after_it_was_sent_never_overwrites(
    trip, page, folder, code, choice, left
):
    """As after a phone is set back to yesterday's copy of itself, and typed on."""
    page.context.set_offline(True)
    look(trip, code)
    [item] = page.evaluate(KEEP + "keep.all('outbox'))")
    page.context.set_offline(False)
    expect(page.get_by_text(f"Recorded: {code}")).to_be_visible()
    body = json.loads(item["body"]) | {"note": "Typed later."}
    page.evaluate(
        "async (item) => { const keep = await import('/field/web/keep.js');"
        " const { sha256OfText } = await import('/field/web/ids.js');"
        " item.sha256 = await sha256OfText(item.body);"
        " await keep.write([['put', 'outbox', item]]); }",
        {**item, "body": json.dumps(body)},
    )
    page.reload()
    asked(page, f"The record holds this look at {code} already")

    page.get_by_role("button", name=choice).click()

    expect(page.get_by_role("heading", level=1)).to_have_text("The outbox is empty.")
    [(made, _, _)] = looks_at(folder, code)
    assert made.note == "Nest in the fork."
    found = tasks_of(folder, code)
    assert [task.content["note"] for task in found] == ["Typed later."] * left
