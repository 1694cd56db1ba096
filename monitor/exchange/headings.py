"""Which column of a file is which of our fields.

heading     words [unit]          (unit), and a unit after a comma or as the last
word, are taken as well
wide files  [member] quantity [unit] [@ mark]
"""

import re
from dataclasses import dataclass, replace
from functools import lru_cache

from monitor.domain.facts import FACTS
from monitor.domain.quantities import QUANTITIES
from monitor.errors import UnclearNumber
from monitor.exchange.trade_words import (
    FACT_WORDS,
    FIELDS,
    QUANTITY_WORDS,
    FileKind,
)
from monitor.units import unit_named

READING, FACT, IGNORED = "reading", "fact", "ignore"
_ARTICLES = {"the", "a", "an"}


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a file.

    Attributes
    ----------
    index : in the row, from 0
    heading : as it stands in the file
    field : ours; `READING` and `FACT` are named by `name`
    unit : of the heading, empty if it has none
    member, mark : of a reading in a wide file
    """

    index: int
    heading: str
    field: str
    unit: str = ""
    name: str = ""
    member: str = ""
    mark: str = ""

    @property
    def key(self) -> tuple[str, str, str, str]:
        """What no two columns may share."""
        return self.field, self.name, plain(self.member), plain(self.mark)

    @property
    def canonical(self) -> str:
        """The heading as we write it."""
        member = f"{self.member} " if self.member else ""
        unit = f" [{self.unit}]" if self.unit else ""
        mark = f" @ {self.mark}" if self.mark else ""
        return f"{member}{self.name or self.field}{unit}{mark}"


def column_of(kind: FileKind, heading: str, index: int) -> Column | None:
    """The field a heading stands for in a file of that kind, or None.

    Examples
    --------
    >>> column_of(FileKind.SUPPORTS, "Wall thk. (mm)", 4).canonical
    'wall_mm [mm]'
    """
    if plain(heading) == IGNORED:
        return Column(index, heading, IGNORED)
    head, _, mark = heading.partition("@")
    for words, unit in _readings_of(head):
        found = _field(kind, words)
        if found:
            mark = " ".join(mark.split())
            column = replace(found, index=index, heading=heading, mark=mark)
            column = replace(column, unit=unit or found.unit)
            return column if column.field == READING or not mark else None
    return None


def quantity_of(text: str) -> str:
    """Name of the quantity people mean, or the text itself if that is not known."""
    return _QUANTITIES.get(plain(text), text)


def known_headings(kind: FileKind) -> tuple[str, ...]:
    """Everything a heading of such a file may say, without units."""
    names = [*_FIELDS[kind]]
    if kind is FileKind.SUPPORTS:
        names += [*_FACTS]
    if kind is FileKind.INSPECTIONS:
        names += [*_QUANTITIES]
    return tuple(names)


@lru_cache(maxsize=4096)
def plain(text: str) -> str:
    """A heading without the accidents of typing, and without its articles."""
    words = re.sub(r"[\s_\-./:#?*!]+", " ", text.casefold()).split()
    return " ".join(word for word in words if word not in _ARTICLES)


def _readings_of(heading: str) -> list[tuple[str, str]]:
    """Ways to read a heading as words and a unit, the likeliest first.

    “coating um” is a fact of that name, not the fact “coating” in µm; so the words are
    tried with their unit first.
    """
    split = [heading.rpartition(","), heading.replace("_", " ").strip().rpartition(" ")]
    found = [(words, unit) for words, _, unit in split]
    if parts := _BRACKETED.fullmatch(heading):
        found.insert(0, (f"{parts['words']} {parts['rest']}", parts["unit"]))
    with_unit = [(words, _unit(unit)) for words, unit in found]
    readings = [
        reading
        for words, unit in with_unit
        if words.strip() and unit
        for reading in ((f"{words} {unit_named(unit)}", unit), (words, unit))
    ]
    return [*readings, (heading, "")]


def _unit(text: str) -> str:
    """The unit as written if it is one, else nothing; “no” is no unit in a heading."""
    text = text.strip()
    if plain(text) == "no":
        return ""
    try:
        unit_named(text)
    except UnclearNumber:
        return ""
    return text


def _field(kind: FileKind, words: str) -> Column | None:
    name = plain(words)
    if name in _FIELDS[kind]:
        return Column(0, "", _FIELDS[kind][name])
    if kind is FileKind.SUPPORTS and name in _FACTS:
        unit = _UNITS_IN_NAMES.get(name, "")
        return Column(0, "", FACT, unit=unit, name=_FACTS[name])
    if kind is FileKind.INSPECTIONS:
        return _reading_field(words, name)
    return None


def _reading_field(words: str, name: str) -> Column | None:
    if name in _QUANTITIES:
        return Column(0, "", READING, name=_QUANTITIES[name])
    member, _, rest = words.strip().partition(" ")
    if plain(rest) in _QUANTITIES and any(c.isdigit() for c in member):
        return Column(0, "", READING, name=_QUANTITIES[plain(rest)], member=member)
    return None


_BRACKETED = re.compile(
    r"\s*(?P<words>[^\[(]+?)\s*[\[(]\s*(?P<unit>[^\])]+?)\s*[\])]\s*(?P<rest>.*)"
)
_FIELDS = {
    kind: {
        plain(word): field
        for field, words in fields.items()
        for word in (field, *words.split("|"))
    }
    for kind, fields in FIELDS.items()
}


def _all_facts() -> dict[str, str]:
    found = {}
    for specs in FACTS.values():
        for spec in specs:
            stem = spec.name.rsplit("_", 1)[0] if spec.is_number else spec.name
            for word in (spec.name, stem, spec.label):
                found[plain(word)] = spec.name
    for name, words in FACT_WORDS.items():
        for word in words.split("|"):
            found.setdefault(plain(word), name)
    return found


_FACTS = _all_facts()
_UNITS_IN_NAMES = {
    plain(spec.name): spec.unit
    for specs in FACTS.values()
    for spec in specs
    if spec.is_number and spec.unit != "count"
}
_QUANTITIES = {
    plain(word): name
    for name, quantity in QUANTITIES.items()
    for word in (name, quantity.label, *QUANTITY_WORDS.get(name, name).split("|"))
}
