"""Asks the pages what no page would ask, and counts the answers that are our failure.

`ops/bench fuzz [--calls N] [--seed N]`: half of the calls are mutated callbacks, half
are requests to every address with parts, queries, bodies and headers that do not fit.
"""

import argparse
import json
import random
import tempfile
from collections import Counter
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from dash import Dash
from flask.testing import FlaskClient

from dashboard.access import cookie_name
from dashboard.app import create_app
from dashboard.context import AppContext
from monitor.clock import SystemClock
from monitor.domain.vocabulary import Role
from monitor.services.access import NewAccount, add_account, start_sign_in
from monitor.settings import Settings
from monitor.store import Store
from monitor.store.schema import upgrade

CALLBACKS = "/_dash-update-component"
OWN = {"Sec-Fetch-Site": "same-origin"}
ODD: tuple[Any, ...] = (
    None, True, False, 0, -1, 2**63, 10**400, 1.5, "", "x", "S-0101",
    "../../etc/passwd", "a\x00b", "\r\nSet-Cookie: a=b", "=1+1", "\ud83d",
    "<script>alert(1)</script>", "％", "'); DROP TABLE support; --", "9" * 5000,
    "é" * 3000, [], {}, [[]], [None], {"": {}}, {"id": "x"},
    [{"id": "x", "property": "y"}], "2026-02-30", "NaN", "1e400",
)  # fmt: skip
BODIES = (
    b"",
    b"{",
    b"[]",
    b"null",
    b"\xff\xfe",
    b"[" * 100_000,
    b"a=b",
    b'{"a":1e999}',
)


@dataclass(slots=True)
class Tally:
    """How many calls were made, and which answers were errors of ours."""

    calls: int = 0
    statuses: Counter[int] = field(default_factory=Counter)
    failed: list[str] = field(default_factory=list)

    def note(self, status: int, what: str) -> None:
        """Count one answer."""
        self.calls += 1
        self.statuses[status] += 1
        if status >= 500:
            self.failed.append(f"{status} {what}")


