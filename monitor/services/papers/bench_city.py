"""A city to make papers of, and how long that takes.

A city of well-read posts is recorded in a database of its own and its condition report
made in one run. Wall and processor time are both printed: on a machine that others use
as well, only the second says something. Memory is the most of the process that gathers
and binds, and of the largest of those that set.
"""

import math
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from resource import RUSAGE_CHILDREN, RUSAGE_SELF, getrusage

from monitor.clock import new_id
from monitor.domain.inspections import Inspection, Reading
from monitor.domain.methods import noise_of
from monitor.domain.places import Party, Site, Tree
from monitor.domain.supports import Mark, Member, Support
from monitor.domain.vocabulary import (
    Answer,
    Consequence,
    InspectionKind,
    MemberKind,
    Occupancy,
)
from monitor.services.assessing.assess import assess_all
from monitor.services.papers.make import House, make_paper
from monitor.services.papers.wish import PaperWish
from monitor.store import Session, Store, records
from monitor.store.ledger import append
from monitor.store.photos import PhotoFiles
from monitor.store.schema import upgrade

NOW = datetime(2031, 5, 14, 12, 0, tzinfo=UTC)
FIRST = date(2001, 5, 14)
LOOKS = 20
READ = ("tilt_x", "tilt_y", "settlement", "gap")


def measure(many: int) -> None:
    """Build the city, make its paper, print pages a second."""
    with tempfile.TemporaryDirectory(prefix="underprop-bench-") as name:
        folder = Path(name)
        url = f"sqlite:///{folder / 'city.db'}"
        upgrade(url)
        store = Store(url)
        with store.write_session() as session:
            _city(session, many)
            assess_all(session, now=NOW)
        house = House(
            store, store, PhotoFiles(folder / "photos"), "https://trees.example/"
        )
        wall, cpu = time.perf_counter(), _processor_s()
        made = make_paper(house, PaperWish(), NOW)
        wall, cpu = time.perf_counter() - wall, _processor_s() - cpu
        store.close()
    print(  # noqa: T201 - a bench prints
        f"{made.supports} supports, {made.pages} pages, {len(made.pdf) / 1e6:.1f} MB: "
        f"{wall:.1f} s, {made.pages / wall:.1f} pages a second; {cpu:.1f} s of the "
        f"processor, {made.pages / cpu:.1f} pages a second of it. Memory: "
        f"{_most_mb(RUSAGE_SELF):.0f} MB here, {_most_mb(RUSAGE_CHILDREN):.0f} MB in "
        "the largest process that sets."
    )


def _processor_s() -> float:
    """Seconds of the processor [s], here and in processes that are over."""
    return sum(
        used.ru_utime + used.ru_stime
        for used in map(getrusage, (RUSAGE_SELF, RUSAGE_CHILDREN))
    )


def _most_mb(whose: int) -> float:
    return getrusage(whose).ru_maxrss / 1000


def _city(session: Session, many: int) -> None:
    owner = Party(new_id(), "City of Velmarsh", "", NOW)
    site = Site(
        new_id(), "V-1", "Long Walk", owner.id, None, "Etc/UTC", None, 47.5, -20.0, "",
        "", "", NOW,
    )  # fmt: skip
    records.PARTIES.add(session, [owner])
    records.SITES.add(session, [site])
    for n in range(many):
        _support(session, site, n)
    append(session, [("city built", "bench", {})], actor="bench", now=NOW)


def _support(session: Session, site: Site, n: int) -> None:
    tree = Tree(
        new_id(), site.id, f"T{n}", "hybrid plane", True, None, None, "", NOW
    )  # fmt: skip
    support = Support(
        new_id(), tree.id, f"P-{n:04}", "long low limb", "path", Occupancy.FREQUENT,
        Consequence.SIGNIFICANT, FIRST, None, None, None, "", "", NOW,
    )  # fmt: skip
    member = Member(
        new_id(), support.id, "P1", MemberKind.POST, FIRST, None, "", None, NOW
    )  # fmt: skip
    marks = {name: Mark(new_id(), member.id, name, "", NOW) for name in _PLACES}
    visits = list(_visits(support))
    records.TREES.add(session, [tree])
    records.SUPPORTS.add(session, [support])
    records.MEMBERS.add(session, [member])
    records.MARKS.add(session, marks.values())
    records.INSPECTIONS.add(session, visits)
    records.READINGS.add(
        session,
        [
            _reading(visit, marks[_PLACE_OF[quantity]], quantity, n)
            for visit in visits
            for quantity in READ
        ],
    )


def _visits(support: Support) -> Iterator[Inspection]:
    for n in range(LOOKS):
        key = new_id()
        yield Inspection(
            key, key, support.id, InspectionKind.ROUTINE,
            FIRST + timedelta(days=540 * n), "Ines", None, None, None, "", "bench",
            False, "bench", NOW, None, "",
        )  # fmt: skip


def _reading(visit: Inspection, mark: Mark, quantity: str, n: int) -> Reading:
    years = (visit.inspected_on - FIRST).days / 365.25
    wobble = math.sin(7.0 * years + n + len(quantity))
    value = round((0.03 * (n % 9) * years + 0.3 * wobble) * (quantity != "gap"), 1)
    noise = noise_of(quantity, "")
    return Reading(
        new_id(), visit.id, mark.id, quantity, 1, Answer.MEASURED, value, "=",
        str(value), "", None, noise.repeatability, noise.placement, noise.resolution,
        "", NOW, None,
    )  # fmt: skip


_PLACE_OF = {"tilt_x": "face", "tilt_y": "face", "settlement": "plate", "gap": "saddle"}
_PLACES = ("face", "plate", "saddle")
