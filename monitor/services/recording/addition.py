"""What one registered support would add to the record or fill in."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any, TypeVar
from uuid import UUID

from monitor.domain.places import Party, Site, StemDiameter, Tree
from monitor.domain.supports import Fact, Mark, Member, Support
from monitor.services.recording.checks import HEAD, Doubt, Problem, spoken

R = TypeVar("R", Site, Tree, Support, Member)


@dataclass(slots=True)
class Addition:
    """New records, filled-in records, and what stands against them.

    Attributes
    ----------
    support : the one it is about, None if that could not be made out
    labels : what people call parties and trees
    filled : records that had blanks which are now known
    known : numbers of the members of which nothing is new
    """

    labels: Mapping[UUID, str]
    support: Support | None = None
    parties: list[Party] = field(default_factory=list)
    sites: list[Site] = field(default_factory=list)
    trees: list[Tree] = field(default_factory=list)
    stems: list[StemDiameter] = field(default_factory=list)
    supports: list[Support] = field(default_factory=list)
    members: list[Member] = field(default_factory=list)
    facts: list[Fact] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)
    filled: list[Site | Tree | Support | Member] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    known: set[int] = field(default_factory=set)

    @property
    def changes_record(self) -> bool:
        """Whether there is anything to write."""
        return any(
            (self.parties, self.sites, self.trees, self.stems, self.supports)
        ) or any((self.members, self.facts, self.marks, self.filled))

    def wrong(self, name: str, found: str, expected: str, part: int = HEAD) -> None:
        """Note a problem."""
        self.problems.append(Problem(name, found, expected, part))

    def filled_in(
        self, stored: R, said: Mapping[str, Any], names: Mapping[str, str], part: int
    ) -> R:
        """The stored record with its blanks filled; a contradiction is a problem.

        Parameters
        ----------
        said : values by field of the record; blank and None say nothing
        names : what people call those fields that have another name
        """
        blanks = {}
        for name, new in said.items():
            old = getattr(stored, name)
            if new in (None, "") or new == old:
                continue
            if old in (None, ""):
                blanks[name] = new
            else:
                expected = (
                    f"“{self._text(old)}” as recorded; to change it, amend the record"
                )
                self.wrong(names.get(name, name), self._text(new), expected, part)
        if not blanks or self.problems:
            return stored
        better = replace(stored, **blanks)
        self.filled.append(better)
        return better

    def _text(self, value: object) -> str:
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, UUID):
            new = {p.id: p.name for p in self.parties}
            new |= {t.id: t.code for t in self.trees}
            return new.get(value) or self.labels[value]
        return spoken(value) if isinstance(value, date) else str(value)
