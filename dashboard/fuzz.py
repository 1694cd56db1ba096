"""Asks the pages what no page would ask, and counts the answers that are our failure.

`ops/bench fuzz [--calls N] [--seed N]`: half of the calls are mutated callbacks, half
are requests to every address with parts, queries, bodies and headers that do not fit.
"""

import argparse
import json
import random
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from dash import Dash
from werkzeug.routing import Rule
from werkzeug.wrappers import Response

from dashboard.fuzz_world import HIDDEN, World, served

CALLBACKS = "/_dash-update-component"
OWN = {"Sec-Fetch-Site": "same-origin"}
ODD: tuple[Any, ...] = (
    None, True, False, 0, -1, 2**63, 10**400, 1.5, "", "x", "O-0001", "H-0999",
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
    """How many calls were made, and which answers were errors of ours.

    Attributes
    ----------
    leaks : answers that told the owner a word of the other owner's rows
    """

    calls: int = 0
    kinds: Counter[str] = field(default_factory=Counter)
    statuses: Counter[int] = field(default_factory=Counter)
    failed: list[str] = field(default_factory=list)
    leaks: list[str] = field(default_factory=list)
    slowest_s: float = 0.0

    def note(self, kind: str, answer: Response, what: str) -> None:
        """Count one answer."""
        self.calls += 1
        self.kinds[kind] += 1
        self.statuses[answer.status_code] += 1
        if answer.status_code >= 500:
            self.failed.append(f"{answer.status_code} {what}")


@dataclass(frozen=True, slots=True)
class Call:
    """One request.

    Attributes
    ----------
    kind : what it is counted as
    """

    kind: str
    method: str
    address: str
    more: dict[str, Any]

    @property
    def whole(self) -> str:
        """All that was asked; what is in it is no news to who asked."""
        return f"{self.address} {self.more!r}"

    @property
    def what(self) -> str:
        """Enough of it to ask it again."""
        told = self.more.get("json", self.more)
        return f"{self.method} {self.address[:200]} {_short(told)}"


def fuzz(world: World, calls: int, *, seed: int) -> Tally:
    """Make so many calls, half of them callbacks, by turns as either person."""
    chance, tally = random.Random(seed), Tally()
    rules = [r for r in world.app.server.url_map.iter_rules() if _is_fair(r.rule)]
    for number in range(calls):
        if number % 2:
            body = _mutated(chance, _callback(chance, world.app))
            more = {"json": body, "headers": OWN}
            call = Call("callbacks", "POST", CALLBACKS, more)
        else:
            call = _to_address(chance, rules)
        _make(world, call, tally, is_owner=number % 4 < 2)
    return tally


def _make(world: World, call: Call, tally: Tally, *, is_owner: bool) -> None:
    client = world.owner if is_owner else world.administrator
    began = time.perf_counter()
    with client.open(call.address, method=call.method, **call.more) as answer:
        tally.note(call.kind, answer, call.what)
        text = answer.get_data().decode("utf-8", "replace")
        told = [word for word in HIDDEN if word in text]
        if is_owner and told and not any(word in call.whole for word in told):
            tally.leaks.append(f"told {told}: {call.what}")
    tally.slowest_s = max(tally.slowest_s, time.perf_counter() - began)


def _to_address(chance: random.Random, rules: list[Rule]) -> Call:
    rule = chance.choice(rules)
    method = chance.choice(sorted(rule.methods or {"GET"}))
    address = "".join(_address(chance, rule.rule))
    return Call("addresses", method, address, _more(chance))


def _short(told: object) -> str:
    return repr(told)[:400]


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
        world = served(Path(folder))
        tally = fuzz(world, asked.calls, seed=asked.seed)
        holds = world.verify()
        world.store.close()
    for line in told(tally, holds):
        print(line)  # noqa: T201
    raise SystemExit(1 if tally.failed or tally.leaks or not holds else 0)


def told(tally: Tally, holds: bool) -> list[str]:
    """The counts in words, and the first fifty failures."""
    statuses = dict(sorted(tally.statuses.items()))
    kinds = ", ".join(f"{count} {kind}" for kind, count in tally.kinds.items())
    return [
        f"{tally.calls} calls ({kinds}), answers {statuses}",
        *tally.failed[:50],
        *tally.leaks[:50],
        f"answers of 500 and more: {len(tally.failed)}",
        f"answers that told an owner of another: {len(tally.leaks)}",
        f"slowest answer: {tally.slowest_s:.1f} s",
        f"the record {'holds' if holds else 'DOES NOT HOLD'} afterwards",
    ]


if __name__ == "__main__":
    main()
