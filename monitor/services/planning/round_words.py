"""Wishes for a round as people type them, and back."""

import csv
import re
from collections.abc import Iterable, Iterator
from datetime import date
from io import StringIO

from monitor.errors import InvalidInput
from monitor.schedule.round_task import Arranged, Person, Pin

_PERSON = re.compile(r"\s*([^,()]+?)\s*(?:\(([^()]*)\))?\s*(?:,|$)")
_Line = tuple[int, list[str]]
_HOURS = re.compile(r"(\d{1,2}):(\d\d)\s*-\s*(\d{1,2}):(\d\d)")


def parse_people(text: str) -> tuple[Person, ...]:
    """Read who goes: a number, or names with skills and hours in brackets.

    With a bare number nothing is known of skills, and everything is taken as possible.

    Raises
    ------
    InvalidInput : what can not be read, and an example

    Examples
    --------
    >>> [p.name for p in parse_people("Edda (climbing, 9:00-14:00), Perran")]
    ['Edda', 'Perran']
    >>> [p.name for p in parse_people("2")]
    ['Person 1', 'Person 2']
    """
    told = text.strip()
    if told.isdecimal() and len(told) <= 2:
        return tuple(Person(f"Person {n}") for n in range(1, int(told) + 1))
    people, at = [], 0
    while at < len(told):
        match = _PERSON.match(told, at)
        if match is None:
            raise InvalidInput(
                f"“{told[at:][:40]}” can not be read; expected a number of people, or "
                "names such as “Edda (climbing, 9:00-14:00), Perran”.",
                field="people",
                code="rnd-007",
            )
        people.append(_person(match[1], match[2] or ""))
        at = match.end()
    return tuple(people)


def parse_hours(text: str) -> tuple[int, int]:
    """Read hours such as 9:00-14:30. [minute of the day].

    Raises
    ------
    InvalidInput : no hours, or hours that end before they begin
    """
    match = _HOURS.fullmatch(text.strip().replace("–", "-"))
    if match is not None:
        h1, m1, h2, m2 = (int(part) for part in match.groups())
        begins, ends = 60 * h1 + m1, 60 * h2 + m2
        if m1 < 60 and m2 < 60 and begins < ends <= 24 * 60:
            return begins, ends
    raise InvalidInput(
        f"“{text.strip()[:40]}” are no hours; expected such as 9:00-14:30.",
        field="hours",
        code="rnd-008",
    )


def parse_access(text: str) -> tuple[tuple[str, tuple[int, int]], ...]:
    """Read when sites are open: "OT1 10:00-15:00; TG6 8:00-12:00"."""
    found = []
    for part in filter(None, (part.strip() for part in text.split(";"))):
        code, _, hours = part.partition(" ")
        found.append((code, parse_hours(hours)))
    return tuple(found)


def parse_table(text: str) -> dict[tuple[str, str], float]:
    """Read minutes on the road as CSV: from, to, minutes; or a square table.

    A square table has the codes of sites above and beside; empty cells say nothing.

    Raises
    ------
    InvalidInput : naming the line
    """
    rows = [
        (number, [cell.strip() for cell in row])
        for number, row in enumerate(csv.reader(StringIO(text)), start=1)
    ]
    rows = [(number, cells) for number, cells in rows if any(cells)]
    if rows and (not rows[0][1][0] or len(rows[0][1]) > 3):
        return dict(_square(rows))
    return dict(_one_by_one(rows))


def _one_by_one(rows: list[_Line]) -> Iterator[tuple[tuple[str, str], float]]:
    for number, cells in rows:
        if number == 1 and cells[-1].lower().startswith("min"):
            continue
        if len(cells) != 3:
            raise _no_table(number, ", ".join(cells), "two codes of sites and minutes")
        yield (cells[0], cells[1]), _minutes(number, cells[2])


def _square(rows: list[_Line]) -> Iterator[tuple[tuple[str, str], float]]:
    _, (_, *codes) = rows[0]
    for number, (start, *cells) in rows[1:]:
        if len(cells) != len(codes):
            raise _no_table(number, f"{len(cells)} cells", f"{len(codes)} minutes")
        for code, cell in zip(codes, cells, strict=True):
            if cell and code != start:
                yield (start, code), _minutes(number, cell)


def _minutes(number: int, text: str) -> float:
    if not _is_number(text) or not 0 <= float(text) < 600:
        raise _no_table(number, text, "minutes from 0 to 600")
    return float(text)


def _no_table(number: int, found: str, wanted: str) -> InvalidInput:
    return InvalidInput(
        f"Line {number} of the travel table: found “{found[:60]}”, expected {wanted}.",
        field="table",
        code="rnd-009",
    )


def parse_pins(text: str) -> tuple[Pin, ...]:
    """Read pins from an address: "S-06@Edda@2026-11-26;..."; what is odd is refused."""
    pins = []
    for part in filter(None, text.split(";")):
        code, person, on = _three(part, "pins")
        pins.append(Pin(code, person, on))
    return tuple(pins)


def parse_arranged(text: str) -> tuple[Arranged, ...]:
    """Read days in order from an address: "S-06,T-16@Edda@2026-11-26;..."."""
    days = []
    for part in filter(None, text.split(";")):
        codes, person, on = _three(part, "order")
        days.append(Arranged(person, on, tuple(filter(None, codes.split(",")))))
    return tuple(days)


def pins_in_words(pins: Iterable[Pin]) -> str:
    """Pins as they travel in an address."""
    return ";".join(f"{pin.code}@{pin.person}@{pin.on.isoformat()}" for pin in pins)


def arranged_in_words(days: Iterable[Arranged]) -> str:
    """Days in order as they travel in an address."""
    return ";".join(
        f"{','.join(day.codes)}@{day.person}@{day.on.isoformat()}" for day in days
    )


def parse_day(text: str) -> date:
    """Read a day as 2026-11-26.

    Raises
    ------
    InvalidInput : it is no day
    """
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise InvalidInput(
            f"“{text.strip()[:40]}” is no day; expected such as 2026-11-26.",
            field="from",
            code="rnd-010",
        ) from None


def _person(name: str, brackets: str) -> Person:
    skills, hours = set(), None
    for word in filter(None, (word.strip() for word in brackets.split(","))):
        if ":" in word:
            hours = parse_hours(word)
        else:
            skills.add(word.lower())
    known = frozenset(skills)
    return Person(name, known, *hours) if hours else Person(name, known)


def _three(part: str, field: str) -> tuple[str, str, date]:
    pieces = part.rsplit("@", 2)
    if len(pieces) != 3:
        raise InvalidInput(
            f"“{part[:40]}” in the address can not be read; begin anew from the page.",
            field=field,
            code="rnd-011",
        )
    return pieces[0], pieces[1], parse_day(pieces[2])


def _is_number(text: str) -> bool:
    try:
        return float(text) >= 0
    except ValueError:
        return False
