"""Civil dates as people write them; what may mean two days is refused."""

import re
from datetime import date

FIRST_YEAR, LAST_YEAR = 1800, 2199
ORDERS = ("dmy", "mdy")
_MONTHS = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
]

_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ]\d{2}:\d{2}(?::\d{2})?)?")
_NUMBERS = re.compile(r"(\d{1,2})[-/. ](\d{1,2})[-/. ](\d{2}|\d{4})")
_TH = r"(?:st|nd|rd|th)?"
_DAY_FIRST = re.compile(rf"(\d{{1,2}}){_TH}[-. ]*([a-z]{{3,9}})\.?[-, ]*(\d{{2,4}})")
_MONTH_FIRST = re.compile(rf"([a-z]{{3,9}})\.? *(\d{{1,2}}){_TH}[, ]+(\d{{2,4}})")
EXPECTED = "a date such as 2031-05-14 or 14 May 2031"


def civil_date(text: str, order: str = "") -> date | str:
    """The day a text names, or what was expected instead.

    Parameters
    ----------
    order : "dmy" or "mdy" settles dates like 03/04/2015; empty refuses them

    Examples
    --------
    >>> civil_date("14 May 2031")
    datetime.date(2031, 5, 14)
    >>> civil_date("03/04/2015")
    'a date that means one day; it may be 3 April or 4 March 2015: say --dates dmy or \
--dates mdy'
    """
    plain = " ".join(text.split()).casefold()
    if found := _ISO.fullmatch(plain.upper()):
        return _day(found[1], found[2], found[3])
    if found := _NUMBERS.fullmatch(plain):
        return _from_numbers(found[1], found[2], found[3], order)
    if found := _DAY_FIRST.fullmatch(plain):
        return _named(found[1], found[2], found[3])
    if found := _MONTH_FIRST.fullmatch(plain):
        return _named(found[2], found[1], found[3])
    if plain.replace(".", "").isdecimal() and len(plain) >= 5:
        return f"{EXPECTED}; a bare number may be a spreadsheet's count of days"
    return EXPECTED


def _from_numbers(first: str, second: str, year: str, order: str) -> date | str:
    if len(year) == 2:
        return _two_digits(year)
    one, two = int(first), int(second)
    if order == "mdy":
        return _day(year, first, second)
    if order == "dmy":
        return _day(year, second, first)
    if one == two or two > 12:
        return _day(year, first, second)
    if one > 12:
        return _day(year, second, first)
    return (
        f"a date that means one day; it may be {one} {_month(two)} or {two} "
        f"{_month(one)} {year}: say --dates dmy or --dates mdy"
    )


def _named(day: str, month: str, year: str) -> date | str:
    if len(year) != 4:
        return _two_digits(year)
    numbers = [i for i, name in enumerate(_MONTHS, 1) if name.startswith(month)]
    if len(numbers) != 1:
        return f"{EXPECTED}; “{month}” is no month in English"
    return _day(year, str(numbers[0]), day)


def _day(year: str, month: str, day: str) -> date | str:
    try:
        found = date(int(year), int(month), int(day))
    except ValueError:
        return "a day that the calendar has"
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        return f"a year from {FIRST_YEAR} to {LAST_YEAR}"
    return found


def _two_digits(year: str) -> str:
    return f"a year with all four digits; “{year}” may be of several centuries"


def _month(number: int) -> str:
    return _MONTHS[number - 1].capitalize() if 1 <= number <= 12 else str(number)
