"""The parts that a paper is made of."""

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import date
from enum import StrEnum
from typing import Any, TypeVar

T = TypeVar("T")


class Size(StrEnum):
    """Sheets a paper can be set on."""

    A4 = "a4"
    LETTER = "letter"


class Voice(StrEnum):
    """How a paragraph speaks."""

    BODY = "body"
    LEAD = "lead"
    QUIET = "quiet"
    CAUTION = "caution"


@dataclass(frozen=True, slots=True)
class Chapter:
    """Begins a new page with its own running head.

    Attributes
    ----------
    head : left and right part of the running head
    kicker : small line over the title
    """

    head: tuple[str, str]
    kicker: str
    title: str


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading within a chapter; level 2, or 3 beneath it."""

    text: str
    level: int = 2
    aside: str = ""


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph."""

    text: str
    voice: Voice = Voice.BODY


@dataclass(frozen=True, slots=True)
class Points:
    """Sentences one under the other."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Stands:
    """A standing as word and shape, with its reasons beside it."""

    word: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Pairs:
    """Names and what they hold, aligned; dense ones two beside each other."""

    items: tuple[tuple[str, str], ...]
    is_dense: bool = False


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table.

    Attributes
    ----------
    share : of the width
    is_number : set to the right, with figures of one width
    is_blank : room to write by hand
    """

    head: str
    share: float = 1.0
    is_number: bool = False
    is_blank: bool = False


@dataclass(frozen=True, slots=True)
class Grid:
    """A table; its head is repeated on every page it goes over.

    Attributes
    ----------
    label : what it holds; stands over it
    """

    label: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing as SVG, with the words for who can not see it."""

    svg: str
    alt: str
    caption: str = ""


@dataclass(frozen=True, slots=True)
class Picture:
    """A photograph as JPEG."""

    jpeg: bytes
    alt: str
    caption: str


@dataclass(frozen=True, slots=True)
class Pictures:
    """Photographs side by side."""

    items: tuple[Picture, ...]


@dataclass(frozen=True, slots=True)
class Seal:
    """A square to scan beside the lines it stands for."""

    svg: str
    alt: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Tag:
    """What is cut out and fixed to a support."""

    svg: str
    alt: str
    code: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Tags:
    """Tags side by side."""

    items: tuple[Tag, ...]


@dataclass(frozen=True, slots=True)
class Signatures:
    """Lines to sign on, each with what is signed for."""

    items: tuple[str, ...]


Block = (
    Chapter | Heading | Words | Points | Stands | Pairs | Grid | Drawing | Pictures
    | Seal | Tags | Signatures
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Paper:
    """A whole paper.

    Attributes
    ----------
    on : the day it speaks of; also stands in the file as its date
    lang : language of the words that people wrote, BCP 47 (our own are English)
    is_part : of a paper that is bound later, and gets its page numbers then
    """

    title: str
    author: str
    on: date
    blocks: tuple[Block, ...]
    size: Size = Size.A4
    lang: str = "en"
    is_part: bool = False


def texts_of(thing: object) -> Iterator[str]:
    """Every text that people will read; drawings bring their own."""
    if isinstance(thing, str) and not isinstance(thing, StrEnum):
        yield thing
    elif isinstance(thing, tuple):
        for part in thing:
            yield from texts_of(part)
    elif is_dataclass(thing) and not isinstance(thing, type):
        for field in fields(thing):
            if field.name not in _NOT_READ:
                yield from texts_of(getattr(thing, field.name))


def with_texts(thing: T, spell: Any) -> T:  # noqa: ANN401 - a function of one text
    """The same with every text spelt anew."""
    found: Any = thing
    if isinstance(thing, str) and not isinstance(thing, StrEnum):
        found = spell(thing)
    elif isinstance(thing, tuple):
        found = tuple(with_texts(part, spell) for part in thing)
    elif is_dataclass(thing) and not isinstance(thing, type):
        read = (field.name for field in fields(thing) if field.name not in _NOT_READ)
        spelt = {name: with_texts(getattr(thing, name), spell) for name in read}
        found = replace(thing, **spelt)
    return found  # type: ignore[no-any-return]


_NOT_READ = frozenset({"svg", "jpeg", "on", "lang", "is_part"})
