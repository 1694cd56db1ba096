"""Serves the application under waitress."""

from typing import Any

from waitress import create_server  # type: ignore[import-untyped]

from dashboard.app import create_app
from dashboard.context import AppContext
from monitor.errors import InvalidInput

THREADS = 8


def make_server(context: AppContext) -> Any:  # noqa: ANN401 - waitress has no types
    """A server that listens already; its `run()` answers until interrupted.

    Raises
    ------
    InvalidInput : when the port is taken or may not be used
    """
    settings = context.settings
    application = create_app(context).server
    try:
        return create_server(
            application,
            host=settings.host,
            port=settings.port,
            threads=THREADS,
            ident=None,
            max_request_body_size=settings.upload_mb * 1_000_000,
            clear_untrusted_proxy_headers=False,  # dashboard.proxies weighs them
        )
    except OSError as error:
        raise InvalidInput(
            f"Port {settings.port} at {settings.host} can not be listened on: "
            f"{error.strerror}. Stop what uses it, or set UNDERPROP_PORT to another.",
            field="port",
            code="set-003",
        ) from error
