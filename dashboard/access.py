"""The gate: nothing is answered to a stranger, nothing taken from another site.

Every route is closed unless `OPEN_PATHS` names it: pages, Dash's own layout,
dependency and callback addresses, assets, and whatever is added later.
"""

from typing import cast
from urllib.parse import quote, urlsplit

from flask import Flask, Response, g, redirect, request
from werkzeug.wrappers import Response as AnyResponse

from dashboard import calendar_feed, unsubscribe
from dashboard.context import AppContext
from monitor.errors import NotAllowed
from monitor.services import access
from monitor.services.access import SignedIn

OPEN_PATHS = frozenset(
    {"/sign-in", "/healthz", "/assets/underprop.css", "/_favicon.ico"}
)
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})

Answer = tuple[str, int] | AnyResponse | None


def guard(server: Flask, context: AppContext) -> None:
    """Put the gate before, and the security headers after, every route."""
    server.config["MAX_CONTENT_LENGTH"] = context.settings.upload_mb * 1_000_000

    @server.before_request
    def before() -> Answer:
        is_one_click = unsubscribe.is_address(request.path)  # its address is the key
        is_safe = request.method in SAFE_METHODS or is_one_click
        if not is_safe and not is_own_request():
            return "This was sent from another site, so it was not taken.", 403
        g.signed_in = _recognise(context)
        if is_open(request.path) or g.signed_in is not None:
            return None
        return _turn_away()


def is_open(path: str) -> bool:
    """Whether it is answered to a stranger; these addresses check their own key."""
    return (
        path in OPEN_PATHS
        or calendar_feed.is_address(path)
        or unsubscribe.is_address(path)
    )


def add_headers(server: Flask, script_hashes: list[str]) -> None:
    """Tell browsers what these pages may do.

    Styles in attributes have to stay allowed: plotly.js and the grid place every mark
    through them. Scripts in the page run only if their hash is known.
    """
    policy = "; ".join(
        (
            "default-src 'self'",
            f"script-src 'self' {' '.join(script_hashes)}",
            "style-src 'self' 'unsafe-inline'",
            "img-src 'self' data: blob:",
            "font-src 'self' data:",
            "worker-src 'self' blob:",
            "connect-src 'self'",
            "object-src 'none'",
            "base-uri 'none'",
            "form-action 'self'",
            "frame-ancestors 'none'",
        )
    )

    @server.after_request
    def after(response: Response) -> Response:
        response.headers["Content-Security-Policy"] = policy
        response.headers["X-Content-Type-Options"] = "nosniff"
        response.headers["X-Frame-Options"] = "DENY"
        response.headers["Referrer-Policy"] = "same-origin"
        response.headers["Cross-Origin-Opener-Policy"] = "same-origin"
        response.headers["Permissions-Policy"] = "camera=(self), geolocation=(self)"
        if not request.path.startswith(("/assets/", "/_dash-component-suites/")):
            response.headers["Cache-Control"] = "no-store"
        return response


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


def cookie_name(context: AppContext) -> str:
    """Name of the sign-in cookie; browsers bind the prefixed one to this host."""
    return "__Host-underprop" if context.settings.secure_cookie else "underprop"


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


def _recognise(context: AppContext) -> SignedIn | None:
    token = request.cookies.get(cookie_name(context), "")
    if not token:
        return None
    now = context.clock.now()
    with context.store.read_session() as session:
        found = access.who(session, token, now, idle=context.idle)
    if found is not None and access.wants_touch(found, now):
        with context.store.write_session() as session:
            access.touch(session, found, now)
    return found


def _turn_away() -> Answer:
    """Pages lead to the sign-in; everything else gets a plain no."""
    wants_page = request.method == "GET" and "text/html" in request.headers.get(
        "Accept", ""
    )
    if not wants_page or request.path.startswith("/_"):
        return "Sign in first.", 401
    wanted = request.full_path.rstrip("?")
    return redirect(f"/sign-in?next={quote(wanted, safe='')}")
