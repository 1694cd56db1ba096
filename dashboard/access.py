"""The gate: nothing is answered to a stranger, nothing taken from another site.

Every route is closed unless `OPEN_PATHS` names it: pages, Dash's own layout,
dependency and callback addresses, assets, and whatever is added later. A few addresses
carry their own key; the rest wants a sign-in, or under /api/ the token of a program.
"""

from typing import cast
from urllib.parse import quote, urlsplit

from flask import Flask, g, redirect, request
from werkzeug.wrappers import Response as AnyResponse

from dashboard import calendar_feed, unsubscribe
from dashboard.context import AppContext
from dashboard.entry import bearer, links
from dashboard.proxies import BehindProxies
from monitor.domain.rights import Right
from monitor.errors import NotAllowed
from monitor.services import access
from monitor.services.access import SignedIn
from monitor.services.entry import second
from monitor.store.ledger import ORIGIN

OPEN_PATHS = frozenset(
    {
        "/sign-in",
        "/sign-in/code",
        "/sign-in/provider",
        "/sign-in/provider/back",
        "/healthz",
        "/health",
        "/ready",
        "/metrics",
        "/assets/underprop.css",
        "/_favicon.ico",
    }
)
"""/metrics asks for its own key; the second step of signing in for its half."""

ENROL_PATHS = ("/account", "/sign-out", "/_dash", "/assets/", "/password")
"""What an account may use that still has to add its second factor."""

NEEDS = {"/people": Right.LOOK_AFTER_ACCOUNTS}
"""Rights without which an address is as if it were not there."""

PROVE = "/account/prove"
WANTS_PROOF = {
    "/people/": "/people",
    "/account/tokens": "/account",
    "/account/shares": "/account",
    "/account/second-factor": "/account",
}
"""What is not sent without a fresh proof of who sits there; where to go on after."""

GIVES_PROOF = ("/account/second-factor/",)
"""These carry a password or a code of their own."""

SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
LARGEST_BODY = {
    "/_dash-update-component": 5_000_000,
    "/field/": None,
    "/pictures/": None,
}
"""In bytes; None for the setting, every other address takes `FORM` only."""

FORM = 200_000
MUST_ADD = "This account needs a second factor; add it under “My account”."

Answer = tuple[str, int] | AnyResponse | None


def guard(server: Flask, context: AppContext) -> None:
    """Put the gate before every route."""
    server.config["MAX_CONTENT_LENGTH"] = context.settings.upload_mb * 1_000_000
    server.config["TRUSTED_HOSTS"] = trusted_hosts(context)
    behind = BehindProxies(server.wsgi_app, context.settings.proxies)
    server.wsgi_app = behind  # type: ignore[method-assign, assignment]

    @server.before_request
    def before() -> Answer:
        g.signed_in = g.viewer = None
        ORIGIN.set(f"pages {request.remote_addr}")
        _limit_body(context)
        is_by_key = has_own_key(request.path)
        token = bearer.token_of_request()
        if not (request.method in SAFE_METHODS or token or _is_one_click()):
            _require_own_request()
        g.signed_in = bearer.authenticated(context) if token else _recognise(context)
        g.viewer = None if is_by_key else g.signed_in
        if is_by_key or request.path in OPEN_PATHS:
            return None
        if g.signed_in is None:
            return _turn_away()
        return _refusal(context, g.signed_in)


def trusted_hosts(context: AppContext) -> list[str] | None:
    """Names that these pages answer to; None for any.

    A name of somebody else that leads to this address is refused, so that no page of
    theirs passes for one of ours.
    """
    settings = context.settings
    here = {"localhost", "127.0.0.1", "[::1]", settings.host}
    if settings.base_url:
        return sorted(here | {urlsplit(settings.base_url).hostname or ""})
    return sorted(here) if settings.host in {"localhost", "127.0.0.1", "::1"} else None


def has_own_key(path: str) -> bool:
    """Whether the address itself is the key, and is checked where it is answered."""
    return (
        calendar_feed.is_address(path)
        or unsubscribe.is_address(path)
        or links.is_address(path)
    )


