"""Letters that can be set, and what stands for the others."""

from hypothesis import given
from hypothesis import strategies as st

from monitor.reports.letters import LONGEST_RUN, not_held, spelt


def test_scripts_that_the_faces_hold_stay_as_they_are():
    for text in ("Ünï Çity № 5", "Ελιά", "Дуб", "שלום", "مرحبا", "−3.0\u2009mm", "½″"):
        assert spelt(text) == text
        assert not_held([text]) == ()


def test_a_picture_is_written_by_its_name_and_a_strange_letter_by_its_number():
    assert spelt("oak \N{DECIDUOUS TREE}") == "oak [deciduous tree]"
    assert spelt("中") == "[U+4E2D]"
    assert not_held(["oak \N{DECIDUOUS TREE}", "中", "[x]"]) == (
        "中",
        "\N{DECIDUOUS TREE}",
    )


def test_orders_that_turn_letters_around_and_controls_are_left_out():
    assert spelt("a\u202eb\x00c\u2066d\x1b") == "abcd"
    assert spelt("one\ntwo\tthree") == "one two three"


@given(st.text(max_size=80))
def test_nothing_is_left_that_can_not_be_set(text):
    once = spelt(text)

    assert not_held([once]) == ()
    runs = once.replace("\u200b", " ").split()
    assert all(len(run) <= 4 * LONGEST_RUN for run in runs)


def test_a_run_of_four_hundred_letters_can_break():
    runs = spelt("x" * 400).split("\u200b")

    assert max(map(len, runs)) <= LONGEST_RUN
    assert "".join(runs) == "x" * 400
