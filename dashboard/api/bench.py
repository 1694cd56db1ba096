"""How fast logger values are taken in, through the whole program: `ops/bench api`."""

import json
import tempfile
import time
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from dashboard.app import create_app
from dashboard.context import AppContext
from monitor.clock import FixedClock
from monitor.domain.people import KeyKind, KeyScope
from monitor.domain.vocabulary import Role
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.services.entry.keys import Wish, make_key
from monitor.services.recording.commands import (
    MemberDraft,
    SiteDraft,
    SupportDraft,
    TreeDraft,
)
from monitor.services.recording.register import register_supports
from monitor.settings import Settings
from monitor.store import Store
from monitor.store.schema import upgrade

NOW = datetime(2026, 6, 1, 12, tzinfo=UTC)
BEGIN = datetime(2026, 1, 1, tzinfo=UTC)


def main() -> None:
    """Print readings a second by size of the sending."""
    with tempfile.TemporaryDirectory() as folder:
        store = Store(f"sqlite:///{Path(folder) / 'bench.db'}")
        upgrade(store.url)
        context = AppContext(Settings(data_folder=Path(folder)), store, FixedClock(NOW))
        client = create_app(context).server.test_client()
        head = {"Authorization": f"Bearer {_prepared(store)}"}
        for steps, posts in ((1, 100), (6, 100), (144, 40), (5000, 4)):
            began = time.perf_counter()
            taken = sum(_post(client, head, steps, n) for n in range(posts))
            rate = taken / (time.perf_counter() - began)
            print(f"{2 * steps:>6} values a sending: {rate:>9,.0f} values/s")  # noqa: T201
        store.close()


def _prepared(store: Store) -> str:
    member = MemberDraft("P1", "post", date(2020, 1, 1), marks=("face",))
    draft = SupportDraft(
        "S-1", SiteDraft("V", owner="City"), TreeDraft("T1"), (member,)
    )
    with store.write_session() as session:
        register_supports(session, [draft], actor="bench", now=NOW, timezone="UTC")
        new = NewAccount("Ines", "", Role.INSPECTOR, "oak beam and rope")
        account = access.add_account(session, new, actor="bench", now=NOW)
        wish = Wish(KeyKind.TOKEN, "bench", KeyScope.RECORD)
        return make_key(session, account, wish, by=("Ines", NOW))[1]


def _post(client: Any, head: dict[str, str], steps: int, post: int) -> int:  # noqa: ANN401 - werkzeug's client
    begin = BEGIN + timedelta(seconds=steps, minutes=post)
    rows = [
        {
            "mark": "S-1/P1/face",
            "quantity": quantity,
            "at": (begin + timedelta(minutes=10 * n)).isoformat(),
            "value": 1.0 + 0.001 * (n % 7) + 1e-6 * post,
        }
        for n in range(steps)
        for quantity in ("tilt_x", "tilt_y")
    ]
    answer = client.post(
        "/api/v1/loggers/readings",
        data="\n".join(map(json.dumps, rows)),
        headers=head | {"Content-Type": "application/x-ndjson"},
    )
    if answer.status_code != 201:
        raise SystemExit(answer.text[:400])
    taken: int = answer.json["taken"]
    return taken


if __name__ == "__main__":
    main()
