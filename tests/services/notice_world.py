"""A person who is told, supports that give reason to, and a carrier that remembers."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from monitor.clock import new_id
from monitor.domain.conclusions import Due, SupportStanding
from monitor.domain.notices import Channel, Recipient
from monitor.domain.vocabulary import InspectionKind, Standing
from monitor.errors import DeliveryError
from monitor.services.notices.letters import Letterhead
from monitor.services.notices.sending import Post
from monitor.store import records
from tests.build import a_support

MONDAY = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
HEAD = Letterhead("https://trees.example/", b"secret", "trees.example")
BEFORE = MONDAY - timedelta(days=400)


def a_person(session, name="Ines", **changes):
    person = Recipient(
        id=new_id(), name=name, channel=Channel.EMAIL,
        address=f"{name.lower()}@trees.example", sites=(), wants_digest=True,
        digest_day=0, digest_minute=7 * 60, wants_empty=False, wants_escalations=True,
        timezone="UTC", quiet_from=None, quiet_to=None, recorded_by="test",
        recorded_at=BEFORE, confirmed_at=BEFORE, asked_at=None,
    )  # fmt: skip
    person = replace(person, **changes)
    records.RECIPIENTS.add(session, [person])
    return person


def stands(session, built, standing, *reasons, at=MONDAY):
    row = SupportStanding(built.support.id, standing, reasons, at.date(), at)
    records.STANDINGS.put(session, [row])


def owes(session, built, due_on, *, late_days=30, serious_days=395):
    due = Due(
        support_id=built.support.id, kind=InspectionKind.ROUTINE,
        opens_on=due_on - timedelta(days=30), due_on=due_on,
        late_on=due_on + timedelta(days=late_days),
        serious_on=due_on + timedelta(days=serious_days), rule="duty-interval",
        sentence=f"Due on {due_on:%-d %B %Y}: two years after the last look.",
        reasons=(), computed_at=MONDAY,
    )  # fmt: skip
    records.DUES.put(session, [due])
    return due


def a_grave_support(session, code="S-0101", standing=Standing.ACT):
    built = a_support(session, code)
    stands(session, built, standing, "The tilt is beyond its act limit.")
    owes(session, built, date(2026, 6, 3))
    return built


class Carrier:
    """Keeps letters; refuses with what is listed first."""

    def __init__(self, *refusals):
        self.refusals = list(refusals)
        self.letters = []
        self.addresses = []

    def deliver(self, letter, address):
        if self.refusals:
            refusal = self.refusals.pop(0)
            if refusal is not None:
                raise DeliveryError("451 or 550", permanent=refusal == "for good")
        self.letters.append(letter)
        self.addresses.append(address)

    @property
    def texts(self):
        return [one.text for letter in self.letters for one in letter.sentences]


def a_post(carrier, fallback=""):
    return Post({Channel.EMAIL: carrier}, HEAD, fallback)
