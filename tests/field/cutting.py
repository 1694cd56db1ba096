"""A served record that is killed, and phones whose wire is cut at any byte."""

import http.client
import json
import os
import signal
import subprocess
import sys
import threading
import time
from dataclasses import dataclass
from pathlib import Path
from random import Random
from urllib.parse import urlsplit

from tests.field.phone import Cut

_SERVE = """
import os, sys
from pathlib import Path
from dashboard.context import AppContext
from dashboard.server import make_server
from monitor.clock import FixedClock
from monitor.settings import Settings
from monitor.store import Store
from tests.conftest import NOON
folder, port = Path(sys.argv[1]), int(sys.argv[2])

def serve():
    settings = Settings(data_folder=folder, port=port)
    store = Store(f"sqlite:///{folder / 'underprop.db'}")
    make_server(AppContext(settings, store, FixedClock(NOON))).run()

while True:
    child = os.fork()
    if child == 0:
        serve()
    print(child, flush=True)
    os.waitpid(child, 0)
"""
"""What is imported once serves from children, so that coming back takes a second."""

PATIENCE_S = 60.0


class Server:
    """A server in a process of its own, that can die as when the power goes."""

    def __init__(self, folder: Path, port: int) -> None:
        command = [sys.executable, "-c", _SERVE, str(folder), str(port)]
        self._parent = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        self.home = f"http://127.0.0.1:{port}"
        self.deaths = 0
        self._turn = threading.Lock()
        self._wait()

    def die_and_come_back(self) -> None:
        """SIGKILL, then a new process over the same record."""
        with self._turn:
            os.kill(self._child, signal.SIGKILL)
            self.deaths += 1
            self._wait()

    def end(self) -> None:
        self._parent.kill()
        self._parent.wait()
        os.kill(self._child, signal.SIGKILL)

    def _wait(self) -> None:
        self._child = int(self._parent.stdout.readline())
        until = time.monotonic() + 3 * PATIENCE_S
        while time.monotonic() < until:
            try:
                _answered(
                    self.home, b"GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n"
                )
            except Cut:
                time.sleep(0.1)
            else:
                return
        raise TimeoutError("The server did not come up.")


@dataclass
class Answer:
    """As a test client gives it."""

    status_code: int
    data: bytes

    @property
    def json(self):
        return json.loads(self.data)

    @property
    def text(self):
        return self.data.decode(errors="replace")


class CutWire:
    """Asks the server as a phone does; now and then the wire is cut, at any byte.

    Attributes
    ----------
    fates : how often each thing happened
    """

    def __init__(self, home: str, cookie: str, random: Random, chance: float) -> None:
        self._home, self._cookie = home, cookie
        self._random, self._chance = random, chance
        self.fates: dict[str, int] = {}

    def get(self, path):
        return self._ask("GET", path, b"", {})

    def put(self, path, *, data, headers):
        return self._ask("PUT", path, data, headers)

    def post(self, path, *, data, headers):
        return self._ask("POST", path, data, headers)

    def _ask(self, method, path, body, headers):
        lines = [f"{method} {path} HTTP/1.1", "Host: localhost", "Connection: close"]
        lines += [f"Cookie: {self._cookie}", f"Content-Length: {len(body)}"]
        lines += [f"{name}: {value}" for name, value in headers.items()]
        request = ("\r\n".join(lines) + "\r\n\r\n").encode() + body
        fate = self._fate()
        self.fates[fate] = self.fates.get(fate, 0) + 1
        if fate == "cut before it was sent":
            raise Cut
        if fate == "cut in the middle of the request":
            part = request[: self._random.randrange(1, len(request))]
            _sent(self._home, part).close()
            raise Cut
        if fate == "answer lost":
            wire = _sent(self._home, request)
            time.sleep(self._random.choice((0, 0, 0.02, 0.3)))
            wire.close()
            raise Cut
        if fate == "sent twice":
            first = _sent(self._home, request)
            answer = _answered(self._home, request)
            first.close()
            return answer
        return _answered(self._home, request)

    def _fate(self) -> str:
        cut = (
            "cut before it was sent",
            "cut in the middle of the request",
            "answer lost",
        )
        thrown = self._random.random()
        if thrown < self._chance:
            return self._random.choice(cut)
        return "sent twice" if thrown < 4 / 3 * self._chance else "came through"


def _sent(home: str, request: bytes):
    parts = urlsplit(home)
    try:
        wire = http.client.HTTPConnection(parts.hostname, parts.port, PATIENCE_S)
        wire.connect()
        wire.sock.sendall(request)
    except OSError:
        time.sleep(0.1)
        raise Cut from None
    return wire.sock


def _answered(home: str, request: bytes) -> Answer:
    wire = _sent(home, request)
    try:
        answer = http.client.HTTPResponse(wire)
        answer.begin()
        return Answer(answer.status, answer.read())
    except (OSError, http.client.HTTPException):
        raise Cut from None
    finally:
        wire.close()
