"""Real processes that are killed while they send to a real mail server."""

import os
import signal
import subprocess
import sys
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from monitor.clock import SystemClock
from monitor.domain.notices import NoticeState
from monitor.domain.vocabulary import Standing
from monitor.services.notices.raising import raise_notices
from monitor.store import records
from tests.notify.wire import mail_server
from tests.services.notice_world import a_grave_support, a_person

ROOT = str(Path(__file__).parents[2])
SEND = """
import logging
from monitor.clock import SystemClock
from monitor.services.notices.post import post_of
from monitor.services.notices.sending import send_notices
from monitor.settings import from_environ
from monitor.store import Store

logging.basicConfig(level=logging.DEBUG)
settings, clock = from_environ(), SystemClock()
print(send_notices(Store(settings.url), post_of(settings, clock), clock))
"""
PASSWORD = "canary-oak-7711"


@pytest.fixture
def box():
    with mail_server() as box:
        yield box


def sender(store, folder, box):
    environ = os.environ | {  # noqa: TID251 - a child process inherits it
        "UNDERPROP_DATABASE_URL": store.url,
        "UNDERPROP_DATA_FOLDER": str(folder),
        "UNDERPROP_SMTP_HOST": "127.0.0.1",
        "UNDERPROP_SMTP_PORT": str(box.port),
        "UNDERPROP_SMTP_SECURITY": "plain",
        "UNDERPROP_SMTP_FROM": "watch@trees.example",
        "UNDERPROP_SMTP_PASSWORD": PASSWORD,
        "UNDERPROP_BASE_URL": "https://trees.example",
    }
    return subprocess.Popen(
        [sys.executable, "-c", SEND],
        cwd=ROOT,
        env=environ,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )


def let_claims_run_out(store):
    past = SystemClock().now() - timedelta(seconds=1)
    with store.write_session() as session:
        for notice in records.NOTICES.all(session):
            if notice.claimed_until is not None:
                records.NOTICES.change(session, replace(notice, claimed_until=past))


@pytest.mark.parametrize("any_store", ["sqlite", "postgres"], indirect=True)
def test_killed_after_the_server_took_it_and_before_it_was_noted(
    any_store, tmp_path, box
):
    with any_store.write_session() as session:
        a_person(session, wants_digest=False, quiet_from=None)
        a_grave_support(session, standing=Standing.MAKE_SAFE)
        raise_notices(session, now=SystemClock().now() - timedelta(minutes=1))
    said, killed = "", 0
    plain = type(box).handle_DATA

    async def take_and_kill(self, server, session, envelope):
        answer = await plain(self, server, session, envelope)
        os.kill(box.client.pid, signal.SIGKILL)
        return answer

    for takes in (take_and_kill, take_and_kill, plain):
        box.handle_DATA = takes.__get__(box)
        box.client = sender(any_store, tmp_path, box)
        said += box.client.communicate(timeout=90)[0]
        killed += box.client.returncode == -signal.SIGKILL
        let_claims_run_out(any_store)

    assert killed == 2
    assert len(box.ids) == 3
    assert len(set(box.ids)) == 1
    with any_store.read_session() as session:
        (notice,) = records.NOTICES.all(session)
    assert (notice.state, notice.attempts) == (NoticeState.SENT, 3)
    assert "attempt 1 begins" in said
    assert "attempt 3 begins" in said
    assert PASSWORD not in said
    assert PASSWORD not in box.messages[0].as_string()
    assert "https://trees.example/supports/S-0101" in box.messages[0].as_string()
