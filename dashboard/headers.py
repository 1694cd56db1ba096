"""What browsers are told about every answer."""

from flask import Flask, Response, request

from dashboard.context import AppContext

HSTS = "max-age=63072000; includeSubDomains"
"""Two years; only said where the pages are reached over HTTPS."""

_FILES = ("/assets/", "/_dash-component-suites/")
SECRET_ADDRESSES = ("/shared/", "/welcome/", "/unsubscribe/", "/calendar/")


def add_headers(server: Flask, context: AppContext, script_hashes: list[str]) -> None:
    """Tell browsers what these pages may do.

    Styles in attributes have to stay allowed ('unsafe-inline'): plotly.js and the grid
    place every mark through them, and a style can not run a script. Scripts in the
    page run only if their hash is known.
    """
    policy = _policy(script_hashes)

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


def _policy(script_hashes: list[str]) -> str:
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
            "form-action 'self'",
            "frame-ancestors 'none'",
        )
    )
