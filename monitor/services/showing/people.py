"""Accounts as the people who look after them see them."""

from dataclasses import dataclass

from monitor.domain.people import Account
from monitor.services.access import accounts
from monitor.services.entry.second import factor_of
from monitor.store import Session
from monitor.store.records import PARTIES, SITES


@dataclass(frozen=True, slots=True)
class Person:
    """One account, with the owner it belongs to and whether it has a second factor."""

    account: Account
    owner: str
    has_factor: bool


def people(session: Session) -> list[Person]:
    """Everybody, by name."""
    names = {party.id: party.name for party in PARTIES.all(session)}
    return [
        Person(
            one,
            names.get(one.party_id, "") if one.party_id else "",
            factor_of(session, one) is not None,
        )
        for one in accounts(session)
    ]


def owners(session: Session) -> list[str]:
    """Names of parties that own sites."""
    owning = {site.owner_id for site in SITES.all(session)}
    found = [party.name for party in PARTIES.all(session) if party.id in owning]
    return sorted(found, key=str.casefold)
