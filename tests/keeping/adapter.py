"""What trials know of our commands and addresses: bound here, and nowhere else."""

import hashlib
import http.client
import json
import shutil
import socket
import time
from dataclasses import dataclass
from datetime import timedelta
from functools import cached_property
from pathlib import Path

import click
from waitress import create_server

from dashboard.access import cookie_name
from dashboard.app import create_app
from dashboard.context import AppContext
from monitor.cli.__main__ import cli, exit_code
from monitor.cli.context import CliContext
from monitor.clock import FixedClock, new_id
from monitor.domain.vocabulary import Role
from monitor.errors import MonitorError
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.services.keeping.verify import Asked, verify
from monitor.settings import Settings
from monitor.store import Store
from monitor.store.photos import PhotoFiles
from tests.conftest import NOON
from tests.keeping.faults.process import fork
from tests.quick_hash import quicken

INSPECTOR, PASSWORD = "Ines Falk", "oak beam and rope"
OWN = {"Sec-Fetch-Site": "same-origin", "Content-Type": "application/json"}
SURE = ["P1/plate/settlement/1", "another look that day"]


@dataclass
class Installation:
    """One installation in a folder of its own.

    Attributes
    ----------
    database_url : empty for a SQLite file in the folder
    """

    folder: Path
    database_url: str = ""
    now: object = NOON

    @cached_property
    def settings(self):
        return Settings(data_folder=self.folder, database_url=self.database_url)

    @property
    def file(self):
        return self.folder / "underprop.db"

    @property
    def photos(self):
        return PhotoFiles(self.settings.photo_folder)

    def store(self):
        """The database; whoever asks closes it."""
        return Store(self.settings.url)

    def command(self, *words, before=lambda: None):
        """Start `underprop WORDS` in a process of its own."""

        def do(_say):
            before()
            context = CliContext(FixedClock(self.now), self.settings)
            try:
                cli([str(word) for word in words], obj=context, standalone_mode=False)
            except MonitorError as error:
                click.echo(f"{error.message} [{error.code}]")
                return exit_code(error)
            return 0

        return fork(do, self.folder.parent / f"{self.folder.name}.said")

    def run(self, *words, before=lambda: None):
        """Run a command to its end: exit code and what it printed."""
        process = self.command(*words, before=before)
        return process.wait(), process.said.read_text()

    def look(self, *, outlooks=0):
        """What verifying finds, with photographs."""
        store = self.store()
        try:
            with store.read_session() as session:
                return verify(Asked(session, self.photos, outlooks=outlooks))
        finally:
            store.close()

    def copy_from(self, whole):
        """Be again what another folder is."""
        shutil.rmtree(self.folder, ignore_errors=True)
        shutil.copytree(whole, self.folder)

    def sign_in(self, patch):
        """An inspector who may send forms; the word the browser keeps."""
        store = self.store()
        with store.write_session() as session:
            quicken(patch)
            new = NewAccount(INSPECTOR, "", Role.INSPECTOR, PASSWORD)
            access.add_account(session, new, actor="test", now=self.now)
        with store.write_session() as session:
            account = access.account_named(session, INSPECTOR)
            token = access.start_sign_in(session, account, self.now)
        store.close()
        return token


class Server:
    """The pages of an installation, to be started, killed and started again."""

    def __init__(self, installation, token):
        self.at = installation
        self.context = AppContext(
            installation.settings, installation.store(), FixedClock(installation.now)
        )
        self.application = create_app(self.context).server
        self.context.store.close()
        self.cookie = f"{cookie_name(self.context)}={token}"
        self.port = 0
        self.process = None

    def start(self, before=lambda: None):
        """Answer in a process of its own; returns when it listens."""
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]

        def do(say):
            before()
            self.context.store.engine.dispose(close=False)
            server = create_server(
                self.application, host="127.0.0.1", port=self.port, threads=4,
                ident=None, max_request_body_size=50_000_000,
            )  # fmt: skip
            say("listening")
            server.run()

        said = self.at.folder.parent / f"{self.at.folder.name}.server"
        self.process = fork(do, said)
        assert self.process.next_ack(), said.read_text()

    def ask(self, method, path, body=None, *, timeout_s=60):
        """Status and JSON of an answer; (0, {}) when the connection broke."""
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=timeout_s)
        try:
            line.request(method, path, body, {**OWN, "Cookie": self.cookie})
            answer = line.getresponse()
            whole = answer.read()
        except (OSError, http.client.HTTPException):
            return 0, {}
        finally:
            line.close()
        is_json = "json" in (answer.headers["Content-Type"] or "")
        return answer.status, json.loads(whole) if is_json else {}

    def send_visit(self, body, photo):
        """Send a photograph and the form that names it; whether it is acknowledged."""
        name, have, is_whole = sha256_of(photo), 0, False
        while not is_whole:
            path = f"/field/api/photos/{name}?from={have}&of={len(photo)}"
            status, said = self.ask("PUT", path, photo[have:])
            if status != 200:
                return status, said
            have, is_whole = said["have"], said["is_whole"]
        return self.ask("POST", "/field/api/inspections", json.dumps(body))


def a_form(support, on, photo, *, note=""):
    """One visit: three readings and a photograph, under an id of its own."""
    at = {"member": "P1", "mark": "plate"}
    return {
        "form": 1, "id": str(new_id()), "support": support,
        "inspected_on": on.isoformat(), "inspector": INSPECTOR, "kind": "routine",
        "device_at": NOON.isoformat(), "note": note,
        "readings": [
            {"quantity": "settlement", "text": "1.1", "unit": "mm", **at},
            {"quantity": "gap", "text": "0.4", "unit": "mm", **at},
            {"quantity": "tilt_x", "answer": "not measured", "why": "rain", **at},
        ],
        "findings": [],
        "photos": [{"sha256": sha256_of(photo), "caption": "", "member": "P1",
                    "taken_on": ""}],
        "sure": SURE,
    }  # fmt: skip


def days_before(day, count):
    """So many days, one after the other, before a day."""
    return (day - timedelta(days=n + 1) for n in range(count))


def sha256_of(content):
    return hashlib.sha256(content).hexdigest()


def pause(seconds):
    """Let a process work for a while."""
    time.sleep(seconds)