def fuzz(app: Dash, client: FlaskClient, calls: int, *, seed: int) -> Tally:
    """Make so many calls, half of them callbacks."""
    chance, tally = random.Random(seed), Tally()
    for _ in range(calls // 2):
        body = _mutated(chance, _callback(chance, app))
        with client.post(CALLBACKS, json=body, headers=OWN) as answer:
            tally.note(answer.status_code, f"callback {json.dumps(body)[:400]}")
    rules = [rule for rule in app.server.url_map.iter_rules() if _is_fair(rule.rule)]
    for _ in range(calls - calls // 2):
        rule = chance.choice(rules)
        method = chance.choice(sorted(rule.methods or {"GET"}))
        address = "".join(_address(chance, rule.rule))
        more = _more(chance)
        with client.open(address, method=method, **more) as answer:
            tally.note(
                answer.status_code, f"{method} {address[:200]} {str(more)[:200]}"
            )
    return tally


def _is_fair(rule: str) -> bool:
    """Signing out would end the trial."""
    return "sign-out" not in rule and "sign-ins/end" not in rule


def _callback(chance: random.Random, app: Dash) -> dict[str, Any]:
    """A callback as a page would ask it, its fields filled at random."""
    key = chance.choice(sorted(app.callback_map))
    declared = app.callback_map[key]
    outputs = [
        {"id": name, "property": what}
        for name, _, what in (p.rpartition(".") for p in key.strip(".").split("..."))
    ]

    def filled(part: str) -> list[Any]:
        return [_filled(chance, one) for one in declared.get(part, [])]

    inputs = filled("inputs")
    return {
        "output": key,
        "outputs": outputs if key.startswith("..") else outputs[0],
        "changedPropIds": [
            f"{json.dumps(one['id']) if isinstance(one, dict) else 'x'}.{'n_clicks'}"
            for one in inputs[:1]
        ],
        "inputs": inputs,
        "state": filled("state"),
    }


def _filled(chance: random.Random, declared: dict[str, Any]) -> Any:  # noqa: ANN401
    if not declared["id"].startswith("{"):
        return {**_plain(declared), "value": _value(chance, declared["property"])}
    key = {
        name: "x" if isinstance(value, list) else value
        for name, value in json.loads(declared["id"]).items()
    }
    one = {"id": key, "property": declared["property"]}
    return [
        {**one, "value": _value(chance, declared["property"])}
        for _ in range(chance.randrange(3))
    ]


def _plain(declared: dict[str, Any]) -> dict[str, Any]:
    return {"id": declared["id"], "property": declared["property"]}


def _value(chance: random.Random, name: str) -> Any:  # noqa: ANN401
    if name == "n_clicks":
        return chance.choice([None, 0, 1, 3])
    if name == "pathname":
        return chance.choice(["/", "/due", "/supports/x", "/supports/%00", "//", "/é"])
    return deepcopy(chance.choice(ODD))


def _mutated(chance: random.Random, body: Any) -> Any:  # noqa: ANN401
    """The body with up to two places changed, left out or doubled; often none."""
    for _ in range(chance.choice([0, 0, 1, 2])):
        places = list(_places(body))
        if not places:
            return deepcopy(chance.choice(ODD))
        holder, key = chance.choice(places)
        match chance.randrange(3):
            case 0:
                holder[key] = deepcopy(chance.choice(ODD))
            case 1 if isinstance(holder, dict):
                del holder[key]
            case _ if isinstance(holder, list):
                holder.insert(key, deepcopy(holder[key]))
    return body


def _places(body: Any) -> Iterator[tuple[Any, Any]]:  # noqa: ANN401
    pairs: list[tuple[Any, Any]] = []
    if isinstance(body, dict):
        pairs = list(body.items())
    elif isinstance(body, list):
        pairs = list(enumerate(body))
    for key, value in pairs:
        yield body, key
        yield from _places(value)


def _address(chance: random.Random, rule: str) -> Iterator[str]:
    texts = [one for one in ODD if isinstance(one, str) and len(one) < 1000]
    for part in rule.replace(">", "<").split("<"):
        is_name = f"<{part}>" in rule
        word = chance.choice(texts).encode("utf-8", "replace").decode()
        yield word.replace("\x00", "%00").replace("\r\n", "%0d%0a") if is_name else part
    if chance.random() < 0.3:
        yield f"?within={chance.choice(['x', '-1', '9' * 30])}&codes=%00&half=1ex9"


def _more(chance: random.Random) -> dict[str, Any]:
    headers = dict(OWN)
    if chance.random() < 0.2:
        headers["Authorization"] = chance.choice(["Bearer", "Bearer x", "Basic a", ""])
    if chance.random() < 0.2:
        headers["X-Device-Time"] = chance.choice(["now", "9" * 50, "2026-13-01"])
    kind = chance.choice(["application/json", "text/plain", "multipart/form-data", "x"])
    return {"headers": headers, "data": chance.choice(BODIES), "content_type": kind}


def main() -> None:
    """Print how many calls were made and every answer that was our failure."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--calls", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        app, client, store = served(Path(folder))
        tally = fuzz(app, client, asked.calls, seed=asked.seed)
        store.close()
    told = dict(sorted(tally.statuses.items()))
    print(f"{tally.calls} calls, answers {told}")  # noqa: T201
    for line in tally.failed[:50]:
        print(line)  # noqa: T201
    print(f"answers of 500 and more: {len(tally.failed)}")  # noqa: T201
    raise SystemExit(1 if tally.failed else 0)


def served(folder: Path) -> tuple[Dash, FlaskClient, Store]:
    """An application over an empty record, and a browser that is signed in."""
    url = f"sqlite:///{folder / 'fuzz.db'}"
    upgrade(url)
    store, clock = Store(url), SystemClock()
    context = AppContext(Settings(data_folder=folder), store, clock)
    new = NewAccount("fuzz", "", Role.ADMINISTRATOR, "three plain words here")
    with store.write_session() as session:
        account = add_account(session, new, actor="fuzz", now=clock.now())
        token = start_sign_in(session, account, clock.now())
    app = create_app(context)
    client = app.server.test_client()
    client.set_cookie(cookie_name(context), token)
    return app, client, store


if __name__ == "__main__":
    main()
