"""What a notice says, and its two shapes: plain text and simple HTML.

Both are made from the same sentences, so they can not say different things.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from html import escape
from itertools import groupby
from textwrap import fill

WIDTH = 72


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence under a heading, with the page that shows more, if any."""

    heading: str
    text: str
    url: str = ""


@dataclass(frozen=True, slots=True)
class Letter:
    """Everything that is told at once.

    Attributes
    ----------
    message_id : without angle brackets; the same at every attempt
    closing : last lines, such as the caution
    unsubscribe_url : empty if there is nothing to unsubscribe from
    """

    message_id: str
    subject: str
    sentences: tuple[Sentence, ...]
    closing: tuple[str, ...]
    written_at: datetime
    unsubscribe_url: str = ""


def plain_text(letter: Letter) -> str:
    """The letter for a plain reader."""
    parts = []
    for heading, sentences in _groups(letter):
        if heading:
            parts.append(f"{heading}\n{'-' * len(heading)}")
        for one in sentences:
            told = fill(one.text, WIDTH, break_long_words=False, break_on_hyphens=False)
            parts.append(f"{told}\n{one.url}" if one.url else told)
    parts += [fill(line, WIDTH, break_long_words=False) for line in letter.closing]
    if letter.unsubscribe_url:
        parts.append(f"No more of these: {letter.unsubscribe_url}")
    return "\n\n".join(parts) + "\n"


def html_text(letter: Letter) -> str:
    """The letter for a reader of HTML; every word is escaped, nothing is fetched."""
    parts = []
    for heading, sentences in _groups(letter):
        if heading:
            parts.append(f"<h2>{escape(heading)}</h2>")
        parts += [f"<p>{_linked(one)}</p>" for one in sentences]
    parts.append("<hr>")
    parts += [f"<p><small>{escape(line)}</small></p>" for line in letter.closing]
    if letter.unsubscribe_url:
        address = escape(letter.unsubscribe_url)
        parts.append(f'<p><small><a href="{address}">No more of these</a></small></p>')
    return (
        '<!DOCTYPE html>\n<html lang="en-GB"><head><meta charset="utf-8">'
        f"<title>{escape(letter.subject)}</title></head>\n<body>\n"
        + "\n".join(parts)
        + "\n</body></html>\n"
    )


def one_line(text: str) -> str:
    """Words on one line, fit for a header: no line break can add a second header."""
    printable = (c if c.isprintable() else " " for c in text)
    return " ".join("".join(printable).split())


def _groups(letter: Letter) -> Iterator[tuple[str, list[Sentence]]]:
    for heading, sentences in groupby(letter.sentences, key=lambda one: one.heading):
        yield heading, list(sentences)


def _linked(one: Sentence) -> str:
    if not one.url:
        return escape(one.text)
    return f'{escape(one.text)} <a href="{escape(one.url)}">Open its page</a>'
