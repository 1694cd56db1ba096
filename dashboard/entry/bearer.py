"""Programs under /api/ and /ogc, with `Authorization: Bearer underprop_...`."""

from flask import request

from dashboard.context import AppContext
from monitor.services.access import SignedIn
from monitor.services.entry import keys

PREFIXES = ("/api/", "/ogc", "/metrics")


def token_of_request() -> str:
    """The token a program shows; empty if it shows none or asks elsewhere."""
    scheme, _, token = request.headers.get("Authorization", "").partition(" ")
    is_bearer = scheme.casefold() == "bearer" and request.path.startswith(PREFIXES)
    return token.strip() if is_bearer else ""


def authenticated(context: AppContext) -> SignedIn | None:
    """Whose program asks, None if its token opens nothing."""
    now = context.clock.now()
    with context.store.read_session() as session:
        found = keys.program_of(session, token_of_request(), now)
    if found is not None and found.key is not None and keys.wants_touch(found.key, now):
        with context.store.write_session() as session:
            keys.touch(session, found.key, now)
    return found
