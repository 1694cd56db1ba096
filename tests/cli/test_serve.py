"""The whole program as a real process: it starts, answers, and stops cleanly."""

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from tests.build import a_support

UNDERPROP = str(Path(sys.executable).with_name("underprop"))
PATIENCE_S = 90


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def start(store, folder, port):
    environ = os.environ | {  # noqa: TID251 - a child process inherits it
        "UNDERPROP_DATABASE_URL": store.url,
        "UNDERPROP_DATA_FOLDER": str(folder),
        "UNDERPROP_PORT": str(port),
        "PYTHONUNBUFFERED": "1",
    }
    return subprocess.Popen(
        [UNDERPROP, "serve"],
        env=environ,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )


def answer(port, path):
    try:
        with urllib.request.urlopen(f"http://127.0.0.1:{port}{path}") as response:
            return response.status
    except urllib.error.HTTPError as refused:
        return refused.code


@pytest.fixture
def served(store, tmp_path):
    with store.write_session() as session:
        a_support(session)
    port = free_port()
    process = start(store, tmp_path, port)
    for line in process.stdout:
        if "Ctrl-C" in line:
            break
    yield process, port
    process.kill()
    process.communicate()


@pytest.mark.parametrize("end", [signal.SIGINT, signal.SIGTERM])
def test_it_answers_and_stops_cleanly(served, end):
    process, port = served
    assert answer(port, "/healthz") == 200
    assert answer(port, "/register") in {200, 401}

    asked_at = time.monotonic()
    process.send_signal(end)
    said, _ = process.communicate(timeout=PATIENCE_S)

    assert process.returncode == 0
    assert "nothing was left half-written" in said
    assert time.monotonic() - asked_at < 45


def test_a_port_that_is_taken_is_named(served, store, tmp_path):
    _, port = served

    second = start(store, tmp_path, port)
    said, _ = second.communicate(timeout=PATIENCE_S)

    assert second.returncode == 2
    assert f"Port {port} at 127.0.0.1 can not be listened on" in said
