"""Pages that read the whole record, kept for as long as it does not change.

A page is made anew when the ledger has grown, when an assessment took in what waited,
and at every quarter of an hour, at which the civil day may turn at some site. Who sees
only a part of the record has small pages, which are made each time.
"""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from functools import wraps
from threading import Lock
from typing import Any

from dash.development.base_component import Component
from flask import g, has_request_context

from dashboard.context import AppContext
from monitor.services.access import SignedIn
from monitor.store.record_state import record_state

Layout = Callable[..., Component]

QUARTER_S = 900
MOST = 32
"""So many pages of a kind are kept, the last asked for."""


def remembered(layout: Layout) -> Layout:
    """The same page from memory while nothing has changed."""
    kept: OrderedDict[Hashable, Component] = OrderedDict()
    lock = Lock()

    @wraps(layout)
    def answer(context: AppContext, **asked: str) -> Component:
        viewer: SignedIn | None = g.get("viewer") if has_request_context() else None
        if viewer is None or viewer.reach.is_narrow:
            return layout(context, **asked)
        key = (viewer.reach, *_state(context), *sorted(asked.items()))
        with lock:
            if key not in kept:
                kept[key] = layout(context, **asked)
            kept.move_to_end(key)
            while len(kept) > MOST:
                kept.popitem(last=False)
            return kept[key]

    return answer


def _state(context: AppContext) -> tuple[Any, ...]:
    quarter = int(context.clock.now().timestamp() // QUARTER_S)
    with context.store.read_session() as session:
        return context.store.url, context.settings, quarter, record_state(session)
