"""Which supports an export is of, with what belongs to them, read once."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol, TypeVar
from uuid import UUID

from monitor.domain.inspections import Instrument
from monitor.domain.places import Party, Site, Tree
from monitor.domain.supports import Mark, Member, Support
from monitor.domain.vocabulary import MemberKind
from monitor.errors import NotFound
from monitor.services.recording.checks import near, plain
from monitor.store import Session, records
from monitor.store.lookup import all_in


@dataclass(frozen=True, slots=True)
class Choice:
    """What of the record is wanted; empty means everything.

    Attributes
    ----------
    site : code
    owner : name
    kind : of a member that the support has
    """

    site: str = ""
    owner: str = ""
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Chosen:
    """The supports, in the order of their codes, and what they stand on."""

    supports: tuple[Support, ...]
    members: tuple[Member, ...]
    marks: dict[UUID, Mark]
    trees: dict[UUID, Tree]
    sites: dict[UUID, Site]
    parties: dict[UUID, Party]
    instruments: dict[UUID, Instrument]

    @property
    def ids(self) -> list[UUID]:
        """Of the supports."""
        return [support.id for support in self.supports]


def chosen(session: Session, choice: Choice) -> Chosen:
    """Read the supports that are wanted.

    Raises
    ------
    NotFound : there is no such site, owner or kind of member
    """
    sites = {site.id: site for site in records.SITES.all(session)}
    parties = {party.id: party for party in records.PARTIES.all(session)}
    kept = _sites(choice, sites, parties)
    trees = {t.id: t for t in records.TREES.all(session) if t.site_id in kept}
    supports = [s for s in records.SUPPORTS.all(session) if s.tree_id in trees]
    members = all_in(session, records.MEMBERS, "support_id", [s.id for s in supports])
    if choice.kind:
        kind = _kind(choice.kind)
        having = {m.support_id for m in members if m.kind is kind}
        supports = [s for s in supports if s.id in having]
        members = [m for m in members if m.support_id in having]
    supports.sort(key=lambda s: s.code)
    place = {s.id: i for i, s in enumerate(supports)}
    members.sort(key=lambda m: (place[m.support_id], m.code))
    marks = all_in(session, records.MARKS, "member_id", [m.id for m in members])
    return Chosen(
        supports=tuple(supports),
        members=tuple(members),
        marks={mark.id: mark for mark in marks},
        trees=trees,
        sites=sites,
        parties=parties,
        instruments={i.id: i for i in records.INSTRUMENTS.all(session)},
    )


class _Entry(Protocol):
    @property
    def id(self) -> UUID: ...
    @property
    def supersedes_id(self) -> UUID | None: ...


E = TypeVar("E", bound=_Entry)


def standing(entries: Iterable[E]) -> list[E]:
    """Those of the entries that no other of them supersedes."""
    found = list(entries)
    superseded = {entry.supersedes_id for entry in found}
    return [entry for entry in found if entry.id not in superseded]


def _sites(
    choice: Choice, sites: dict[UUID, Site], parties: dict[UUID, Party]
) -> set[UUID]:
    found = list(sites.values())
    if choice.site:
        known = [site.code for site in found]
        found = [s for s in found if plain(s.code) == plain(choice.site)]
        if not found:
            raise NotFound("site", choice.site, hint=near(choice.site, known)[2:])
    if choice.owner:
        owners = {site.owner_id for site in sites.values()}
        names = {plain(parties[key].name): key for key in owners if key in parties}
        key = names.get(plain(choice.owner))
        if key is None:
            raise NotFound("owner", choice.owner, hint=near(choice.owner, names)[2:])
        found = [site for site in found if site.owner_id == key]
    return {site.id for site in found}


def _kind(text: str) -> MemberKind:
    found = next((k for k in MemberKind if plain(k.value) == plain(text)), None)
    if found is None:
        known = ", ".join(kind.value for kind in MemberKind)
        raise NotFound("kind of member", text, hint=f"Known: {known}.")
    return found
