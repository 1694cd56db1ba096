"""Forms sent to a server that is killed again and again: each is recorded once."""

from collections import Counter
from dataclasses import dataclass, field
from threading import Timer

from monitor.store import records
from tests.conftest import NOON
from tests.keeping.adapter import Server, a_form, days_before

UNTIL_KILLED_S = (0.06, 0.18)


@dataclass
class Sent:
    """What a device has sent and what it knows of it.

    Attributes
    ----------
    acknowledged, unknown : id of a form to the hash of its photograph
    """

    trials: int = 0
    killed: int = 0
    acknowledged: dict = field(default_factory=dict)
    unknown: dict = field(default_factory=dict)
    wrong: list = field(default_factory=list)

    def __str__(self):
        return (
            f"field sync: trials {self.trials}, killed while sending {self.killed}, "
            f"forms acknowledged {len(self.acknowledged)}; "
            f"did not hold: {len(self.wrong)}"
        )


class Device:
    """Sends visits one after the other and sends again what it does not know of."""

    def __init__(self, server, chance):
        self.server, self.chance = server, chance
        self.days = days_before(NOON.date(), 200_000)
        self.waiting = None
        self.told = Sent()

    def trial(self):
        """Start the server, send until it is killed; the wait is random."""
        self.server.start()
        killing = Timer(self.chance.uniform(*UNTIL_KILLED_S), self.server.process.kill)
        killing.start()
        while self._send():
            pass
        killing.join()
        self.told.trials += 1

    def settle(self):
        """Send what is still unknown to a server that nobody kills."""
        self.server.start()
        if self.waiting:
            self._send()
        self.server.process.kill()

    def _send(self):
        body, photo = self.waiting or self._next()
        self.waiting = (body, photo)
        status, said = self.server.send_visit(body, photo)
        if status == 0:
            self.told.killed += 1
            return False
        if status != 200 or "receipt" not in said:
            self.told.wrong.append((status, str(said)[:200]))
            return False
        self.told.acknowledged[body["id"]] = body["photos"][0]["sha256"]
        self.waiting = None
        return True

    def _next(self):
        photo = b"\xff\xd8\xff\xe0" + self.chance.randbytes(3000)
        support = f"P-{self.chance.randrange(3)}"
        return a_form(support, next(self.days), photo), photo


def check(at, told):
    """Every acknowledged form once, whole, with its photograph; nothing half done."""
    store = at.store()
    with store.read_session() as session:
        source = records.INSPECTIONS.table.c.source
        made = records.INSPECTIONS.all(session, source == "field form")
        readings = Counter(
            str(one.inspection_id) for one in records.READINGS.all(session)
        )
        photos = {
            str(one.inspection_id): one.sha256 for one in records.PHOTOS.all(session)
        }
    store.close()
    there = Counter(str(one.id) for one in made)
    for key, sha256 in told.acknowledged.items():
        if (there[key], readings[key], photos.get(key)) != (1, 3, sha256):
            told.wrong.append(f"{key}: {there[key]} times, {readings[key]} readings")
        elif not at.photos.is_whole(sha256):
            told.wrong.append(f"{key}: its photograph is not whole")
    told.wrong += [f"{key}: half done" for key in there if readings[key] != 3]
    told.wrong += [str(broken) for broken in at.look().broken[:1]]


def trials(at, token, number, chance, *, at_once=25, tell=lambda _told: None):
    """So many kills, checked after every few; the record starts anew each time.

    Parameters
    ----------
    tell : told how it stands every now and then
    """
    whole = at.folder.with_name("whole")
    total = Sent()
    server = Server(at, token)
    while total.trials < number:
        at.copy_from(whole)
        device = Device(server, chance)
        for _ in range(min(at_once, number - total.trials)):
            device.trial()
        device.settle()
        check(at, device.told)
        total.trials += device.told.trials
        total.killed += device.told.killed
        total.acknowledged |= device.told.acknowledged
        total.wrong += device.told.wrong
        tell(total)
    return total
