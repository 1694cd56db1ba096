"""Serves the application under waitress."""

import stat
from contextlib import suppress
from typing import Any

from waitress import create_server  # type: ignore[import-untyped]

from dashboard.app import create_app
from dashboard.context import AppContext
from monitor.errors import InvalidInput
from monitor.settings import Settings

THREADS = 8
HERE = frozenset({"127.0.0.1", "localhost", "::1"})
OTHERS = stat.S_IRWXO


def make_server(context: AppContext) -> Any:  # noqa: ANN401 - waitress has no types
    """A server that listens already; its `run()` answers until interrupted.

    Raises
    ------
    InvalidInput : when the port is taken or may not be used, or when passwords would
        cross the network in clear
    """
    settings = context.settings
    require_safe(settings)
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


def require_safe(settings: Settings) -> None:
    """Keep other users of the machine out of the data folder, and the network out.

    Raises
    ------
    InvalidInput : others than this machine would be served without TLS
    """
    if settings.host not in HERE and not settings.is_tls:
        raise InvalidInput(
            f"At {settings.host} these pages would be open to the network without TLS, "
            "passwords included. Listen on 127.0.0.1, or put a proxy with HTTPS before "
            "them and set UNDERPROP_BASE_URL to its address.",
            field="host",
            code="set-004",
        )
    with suppress(FileNotFoundError):
        mode = settings.data_folder.stat().st_mode
        if mode & OTHERS:
            settings.data_folder.chmod(stat.S_IMODE(mode) & ~OTHERS)
