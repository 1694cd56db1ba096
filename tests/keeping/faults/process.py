"""Processes of the program, forked off one that has loaded it, so that they start fast.

A forked process opens its own database after the fork and ends without ceremony, by
itself or by kill -9; nothing of the process that forked it is used or closed by it.
"""

import os
import select
import signal
import sys
import time
from dataclasses import dataclass
from pathlib import Path

KILLED = -signal.SIGKILL


@dataclass
class Process:
    """One forked process.

    Attributes
    ----------
    said : file with everything it printed
    acks : reading end of a pipe on which it says what it has finished
    """

    pid: int
    said: Path
    acks: int
    told: bytes = b""

    def kill(self):
        """End it as a power switch would; its exit code, KILLED if it still ran."""
        os.kill(self.pid, signal.SIGKILL)
        return self.wait()

    def wait(self, timeout_s=120.0):
        """Its exit code; it is killed when it takes longer than that."""
        until = time.monotonic() + timeout_s
        while time.monotonic() < until:
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                self._keep_acks()
                return os.waitstatus_to_exitcode(status)
            time.sleep(0.001)
        return self.kill()

    def acknowledged(self):
        """Everything it has acknowledged, when it is over."""
        return self.told.decode().split("\n")[:-1]

    def _keep_acks(self):
        while piece := os.read(self.acks, 1 << 16):
            self.told += piece
        os.close(self.acks)

    def next_ack(self, timeout_s=60.0):
        """Wait for its next word."""
        ready, _, _ = select.select([self.acks], [], [], timeout_s)
        return os.read(self.acks, 1 << 16).decode() if ready else ""


def fork(do, said):
    """Run `do(say)` in a process of its own; `say` acknowledges one thing.

    Parameters
    ----------
    do : its return value becomes the exit code, None means 0
    said : file for what it prints
    """
    reading, writing = os.pipe()
    sys.stdout.flush()
    sys.stderr.flush()
    pid = os.fork()
    if pid:
        os.close(writing)
        return Process(pid, Path(said), reading)
    code = 1
    try:
        os.close(reading)
        _print_into(said)
        code = do(lambda text: os.write(writing, f"{text}\n".encode())) or 0
    except BaseException as error:
        sys.stdout.write(f"{type(error).__name__}: {error}\n")
    finally:
        sys.stdout.flush()
        os._exit(code)


def _print_into(path):
    file = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    os.dup2(file, 1)
    os.dup2(file, 2)
    sys.stdout = os.fdopen(1, "w", closefd=False)
    sys.stderr = sys.stdout


def timed(start):
    """How long a process takes when nobody disturbs it. [s]"""
    began = time.perf_counter()
    code = start().wait()
    assert code == 0, code
    return time.perf_counter() - began
