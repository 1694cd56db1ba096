"""What agreed rounds leave to plan: days that stay, and visits that are taken."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from monitor.schedule.round_task import Arranged, Person, Pin
from monitor.services.planning.agreed import Agreed, DayKey, day_key


@dataclass(frozen=True, slots=True)
class Asked:
    """The part of a wish that bears on agreed rounds.

    Attributes
    ----------
    again : days that are planned anew though they were agreed; only pins stay
    """

    people: tuple[Person, ...]
    days: tuple[date, ...]
    pins: tuple[Pin, ...]
    arranged: tuple[Arranged, ...]
    again: tuple[tuple[str, date], ...]


@dataclass(frozen=True, slots=True)
class AgreedDays:
    """What stands already.

    Attributes
    ----------
    kept : rounds that stay within this plan, by person and day
    arranged : the same as days in order, with what was put on or taken off by hand
    taken : visits of other agreed rounds, with the round they are in
    """

    kept: dict[DayKey, Agreed]
    arranged: tuple[Arranged, ...]
    taken: dict[str, Agreed]

    @property
    def codes(self) -> frozenset[str]:
        """Visits that stay within this plan."""
        return frozenset(code for day in self.arranged for code in day.codes)


def agreed_days(standing: Iterable[Agreed], asked: Asked) -> AgreedDays:
    """Keep the agreed days of whoever goes, leave the visits of others alone."""
    names = {day_key(person.name, on): person.name
             for person in asked.people for on in asked.days}  # fmt: skip
    anew = {day_key(*each) for each in asked.again}
    by_hand = {day_key(day.person, day.on) for day in asked.arranged}
    moved = {code for day in asked.arranged for code in day.codes}
    kept: dict[DayKey, Agreed] = {}
    taken: dict[str, Agreed] = {}
    days = []
    for one in standing:
        if one.key not in names:
            taken |= dict.fromkeys(one.codes, one)
        elif one.key not in anew and one.key not in by_hand:
            kept[one.key] = one
            days.append(_day(one, names[one.key], asked.pins, moved))
    return AgreedDays(kept, tuple(days), taken)


def _day(
    one: Agreed, name: str, pins: Sequence[Pin], moved: Collection[str]
) -> Arranged:
    """The order as agreed, without what was put elsewhere, with what was put here."""
    elsewhere = {pin.code for pin in pins if day_key(pin.person, pin.on) != one.key}
    here = [pin.code for pin in pins if day_key(pin.person, pin.on) == one.key]
    codes = [c for c in one.codes if c not in elsewhere and c not in moved]
    codes += [code for code in here if code not in codes]
    return Arranged(name, one.round.planned_on, tuple(codes))
