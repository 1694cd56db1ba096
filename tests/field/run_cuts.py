"""Random cuts between phones and a real server: `ops/bench sync [COUNT] [--seed N]`.

Two phones send forms with photographs; requests are cut at any byte, lost, sent twice;
some forms are sent by both phones at once; the server is killed and comes back. At the
end every form must be in the record once, whole, with its receipt.
"""

import argparse
import queue
import secrets
import socket
import sys
import tempfile
import threading
import time
from collections import Counter
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from random import Random

from monitor.domain.vocabulary import Role
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.store import Store, ledger, records
from monitor.store.schema import upgrade
from tests.build import a_support
from tests.conftest import NOON
from tests.field.cutting import CutWire, Server
from tests.field.phone import Phone, a_body, sha

SUPPORTS = 50
DEATHS = 10
CHANCE = 0.3
SHARED = 0.2
"""Of the forms, sent by both phones at once."""

SURE = ["P1/face/settlement/1", "P1/face/tilt_x/1", "another look that day"]


@dataclass
class Bench:
    """What the phones share."""

    server: Server
    cookie: str
    seed: int
    sent: dict = field(default_factory=dict)
    receipts: dict = field(default_factory=dict)
    fates: Counter = field(default_factory=Counter)
    troubles: list = field(default_factory=list)

    def send(self, number: int) -> None:
        random = Random(f"{self.seed} {number}")
        photos = [a_photo(random) for _ in range(random.choice((0, 1, 1, 2)))]
        on = NOON.date() - timedelta(days=number // SUPPORTS)
        body = a_body(
            f"S-{number % SUPPORTS:03}", photos=photos, inspected_on=on.isoformat(),
            text=f"{9 + random.random():.2f}", sure=SURE,
        )  # fmt: skip
        self.sent[body["id"]] = (body, photos)
        hands = [
            threading.Thread(target=self._send, args=(body, photos, f"{number} {hand}"))
            for hand in range(2 if random.random() < SHARED else 1)
        ]
        for hand in hands:
            hand.start()
        for hand in hands:
            hand.join()

    def _send(self, body, photos, name) -> None:
        random = Random(f"{self.seed} {name}")
        wire = CutWire(self.server.home, self.cookie, random, CHANCE)
        phone = Phone(wire, body, photos, random, chance=0)
        try:
            phone.send_all()
        except Exception as error:  # counted and told, never hidden
            self.troubles.append(f"form {name}: {error!r:.200}")
        self.receipts.setdefault(body["id"], []).extend(phone.receipts)
        self.fates.update(wire.fates)


def a_photo(random: Random) -> bytes:
    return b"\xff\xd8\xff\xe0" + random.randbytes(random.randint(20, 1500))


def main() -> None:
    """Send, cut, kill; then count."""
    parser = argparse.ArgumentParser(prog="bench sync", description=__doc__)
    parser.add_argument("count", type=int, nargs="?", default=1000)
    parser.add_argument("--seed", type=int, default=secrets.randbits(32))
    asked = parser.parse_args()
    began = time.perf_counter()
    with tempfile.TemporaryDirectory() as name:
        bench, found = tried(Path(name), asked.count, asked.seed)
    say(f"seed {asked.seed}; {len(bench.sent)} forms in {elapsed(began)}")
    say(f"requests: {', '.join(f'{n} {w}' for w, n in bench.fates.most_common())}")
    say(f"server killed and come back: {bench.server.deaths} times")
    for words, number in found.items():
        say(f"{words}: {number} (goal 0)")
    for trouble in bench.troubles[:10]:
        say(trouble)
    sys.exit(1 if any(found.values()) else 0)


def tried(folder: Path, count: int, seed: int) -> tuple[Bench, dict[str, int]]:
    """Everything once, in an empty folder: what happened, and what went wrong."""
    cookie = made_record(folder)
    bench = Bench(Server(folder, free_port()), cookie, seed)
    try:
        run(bench, count)
    finally:
        bench.server.end()
    return bench, counted(folder, bench)


def run(bench: Bench, count: int) -> None:
    """Two phones take the forms in turn; the server dies in between, unannounced."""
    numbers, every = queue.SimpleQueue(), max(20, count // DEATHS)
    for number in range(count):
        numbers.put(number)
    phones = [
        threading.Thread(target=_one_phone, args=(bench, numbers, every))
        for _ in range(2)
    ]
    for one in phones:
        one.start()
    for one in phones:
        one.join()
    while bench.server.deaths < count // every:
        time.sleep(0.1)


def _one_phone(bench: Bench, numbers: queue.SimpleQueue, every: int) -> None:
    while (number := _next(numbers)) is not None:
        if number % every == every - 1:
            threading.Thread(target=bench.server.die_and_come_back).start()
        bench.send(number)
        if number % 100 == 99:
            say(f"  {number + 1} forms")


def _next(numbers: queue.SimpleQueue) -> int | None:
    try:
        return numbers.get_nowait()
    except queue.Empty:
        return None


def made_record(folder: Path) -> str:
    """A small record with one inspector; returns the cookie of the sign-in."""
    url = f"sqlite:///{folder / 'underprop.db'}"
    upgrade(url)
    store = Store(url)
    with store.write_session() as session:
        for n in range(SUPPORTS):
            a_support(session, f"S-{n:03}", mark="face")
        new = NewAccount("Ines", "", Role.INSPECTOR, "oak beam and rope")
        access.add_account(session, new, actor="test", now=NOON)
        account = access.account_named(session, "Ines")
        token = access.start_sign_in(session, account, NOON)
    store.close()
    return f"underprop={token}"


def counted(folder: Path, bench: Bench) -> dict[str, int]:
    """What is lost, doubled or spoilt."""
    store = Store(f"sqlite:///{folder / 'underprop.db'}")
    with store.read_session() as session:
        source = records.INSPECTIONS.table.c.source
        made = records.INSPECTIONS.all(session, source == "field form")
        readings = Counter(str(r.inspection_id) for r in records.READINGS.all(session))
        given = {
            str(r.inspection_id): r.given
            for r in records.READINGS.all(session)
            if r.quantity == "settlement"
        }
        photos = Counter(
            (str(p.inspection_id), p.sha256) for p in records.PHOTOS.all(session)
        )
        is_whole = ledger.first_broken(session) is None
    store.close()
    ids = Counter(str(one.id) for one in made)
    places = Counter((one.support_id, one.inspected_on) for one in made)
    wanted = {(key, sha(p)) for key, (_, ps) in bench.sent.items() for p in ps}
    spoilt = [
        key
        for key, (body, ps) in bench.sent.items()
        if given.get(key) != f"{body['readings'][0]['text']} mm"
        or not all(is_on_disk(folder, photo) for photo in ps)
    ]
    return {
        "forms lost": len(bench.sent.keys() - ids.keys()),
        "forms doubled": sum((places - Counter(places.keys())).values())
        + len(ids.keys() - bench.sent.keys()),
        "readings lost or doubled": sum(abs(readings[key] - 3) for key in bench.sent),
        "photographs lost": len(wanted - photos.keys()),
        "photographs doubled": sum(n - 1 for n in photos.values())
        + len(photos.keys() - wanted),
        "forms with other content": len(spoilt),
        "forms with no receipt, or two that differ": sum(
            len({str(sorted(r.items())) for r in bench.receipts.get(key, [])}) != 1
            for key in bench.sent
        ),
        "broken ledgers": 0 if is_whole else 1,
        "troubles": len(bench.troubles),
    }


def is_on_disk(folder: Path, photo: bytes) -> bool:
    path = folder / "photos" / sha(photo)[:2] / sha(photo)
    return path.exists() and path.read_bytes() == photo


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


def elapsed(began: float) -> str:
    return f"{(time.perf_counter() - began) / 60:.1f} minutes"


def say(text: str) -> None:
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
