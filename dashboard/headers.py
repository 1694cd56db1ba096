"""What browsers are told about every answer."""

from urllib.parse import urlsplit

from flask import Flask, Response, request

from dashboard.context import AppContext

HSTS = "max-age=63072000; includeSubDomains"
"""Two years; only said where the pages are reached over HTTPS."""

_FILES = ("/assets/", "/_dash-component-suites/")
SECRET_ADDRESSES = ("/shared/", "/welcome/", "/unsubscribe/", "/confirm/", "/calendar/")


def add_headers(server: Flask, context: AppContext, script_hashes: list[str]) -> None:
    """Tell browsers what these pages may do.

    Styles in attributes have to stay allowed ('unsafe-inline'): plotly.js and the grid
    place every mark through them, and a style can not run a script. Scripts in the
    page run only if their hash is known.
    """
    policy = _policy(script_hashes, forms_to(context))

    @server.after_request
    def after(response: Response) -> Response:
        headers = response.headers
        headers["Content-Security-Policy"] = policy
        headers["X-Content-Type-Options"] = "nosniff"
        headers["X-Frame-Options"] = "DENY"
        headers["Referrer-Policy"] = "same-origin"
        headers["Cross-Origin-Opener-Policy"] = "same-origin"
        headers["Cross-Origin-Resource-Policy"] = "same-origin"
        headers["Permissions-Policy"] = "camera=(self), geolocation=(self)"
        if context.settings.is_tls:
            headers["Strict-Transport-Security"] = HSTS
        if request.path.startswith(SECRET_ADDRESSES):
            headers["Referrer-Policy"] = "no-referrer"
            headers["X-Robots-Tag"] = "noindex, nofollow"
        if not request.path.startswith(_FILES):
            headers["Cache-Control"] = "no-store"
        return response


def forms_to(context: AppContext) -> str:
    """Where forms may lead: here, and on to the organisation's provider.

    Browsers hold the redirect that follows a form to this, too.
    """
    issuer = context.settings.openid_issuer
    parts = urlsplit(issuer)
    return f"'self' {parts.scheme}://{parts.netloc}" if issuer else "'self'"


def _policy(script_hashes: list[str], forms: str) -> str:
    return "; ".join(
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
            f"form-action {forms}",
            "frame-ancestors 'none'",
        )
    )
