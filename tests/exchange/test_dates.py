"""Dates as people write them."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.exchange.dates import civil_date

DAYS = st.dates(date(1800, 1, 1), date(2199, 12, 31))


@pytest.mark.parametrize(
    "text",
    [
        "2031-05-14", "2031/5/14", "2031-05-14 00:00:00", "14 May 2031", "14. May 2031",
        "14-May-2031", "14th May 2031", "May 14, 2031", "may 14 2031", "14.05.2031",
        "14/5/2031", "05/14/2031", "5-14-2031", "  14   MAY  2031 ",
    ],
)  # fmt: skip
def test_the_usual_ways_to_write_one_day(text):
    assert civil_date(text) == date(2031, 5, 14)


def test_a_day_and_month_that_may_be_exchanged_are_refused_until_someone_says():
    assert "3 April or 4 March 2015" in civil_date("03/04/2015")
    assert civil_date("03/04/2015", "dmy") == date(2015, 4, 3)
    assert civil_date("03/04/2015", "mdy") == date(2015, 3, 4)


def test_a_day_and_month_of_the_same_number_mean_one_day():
    assert civil_date("04/04/2015") == date(2015, 4, 4)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("31/12/68", "four digits"),
        ("14 May 31", "four digits"),
        ("2023-02-29", "calendar"),
        ("1900-02-29", "calendar"),
        ("2026-13-01", "calendar"),
        ("0000-00-00", "calendar"),
        ("31.04.2020", "calendar"),
        ("9999-12-31", "1800 to 2199"),
        ("45000", "count of days"),
        ("14 Mai 2031", "no month in English"),
        ("ma 3 2031", "a date such as"),
        ("last spring", "a date such as"),
        ("", "a date such as"),
    ],
)
def test_what_is_no_day_is_refused_in_words(text, said):
    assert said in civil_date(text)


def test_a_settled_order_does_not_turn_silently():
    assert civil_date("05/14/2031", "dmy") == "a day that the calendar has"


@given(DAYS)
def test_every_day_reads_back_in_every_clear_form(day):
    for form in ("%Y-%m-%d", "%-d %B %Y", "%b %-d, %Y", "%-d-%b-%Y"):
        assert civil_date(day.strftime(form)) == day
    assert civil_date(f"{day.day}/{day.month}/{day.year:04}", "dmy") == day
    assert civil_date(f"{day.month}/{day.day}/{day.year:04}", "mdy") == day


@given(DAYS)
def test_a_numeric_date_without_an_order_is_right_or_refused(day):
    read = civil_date(f"{day.day}/{day.month}/{day.year:04}")

    assert read == day or (isinstance(read, str) and day.day <= 12)


@given(st.text(max_size=30))
def test_any_text_is_a_day_or_a_refusal(text):
    assert isinstance(civil_date(text), date | str)


@given(DAYS, st.integers(0, 99))
def test_two_digit_years_are_always_refused(day, year):
    texts = (f"{day.day}/{day.month}/{year:02}", f"{day.day} May {year:02}")

    assert all(isinstance(civil_date(text, "dmy"), str) for text in texts)


def test_days_are_civil_dates_and_never_instants():
    assert type(civil_date("2031-05-14T09:30")) is date
    assert civil_date("2031-05-14T09:30") - date(2031, 5, 13) == timedelta(days=1)
