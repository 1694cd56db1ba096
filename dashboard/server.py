"""Serves the application under waitress."""

import logging

from waitress import create_server  # type: ignore[import-untyped]

from dashboard.app import create_app
from dashboard.context import AppContext

THREADS = 8

_LOG = logging.getLogger(__name__)


def run_server(context: AppContext) -> None:
    """Serve until interrupted."""
    settings = context.settings
    server = create_server(
        create_app(context).server,
        host=settings.host,
        port=settings.port,
        threads=THREADS,
        ident=None,
        max_request_body_size=settings.upload_mb * 1_000_000,
    )
    _LOG.info("Listening on http://%s:%d", settings.host, settings.port)
    try:
        server.run()
    finally:
        server.close()
