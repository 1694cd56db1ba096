"""What the fuzz asks about: two owners with a support each.

An administrator's browser and that of one of the owners ask; the owner must never read
a word of the other's rows.
"""

import logging
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from dash import Dash
from flask.testing import FlaskClient

from dashboard.access import cookie_name
from dashboard.app import create_app
from dashboard.context import AppContext
from monitor.clock import SystemClock, new_id
from monitor.domain.places import Party, Site, Tree
from monitor.domain.supports import Member, Support
from monitor.domain.vocabulary import Consequence, MemberKind, Occupancy, Role
from monitor.services.access import NewAccount, add_account, start_sign_in
from monitor.services.keeping.verify import Asked, verify
from monitor.settings import Settings
from monitor.store import Session, Store, records
from monitor.store.schema import upgrade

HIDDEN = ("Unseenham", "Closed Abbey", "H-0999")
"""Words that stand in rows of the other owner only."""


@dataclass(frozen=True, slots=True)
class World:
    """An application, two browsers that are signed in, and the record beneath."""

    app: Dash
    administrator: FlaskClient
    owner: FlaskClient
    store: Store

    def verify(self) -> bool:
        """Whether the record still holds, ledger and all."""
        with self.store.read_session() as session:
            return verify(Asked(session, outlooks=0)).holds


def served(folder: Path) -> World:
    """The world over a fresh record in a folder."""
    url = f"sqlite:///{folder / 'fuzz.db'}"
    upgrade(url)
    store, clock = Store(url), SystemClock()
    context = AppContext(Settings(data_folder=folder), store, clock)
    now = clock.now()
    with store.write_session() as session:
        _support(session, ("Openham", "Open Hall", "O-0001"), now)
        _support(session, HIDDEN, now)
        tokens = [
            _signed_in(session, NewAccount("chief", "", Role.ADMINISTRATOR, ""), now),
            _signed_in(
                session, NewAccount("owner", "", Role.OWNER, "", "Open Hall"), now
            ),
        ]
    app = create_app(context)
    logging.getLogger("underprop").setLevel(logging.CRITICAL)
    browsers = [_browser(app, context, token) for token in tokens]
    return World(app, browsers[0], browsers[1], store)


def _signed_in(session: Session, new: NewAccount, now: datetime) -> str:
    account = add_account(session, new, actor="fuzz", now=now)
    return start_sign_in(session, account, now)


def _browser(app: Dash, context: AppContext, token: str) -> FlaskClient:
    client: FlaskClient = app.server.test_client()
    client.set_cookie(cookie_name(context), token)
    return client


def _support(session: Session, names: tuple[str, str, str], now: datetime) -> None:
    """A site of an owner with one tree and one post under it."""
    name, owner, code = names
    party = Party(new_id(), owner, "", now)
    site = Site(
        new_id(), f"V-{code}", name, party.id, None, "Etc/UTC", None, 47.5, -20.0, "",
        "", "", now,
    )  # fmt: skip
    tree = Tree(new_id(), site.id, "T1", "Tilia cordata", True, None, None, "", now)
    support = Support(
        new_id(), tree.id, code, "long low limb", "path", Occupancy.FREQUENT,
        Consequence.SIGNIFICANT, date(2010, 5, 14), None, None, None, "", "", now,
    )  # fmt: skip
    member = Member(
        new_id(), support.id, "P1", MemberKind.POST, support.installed_on, None, "",
        None, now,
    )  # fmt: skip
    records.PARTIES.add(session, [party])
    records.SITES.add(session, [site])
    records.TREES.add(session, [tree])
    records.SUPPORTS.add(session, [support])
    records.MEMBERS.add(session, [member])
