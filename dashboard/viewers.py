"""The record as far as the person who asks may see and change it.

Pages and addresses are given this in place of the store. Whoever is signed in decides
how far each of their sessions reaches; outside of requests, and at addresses whose key
is in the address, it is the whole record.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

from flask import g, has_request_context

from dashboard.context import AppContext
from monitor.services.access import NO_SITE, SignedIn
from monitor.store import Session, Store
from monitor.store.reach import Reach


class ViewersStore(Store):
    """A store that asks, at every session, who is looking."""

    def __init__(self, whole: Store) -> None:
        self.whole = whole
        self.url = whole.url
        self.engine = whole.engine
        self._writing = whole._writing

    @contextmanager
    def read_session(self) -> Iterator[Session]:
        """One consistent view of what the viewer may see."""
        with self._mine().read_session() as session:
            yield session

    @contextmanager
    def write_session(self) -> Iterator[Session]:
        """All or nothing, and nothing that the viewer may not change."""
        with self._mine().write_session() as session:
            yield session

    def _mine(self) -> Store:
        viewer: SignedIn | None = g.get("viewer") if has_request_context() else None
        return self.whole if viewer is None else self.whole.within(viewer.reach)


def for_viewers(context: AppContext) -> AppContext:
    """The same context with a store that asks who is looking."""
    return replace(context, store=ViewersStore(context.store))


def whole_of(store: Store) -> Store:
    """The whole record, for what everybody may see of it: the own account."""
    return store.whole if isinstance(store, ViewersStore) else store


def for_nobody(context: AppContext) -> AppContext:
    """The same context with a store that holds nothing.

    The shapes of all pages go to every browser, so they are made from this: what they
    said of the record would be told to everybody.
    """
    nothing = whole_of(context.store).within(Reach(owner_id=NO_SITE))
    return replace(context, store=nothing)