def signed_in() -> SignedIn:
    """The person behind this request.

    Raises
    ------
    NotAllowed : there is none, which the gate should have prevented
    """
    found = g.get("signed_in")
    if found is None:
        raise NotAllowed("Sign in first.", code="acc-001")
    return cast(SignedIn, found)


def require_sure(context: AppContext) -> None:
    """Refuse, in words, what wants a fresh proof of who sits there.

    Raises
    ------
    NotAllowed : the last proof is too old
    """
    if not access.is_sure(signed_in(), context.clock.now()):
        raise NotAllowed(
            "This asks who you are once more: open “My account”, choose “Say that it "
            "is you”, then do it again.",
            code="acc-025",
        )


def cookie_name(context: AppContext) -> str:
    """Name of the sign-in cookie; browsers bind the prefixed one to this host."""
    return "__Host-underprop" if context.settings.is_tls else "underprop"


def is_own_request() -> bool:
    """Whether a request that changes something comes from our own pages.

    Browsers say so in Sec-Fetch-Site or, on plain HTTP, in Origin. A request without
    either is refused: every browser in use sends one of them.
    """
    site = request.headers.get("Sec-Fetch-Site")
    if site is not None:
        return site == "same-origin"
    origin = request.headers.get("Origin", "")
    return bool(origin) and urlsplit(origin).netloc == request.host


def _require_own_request() -> None:
    if not is_own_request():
        raise NotAllowed(
            "This was sent from another site, so it was not taken.", code="acc-005"
        )


def _is_one_click() -> bool:
    return unsubscribe.is_address(request.path)


def _limit_body(context: AppContext) -> None:
    for start, most in LARGEST_BODY.items():
        if request.path.startswith(start):
            request.max_content_length = most or context.settings.upload_mb * 1_000_000
            return
    request.max_content_length = FORM


def _recognise(context: AppContext) -> SignedIn | None:
    token = request.cookies.get(cookie_name(context), "")
    if not token:
        return None
    now = context.clock.now()
    with context.store.read_session() as session:
        found = access.who(session, token, now, idle=context.idle)
        if found is not None and _wants_second(context, found):
            has_one = second.factor_of(session, found.account) is not None
            g.must_add_factor = not has_one
    if found is not None and access.wants_touch(found, now):
        with context.store.write_session() as session:
            access.touch(session, found, now)
    return found


def _wants_second(context: AppContext, found: SignedIn) -> bool:
    return found.account.role.value in context.settings.second_factor_roles


def _refusal(context: AppContext, here: SignedIn) -> Answer:
    """Why a known person is not answered, None if they are."""
    if g.get("must_add_factor") and not request.path.startswith(ENROL_PATHS):
        return _lead("/account", MUST_ADD, 403)
    for start, right in NEEDS.items():
        is_there = request.path == start or request.path.startswith(f"{start}/")
        if is_there and not here.may(right):
            return "There is nothing at this address.", 404
    page = _page_to_prove_for(request.path)
    if page and not access.is_sure(here, context.clock.now()):
        return redirect(f"{PROVE}?next={quote(page, safe='')}", code=303)
    if not here.changes and request.method not in SAFE_METHODS:
        raise NotAllowed("This key reads only.", code="acc-004")
    return None


def _page_to_prove_for(path: str) -> str:
    """The page that a proof leads back to; empty if none is asked for."""
    if request.method in SAFE_METHODS or path.startswith(GIVES_PROOF):
        return ""
    return next((page for s, page in WANTS_PROOF.items() if path.startswith(s)), "")


def _turn_away() -> Answer:
    """Pages lead to the sign-in; everything else gets a plain no."""
    wanted = request.full_path.rstrip("?")
    return _lead(f"/sign-in?next={quote(wanted, safe='')}", "Sign in first.", 401)


def _lead(to: str, otherwise: str, status: int) -> Answer:
    wants_page = request.method == "GET" and "text/html" in request.headers.get(
        "Accept", ""
    )
    if not wants_page or request.path.startswith(("/_", "/api/")):
        return otherwise, status
    return redirect(to)
