"""What the ledger was when a paper was made, and how to check it later."""

from dataclasses import dataclass
from urllib.parse import urlencode

from monitor.domain.ledger import Change
from monitor.domain.ledger_tree import TreeHead
from monitor.errors import InvalidInput
from monitor.reports.blocks import Seal
from monitor.reports.qr import square
from monitor.services.papers.moment import Moment
from monitor.services.papers.wording import on
from monitor.services.showing.support import SupportView
from monitor.store import Session, ledger_nodes
from monitor.store.ledger_find import entries_about

_AT_MOST = 10**12


@dataclass(frozen=True, slots=True)
class Fingerprint:
    """The head of the ledger, and where it can be checked.

    Attributes
    ----------
    pages_url : address of the pages as people reach them, empty if there is none
    """

    head: TreeHead
    pages_url: str

    def address(self) -> str:
        """Where a reader with an account can check it; empty without an address."""
        if not self.pages_url:
            return ""
        asked = urlencode({"size": self.head.size, "root": self.head.root})
        return f"{self.pages_url}papers?{asked}"


def fingerprint(session: Session, pages_url: str) -> Fingerprint:
    """The head of the ledger now."""
    return Fingerprint(ledger_nodes.head(session), pages_url)


def seal(
    session: Session, mark: Fingerprint, view: SupportView | None, moment: Moment
) -> Seal:
    """A square to scan, and the same in letters."""
    head, made_on = mark.head, on(moment.made_at.date())
    lines = [
        f"Ledger on {made_on}: {head.size} entries, root",
        grouped(head.root),
        *_newest(session, view),
        "“underprop verify” works every entry out anew; “underprop proof” shows a "
        "stranger that an entry is in the ledger. This vouches for the record behind "
        "the paper, not for the sheet in hand.",
    ]
    address = mark.address()
    said = address or f"Underprop ledger, {head.size} entries, root {head.root}"
    alt = f"Square to scan: {address or 'the fingerprint in letters'}"
    return Seal(square(said), alt, tuple(lines))


def grouped(digits: str) -> str:
    """A hash in groups of eight, so that an eye can follow it."""
    return " ".join(digits[n : n + 8] for n in range(0, len(digits), 8))


def check(session: Session, size: str, root: str) -> str:
    """Whether the ledger of today begins with that of a paper, in a sentence.

    Raises
    ------
    InvalidInput : size or root can not be read
    """
    digits = "".join(root.split()).lower()
    is_size = size.isascii() and size.isdecimal() and 0 < int(size[:18]) < _AT_MOST
    if not is_size or len(digits) != 64 or not set(digits) <= set("0123456789abcdef"):
        raise InvalidInput(
            "This is no fingerprint of a paper; expected the number of entries and the "
            "root of 64 hexadecimal digits.",
            field="root",
            code="pap-003",
        )
    entries = int(size)
    now = ledger_nodes.size(session)
    if entries > now:
        return (
            f"The paper speaks of {entries} entries, the ledger holds {now}: entries "
            "are missing here, or the paper is of another record."
        )
    if ledger_nodes.head(session, entries).root != digits:
        return (
            f"At {entries} entries the ledger was something else: the record was "
            "changed, or the paper is of another record. Run “underprop verify”."
        )
    return (
        f"The ledger of today, {now} entries, begins with the {entries} entries of "
        "that paper; by the kept hashes nothing of them was changed since."
    )


def _newest(session: Session, view: SupportView | None) -> list[str]:
    """The newest entry about the support, with its hash."""
    if view is None or not view.changes:
        return []
    change: Change = view.changes[0]
    found = entries_about(session, str(change.seq), at_most=1)
    day = on(change.recorded_at.date())
    return [
        f"Newest entry about {view.support.code}: no. {change.seq} of {day}, leaf",
        grouped(found[0].leaf_hash),
    ]
