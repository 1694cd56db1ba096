"""What a guided entry offers: names that the record holds already."""

from dataclasses import dataclass

from monitor.services.recording.commands import SiteDraft, SupportDraft, TreeDraft
from monitor.services.showing.support import find_support
from monitor.store import Session
from monitor.store import records as r
from monitor.store.overview import known_words

MOST = 500
"""So many names are offered; more would only slow the page."""


@dataclass(frozen=True, slots=True)
class Places:
    """Names to choose from; anything else may be typed as well."""

    owners: tuple[str, ...]
    sites: tuple[str, ...]
    species: tuple[str, ...]
    installers: tuple[str, ...]


def places(session: Session) -> Places:
    """The names that the record holds, in the order of the alphabet."""
    parties = known_words(session, "party", "name", most=MOST)
    return Places(
        owners=parties,
        sites=known_words(session, "site", "code", most=MOST),
        species=known_words(session, "tree", "species", most=MOST),
        installers=parties,
    )


def placed(session: Session, code: str) -> SupportDraft:
    """A support as it would be typed again, without its members.

    Raises
    ------
    NotFound : no support has that code
    """
    found = find_support(session, code)
    tree = r.TREES.get(session, found.tree_id)
    site = r.SITES.get(session, tree.site_id)
    owner = r.PARTIES.get(session, site.owner_id)
    installer = ""
    if found.installer_id is not None:
        installer = r.PARTIES.get(session, found.installer_id).name
    return SupportDraft(
        code=found.code,
        site=SiteDraft(site.code, name=site.name, owner=owner.name),
        tree=TreeDraft(tree.code, species=tree.species),
        members=(),
        reason=found.reason,
        target=found.target,
        occupancy=found.occupancy.value,
        consequence=found.consequence.value,
        installer=installer,
        note=found.note,
    )
