"""The desk that makes papers in a thread: told about on disk, whoever asks."""

import time
from dataclasses import replace
from datetime import timedelta

import pytest

from monitor.clock import FixedClock
from monitor.errors import MonitorError, NotFound
from monitor.services.papers import desk as desk_module
from monitor.services.papers.desk import KEPT, SILENT, PaperDesk
from monitor.services.papers.make import House, Made
from monitor.services.papers.wish import PaperWish
from monitor.store.photos import PhotoFiles
from tests.conftest import NOON


@pytest.fixture
def house(store, tmp_path):
    return House(store, store, PhotoFiles(tmp_path / "photos"), "")


@pytest.fixture
def desk(tmp_path, clock):
    return PaperDesk(tmp_path / "papers", clock)


def over(desk, key, by="Ines"):
    for _ in range(2000):
        state = desk.state(key, by)
        if state.is_over:
            return state
        time.sleep(0.005)
    raise AssertionError(state)


def making(monkeypatch, make):
    monkeypatch.setattr(desk_module, "make_paper", make)


def test_a_paper_is_made_and_fetched_by_whoever_asked(desk, house, monkeypatch):
    making(monkeypatch, lambda *_: Made(b"%PDF", "condition.pdf", 3, 1))

    key = desk.ask(house, PaperWish(), asked_by="Ines")
    state = over(desk, key)

    assert (state.outcome, state.pages, state.share) == ("done", 3, 1.0)
    assert desk.pdf(key, "Ines") == ("condition.pdf", b"%PDF")
    assert [one.key for one in desk.newest("Ines")] == [key]


def test_another_person_does_not_find_it(desk, house, monkeypatch):
    making(monkeypatch, lambda *_: Made(b"%PDF", "condition.pdf", 3, 1))
    key = desk.ask(house, PaperWish(), asked_by="Ines")
    over(desk, key)

    assert desk.newest("Mira") == []
    for ask in (desk.state, desk.pdf):
        with pytest.raises(NotFound):
            ask(key, "Mira")
        with pytest.raises(NotFound):
            ask("../../../etc/passwd", "Ines")


def test_another_desk_on_the_same_folder_knows_as_much(
    desk, house, tmp_path, clock, monkeypatch
):
    making(monkeypatch, lambda *_: Made(b"%PDF", "condition.pdf", 3, 1))
    key = desk.ask(house, PaperWish(), asked_by="Ines")
    over(desk, key)

    other = PaperDesk(tmp_path / "papers", clock)

    assert other.pdf(key, "Ines") == ("condition.pdf", b"%PDF")


def test_a_refusal_and_a_mistake_are_told_and_the_next_paper_is_made(
    desk, house, monkeypatch
):
    answers = iter((MonitorError("No such site."), RuntimeError("broken"), None))

    def make(*_):
        answer = next(answers)
        if answer is not None:
            raise answer
        return Made(b"%PDF", "x.pdf", 1, 1)

    making(monkeypatch, make)
    keys = [desk.ask(house, PaperWish(), asked_by="Ines") for _ in range(3)]
    refused, broken, done = (over(desk, key) for key in keys)

    assert (refused.outcome, refused.words) == ("failed", "No such site.")
    assert (broken.outcome, "RuntimeError" in broken.words) == ("failed", True)
    assert done.outcome == "done"


def test_progress_is_told_while_it_goes(desk, house, monkeypatch):
    seen = []

    def make(_house, _wish, _now, progress):
        desk._clock.at += timedelta(seconds=1)
        progress(0.25, "S-0101")
        (state,) = desk.newest("Ines")
        seen.append((state.outcome, state.share, state.words))
        return Made(b"%PDF", "x.pdf", 1, 1)

    making(monkeypatch, make)
    over(desk, desk.ask(house, PaperWish(), asked_by="Ines"))

    assert seen == [("working", 0.25, "S-0101")]


def test_a_paper_that_fell_silent_is_said_to_be_broken_off(desk, house, monkeypatch):
    making(monkeypatch, lambda *_: Made(b"%PDF", "x.pdf", 1, 1))
    key = desk.ask(house, PaperWish(), asked_by="Ines")
    done = over(desk, key)
    desk._write(replace(done, outcome="working"))

    later = PaperDesk(desk._folder, FixedClock(NOON + SILENT + timedelta(seconds=1)))

    assert desk.state(key, "Ines").outcome == "working"
    assert later.state(key, "Ines").outcome == "failed"
    assert "broken off" in later.state(key, "Ines").words


def test_old_papers_are_let_go_when_a_new_one_is_asked(
    desk, house, monkeypatch, tmp_path
):
    making(monkeypatch, lambda *_: Made(b"%PDF", "x.pdf", 1, 1))
    old = desk.ask(house, PaperWish(), asked_by="Ines")
    over(desk, old)
    made_at = (tmp_path / "papers" / old).stat().st_mtime
    from datetime import UTC, datetime

    desk._clock.at = datetime.fromtimestamp(made_at, UTC) + KEPT + timedelta(hours=1)
    new = desk.ask(house, PaperWish(), asked_by="Ines")
    over(desk, new)

    assert [one.key for one in desk.newest("Ines")] == [new]
