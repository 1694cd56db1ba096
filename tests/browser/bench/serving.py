"""The real server in a process of its own, over a copy-free record."""

import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_SERVE = """
import sys
from pathlib import Path
from dashboard.context import AppContext
from dashboard.server import make_server
from monitor.clock import FixedClock
from monitor.settings import Settings
from monitor.store import Store
from tests.browser.bench.large_record import NOW
record, port = Path(sys.argv[1]), int(sys.argv[2])
settings = Settings(data_folder=record.parent, port=port)
store = Store(f"sqlite:///{record}")
make_server(AppContext(settings, store, FixedClock(NOW))).run()
"""


PATIENCE_S = 300.0
"""Its modules alone take some seconds of the processor, minutes on a busy machine."""


@contextmanager
def served(record: Path) -> Iterator[str]:
    """Address of a server over this record."""
    port = _free_port()
    process = subprocess.Popen([sys.executable, "-c", _SERVE, str(record), str(port)])
    home = f"http://127.0.0.1:{port}"
    try:
        _wait_for(home, process)
        yield home
    finally:
        process.terminate()
        process.wait(timeout=20)


def _free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        port: int = one.getsockname()[1]
        return port


def _wait_for(home: str, process: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until and process.poll() is None:
        try:
            urllib.request.urlopen(f"{home}/healthz", timeout=5).close()
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            time.sleep(0.2)
        else:
            return
    raise TimeoutError("The server did not come up.")
