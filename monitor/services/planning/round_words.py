"""Wishes for a round as people type them, and back."""

import re
from collections.abc import Iterable
from datetime import date

from monitor.errors import InvalidInput
from monitor.schedule.access_hours import parse_hours
from monitor.schedule.round_task import Arranged, Person, Pin, clock

_PERSON = re.compile(r"\s*([^,()]+?)\s*(?:\(([^()]*)\))?\s*(?:,|$)")


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


def parse_access(text: str) -> tuple[tuple[str, tuple[int, int]], ...]:
    """Read when sites are open: "OT1 10:00-15:00; TG6 8:00-12:00"."""
    found = []
    for part in filter(None, (part.strip() for part in text.split(";"))):
        code, _, hours = part.partition(" ")
        found.append((code, parse_hours(hours)))
    return tuple(found)


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


def parse_again(text: str) -> tuple[tuple[str, date], ...]:
    """Read agreed days to be planned anew: "Edda@2026-11-26;..."."""
    return tuple(
        (person, on)
        for _, person, on in (
            _three(f"@{part}", "again") for part in filter(None, text.split(";"))
        )
    )


def again_in_words(days: Iterable[tuple[str, date]]) -> str:
    """Days to be planned anew as they travel in an address."""
    return ";".join(f"{person}@{on.isoformat()}" for person, on in days)


def person_in_words(person: Person) -> str:
    """A person as one types it: Edda (climbing, 09:00-14:00)."""
    hours = f"{clock(person.begins)}-{clock(person.ends)}"
    return f"{person.name} ({', '.join([*sorted(person.skills or ()), hours])})"


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
