"""What the record holds of places and supports, as far as new ones must fit to it."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from uuid import UUID

from monitor.domain.places import Party, Site, StemDiameter, Tree
from monitor.domain.supports import Fact, Mark, Member, Support
from monitor.services.recording.addition import Addition
from monitor.services.recording.checks import plain
from monitor.store import Session, records
from monitor.store.lookup import all_in


@dataclass(slots=True)
class RegisterView:
    """Places and supports by code, without the accidents of typing.

    Attributes
    ----------
    trees : by site id and code
    stems : by tree id and ISO date
    members : by support id and code
    facts : what stands, by member id and name
    fact_versions : every version, likewise
    marks : by member id and code
    labels : what people call parties and trees, by id
    """

    parties: dict[str, Party] = field(default_factory=dict)
    sites: dict[str, Site] = field(default_factory=dict)
    trees: dict[tuple[UUID, str], Tree] = field(default_factory=dict)
    stems: dict[tuple[UUID, str], StemDiameter] = field(default_factory=dict)
    supports: dict[str, Support] = field(default_factory=dict)
    members: dict[tuple[UUID, str], Member] = field(default_factory=dict)
    facts: dict[tuple[UUID, str], Fact] = field(default_factory=dict)
    fact_versions: dict[tuple[UUID, str], list[Fact]] = field(default_factory=dict)
    marks: dict[tuple[UUID, str], Mark] = field(default_factory=dict)
    labels: dict[UUID, str] = field(default_factory=dict)

    def members_of(self, support_id: UUID) -> list[Member]:
        """Members of one support."""
        return [m for (owner, _), m in self.members.items() if owner == support_id]

    def take(self, addition: Addition) -> None:
        """Take in what is about to be written."""
        filled = addition.filled
        for party in addition.parties:
            self.parties[plain(party.name)] = party
            self.labels[party.id] = party.name
        for site in (*addition.sites, *(f for f in filled if isinstance(f, Site))):
            self.sites[plain(site.code)] = site
        for tree in (*addition.trees, *(f for f in filled if isinstance(f, Tree))):
            self.trees[tree.site_id, plain(tree.code)] = tree
            self.labels[tree.id] = tree.code
        for stem in addition.stems:
            self.stems[stem.tree_id, stem.measured_on.isoformat()] = stem
        for support in addition.supports:
            self.supports[plain(support.code)] = support
        for member in addition.members:
            self.members[member.support_id, plain(member.code)] = member


def view_register(session: Session, codes: Iterable[str]) -> RegisterView:
    """All places, and the supports of these codes with their members."""
    view = RegisterView(
        parties={plain(p.name): p for p in records.PARTIES.all(session)},
        sites={plain(s.code): s for s in records.SITES.all(session)},
        trees={(t.site_id, plain(t.code)): t for t in records.TREES.all(session)},
    )
    view.labels = {p.id: p.name for p in view.parties.values()}
    view.labels |= {t.id: t.code for t in view.trees.values()}
    stems = records.STEM_DIAMETERS.current(session)
    view.stems = {(s.tree_id, s.measured_on.isoformat()): s for s in stems}
    wanted = {plain(code) for code in codes}
    supports = [s for s in records.SUPPORTS.all(session) if plain(s.code) in wanted]
    view.supports = {plain(s.code): s for s in supports}
    members = all_in(session, records.MEMBERS, "support_id", (s.id for s in supports))
    view.members = {(m.support_id, plain(m.code)): m for m in members}
    ids = [member.id for member in members]
    facts = all_in(session, records.FACTS, "member_id", ids)
    replaced = {fact.supersedes_id for fact in facts}
    view.facts = {(f.member_id, f.name): f for f in facts if f.id not in replaced}
    for fact in facts:
        view.fact_versions.setdefault((fact.member_id, fact.name), []).append(fact)
    marks = all_in(session, records.MARKS, "member_id", ids)
    view.marks = {(m.member_id, plain(m.code)): m for m in marks}
    return view
