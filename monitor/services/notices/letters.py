"""From notices to the letter that carries them."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from monitor.domain.notices import Notice, NoticeKind, NoticeLine, Recipient
from monitor.mechanics.screening import CAUTION
from monitor.notify.letter import Letter, Sentence
from monitor.services.notices.confirming import answer_token
from monitor.services.notices.recipients import unsubscribe_token

MOST_LINES = 40
"""Sentences under one heading; the pages show the rest. Own choice."""


@dataclass(frozen=True, slots=True)
class Letterhead:
    """What every letter carries.

    Attributes
    ----------
    pages_url : address of the pages with a slash at its end; empty for no links
    secret : signs the way out of the digests
    host : right of the @ in Message-IDs
    """

    pages_url: str
    secret: bytes
    host: str

    def message_id(self, notice: Notice) -> str:
        """Made from the id of the notice, so every attempt bears the same."""
        return f"{notice.id}@{self.host}"


def letter_of(
    head: Letterhead,
    notice: Notice,
    carried: Sequence[Notice],
    person: Recipient | None,
) -> Letter:
    """The letter of a notice and of those it carries along."""
    every = (notice, *carried)
    lines = _ordered([line for one in every for line in one.lines])
    return Letter(
        message_id=notice.message_id or head.message_id(notice),
        subject=_subject(every),
        sentences=(*_sentences(head, lines), *_answer(head, notice, person)),
        closing=(CAUTION, *_why(notice, person)),
        written_at=notice.raised_at,
        unsubscribe_url=_way_out(head, notice, person),
    )


def _answer(
    head: Letterhead, notice: Notice, person: Recipient | None
) -> tuple[Sentence, ...]:
    """The link that confirms an address; its code where the pages have no address."""
    if notice.kind is not NoticeKind.CONFIRMATION or person is None:
        return ()
    token = answer_token(head.secret, person)
    if not head.pages_url:
        command = f"underprop notices confirm “{person.name}” {token}"
        return (Sentence("", f"Whoever runs the pages confirms it with {command}", ""),)
    address = f"{head.pages_url}confirm/{person.id}/{token}"
    return (Sentence("", "To confirm, open this page and press the button.", address),)


def _subject(every: Sequence[Notice]) -> str:
    """The gravest, and how many more."""
    gravest = max(every, key=lambda one: (one.is_urgent, one.covers))
    more = len(every) - 1
    return f"{gravest.subject}, and {more} more" if more else gravest.subject


def _ordered(lines: list[NoticeLine]) -> list[NoticeLine]:
    """Lines of one heading together, headings in the order they first come."""
    headings = list(dict.fromkeys(line.heading for line in lines))
    headings.sort(key=lambda heading: heading != "Make safe")
    return sorted(lines, key=lambda line: headings.index(line.heading))


def _sentences(head: Letterhead, lines: list[NoticeLine]) -> list[Sentence]:
    found = []
    for heading, some in groupby(lines, key=lambda line: line.heading):
        told = list(some)
        found += [
            Sentence(heading, line.text, _url(head, line.path))
            for line in told[:MOST_LINES]
        ]
        more = len(told) - MOST_LINES
        if more > 0:
            found.append(Sentence(heading, f"And {more} more.", _url(head, "due")))
    return found


def _url(head: Letterhead, path: str) -> str:
    return f"{head.pages_url}{path}" if head.pages_url and path else ""


def _why(notice: Notice, person: Recipient | None) -> tuple[str, ...]:
    if person is None:
        return ("You are the contact for notices that do not reach anybody else.",)
    if notice.kind is NoticeKind.DIGEST:
        return (f"The weekly digest of {person.name}.",)
    return (f"Told to {person.name}. “underprop notices tell” changes who is told.",)


def _way_out(head: Letterhead, notice: Notice, person: Recipient | None) -> str:
    if notice.kind is not NoticeKind.DIGEST or person is None or not head.pages_url:
        return ""
    token = unsubscribe_token(head.secret, person.id)
    return f"{head.pages_url}unsubscribe/{person.id}/{token}"
