"""Which paper is wanted: what, of which supports, on which sheet, as known when."""

from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from enum import StrEnum

from monitor.domain.places import Party, Site
from monitor.domain.supports import Support
from monitor.errors import InvalidInput, NotFound
from monitor.reports.blocks import Size
from monitor.services.papers.moment import Moment
from monitor.services.papers.then import known_supports
from monitor.services.showing.support import find_support
from monitor.store import Session, records

ALL = "all supports"


class PaperKind(StrEnum):
    """Papers that can be made."""

    CONDITION = "condition report"
    CERTIFICATE = "inspection certificate"
    DOSSIER = "hand-over dossier"
    YEAR_PLAN = "year plan"
    FIELD_SHEET = "field sheet"
    TAGS = "tags"


class Scope(StrEnum):
    """Of which supports a paper speaks."""

    SUPPORT = "support"
    SITE = "site"
    OWNER = "owner"
    ALL = "all"


@dataclass(frozen=True, slots=True)
class PaperWish:
    """A paper that is wanted.

    Attributes
    ----------
    name : code of the support, code or name of the site, name of the owner
    known_on : past day the paper speaks of; None for now
    looked_on : day of the inspection, for a certificate; None for the newest
    """

    kind: PaperKind = PaperKind.CONDITION
    scope: Scope = Scope.ALL
    name: str = ""
    size: Size = Size.A4
    known_on: date | None = None
    looked_on: date | None = None


@dataclass(frozen=True, slots=True)
class Chosen:
    """The supports of a paper, and how they are called together.

    Attributes
    ----------
    subject : the same for the ledger, an owner by id
    """

    about: str
    supports: tuple[Support, ...]
    subject: str


def check_wish(wish: PaperWish) -> None:
    """Refuse what can not be made.

    Raises
    ------
    InvalidInput : naming what is wrong
    """
    if wish.scope is not Scope.ALL and not wish.name.strip():
        raise InvalidInput(
            f"Name the {wish.scope.value} the paper is about.", field="name",
            code="pap-004",
        )  # fmt: skip
    only = _ONLY.get(wish.kind)
    if only is not None and wish.scope is not only:
        said = "everything" if only is Scope.ALL else f"one {only.value}"
        raise InvalidInput(
            f"A {wish.kind.value} is of {said}.", field="scope", code="pap-005"
        )
    if wish.known_on is not None and wish.kind in _OF_NOW:
        raise InvalidInput(
            f"“{wish.kind.value}” looks ahead from today; leave the day out.",
            field="known_on",
            code="pap-006",
        )


def chosen(session: Session, wish: PaperWish, moment: Moment) -> Chosen:
    """The supports that the wish speaks of, by code.

    Raises
    ------
    NotFound : nothing of that name, or nothing of it was in the record then
    """
    known = known_supports(session, moment)
    if wish.scope is Scope.ALL:
        return Chosen("All supports", tuple(known), ALL)
    if wish.scope is Scope.SUPPORT:
        found = find_support(session, wish.name)
        supports = tuple(one for one in known if one.id == found.id)
        about, subject = found.code, f"support {found.code}"
    else:
        about, subject, sites = _sites(session, wish)
        trees = {tree.id: tree.site_id for tree in records.TREES.all(session)}
        supports = tuple(one for one in known if trees[one.tree_id] in sites)
    if not supports:
        when = f" on {wish.known_on.isoformat()}" if wish.known_on else ""
        raise NotFound("support in the record of", f"{about}{when}")
    return Chosen(about, supports, subject)


def site_named(session: Session, name: str) -> Site:
    """The site with that code or name.

    Raises
    ------
    NotFound : naming the nearest
    """
    sites = records.SITES.all(session)
    by_word = {site.name.casefold(): site for site in sites}
    by_word |= {site.code.casefold(): site for site in sites}
    found = by_word.get(" ".join(name.split()).casefold())
    if found is None:
        near = _near(name, [*(s.name for s in sites), *(s.code for s in sites)])
        raise NotFound("site", name, hint=near)
    return found


def owners(session: Session) -> list[Party]:
    """Everybody who owns a site, by name."""
    owning = {site.owner_id for site in records.SITES.all(session)}
    parties = [one for one in records.PARTIES.all(session) if one.id in owning]
    return sorted(parties, key=lambda one: one.name.casefold())


def _sites(session: Session, wish: PaperWish) -> tuple[str, str, set[object]]:
    if wish.scope is Scope.SITE:
        site = site_named(session, wish.name)
        return site.name or site.code, f"site {site.code}", {site.id}
    everybody = owners(session)
    wanted = " ".join(wish.name.split()).casefold()
    for one in everybody:
        if one.name.casefold() == wanted:
            sites = records.SITES.all(session)
            own: set[object] = {s.id for s in sites if s.owner_id == one.id}
            return one.name, f"party {one.id}", own
    raise NotFound(
        "owner", wish.name, hint=_near(wish.name, [o.name for o in everybody])
    )


def _near(name: str, names: list[str]) -> str:
    found = get_close_matches(name, names, n=1, cutoff=0.5)
    return f"The nearest is “{found[0]}”." if found else ""


_OF_NOW = frozenset({PaperKind.YEAR_PLAN, PaperKind.FIELD_SHEET, PaperKind.TAGS})
_ONLY = {
    PaperKind.CERTIFICATE: Scope.SUPPORT,
    PaperKind.DOSSIER: Scope.SITE,
    PaperKind.YEAR_PLAN: Scope.ALL,
}
