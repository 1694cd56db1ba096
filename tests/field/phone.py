"""A device as the scripts of the form behave, and a network that cuts it off."""

import hashlib
import json
from dataclasses import dataclass, field
from random import Random

from monitor.clock import new_id
from tests.conftest import NOON
from tests.dashboard.conftest import OWN

PIECE = 700


class Cut(Exception):
    """The connection is gone; nobody knows whether the request came through."""


def a_body(support="S-0101", *, text="9.1", photos=(), **changes):
    return {
        "form": 1,
        "id": str(new_id()),
        "support": support,
        "inspected_on": "2026-06-01",
        "inspector": "Ines",
        "kind": "routine",
        "device_at": NOON.isoformat(),
        "readings": [
            {
                "quantity": "settlement", "text": text, "unit": "mm",
                "member": "P1", "mark": "face",
            },
            {
                "quantity": "tilt_x", "text": "8.2", "unit": "mm/m",
                "member": "P1", "mark": "face",
            },
            {
                "quantity": "tilt_y", "member": "P1", "mark": "face",
                "answer": "not measured", "why": "rain",
            },
        ],
        "findings": [],
        "photos": [
            {"sha256": sha(body), "caption": "", "member": "P1", "taken_on": ""}
            for body in photos
        ],
        "sure": [],
        **changes,
    }  # fmt: skip


def sha(body: bytes) -> str:
    return hashlib.sha256(body).hexdigest()


def post(client, body, *, path="inspections", at=NOON):
    sent = body if isinstance(body, bytes) else json.dumps(body).encode()
    headers = {**OWN, "X-Device-Time": at.isoformat()} if at else OWN
    return client.post(f"/field/api/{path}", data=sent, headers=headers)


def put(client, photo, start, stop, *, key=None):
    return client.put(
        f"/field/api/photos/{key or sha(photo)}?from={start}&of={len(photo)}",
        data=photo[start:stop],
        headers=OWN,
    )


@dataclass
class Phone:
    """Sends one form with its photographs until it holds the receipt.

    Attributes
    ----------
    chance : of a cut at every request, half before and half after it was served
    heard : what the office said last
    """

    client: object
    body: dict
    photos: list
    random: Random
    chance: float = 0.3
    receipts: list = field(default_factory=list)
    cuts: int = 0
    heard: str = ""

    def send_all(self) -> None:
        for _ in range(2000):
            if self.receipts:
                return
            try:
                self._send()
            except Cut:
                self.cuts += 1
        raise AssertionError(f"no receipt after 2000 tries; last heard: {self.heard}")

    def _send(self) -> None:
        for photo in self.photos:
            have = self._through(lambda p=photo: self._have(p))
            while not have.json["is_whole"]:
                start = have.json["have"]
                stop = start + self.random.choice((PIECE, 90, 3))
                have = self._through(
                    lambda p=photo, a=start, b=stop: put(self.client, p, a, b)
                )
                assert have.status_code == 200, have.text
        answer = self._through(lambda: post(self.client, self.body))
        self.heard = answer.text
        if answer.status_code == 200:
            receipt = answer.json["receipt"]
            assert receipt["body_sha256"] == sha(json.dumps(self.body).encode())
            self.receipts.append(receipt)

    def _have(self, photo):
        return self.client.get(f"/field/api/photos/{sha(photo)}")

    def _through(self, request):
        """Before, after, twice, or as it should be."""
        fate = self.random.random()
        if fate < self.chance / 2:
            raise Cut
        answer = request()
        if fate < self.chance:
            raise Cut
        if fate > 1 - self.chance / 3:
            answer = request()
        return answer
