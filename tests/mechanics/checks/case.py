"""One check value: what is asked, what is expected, by whose word, and how sure."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum

Got = Callable[[], object]


class Mark(StrEnum):
    """How the expected value came to be known."""

    SEEN = "seen in print"
    HAND = "worked by hand"
    MEMORY = "from memory"
    CUSTOM = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Check:
    """A check value with its source; words are expected to the letter.

    Parameters
    ----------
    got : asks the program
    tol : how far off it may be, in the same unit
    source : published source, or the relation that was worked by hand
    """

    name: str
    got: Got
    expected: float | str
    tol: float
    unit: str
    source: str
    mark: Mark

    def off(self, got: object) -> float:
        """How far what was got lies from what is expected; words are 0 or endless."""
        if isinstance(self.expected, str):
            return 0.0 if str(got) == self.expected else float("inf")
        return abs(float(got) - self.expected)

    def holds(self, got: object) -> bool:
        """Whether what was got is what is expected."""
        return self.off(got) <= self.tol


@dataclass(frozen=True, slots=True)
class Word:
    """By whose word a group of values stands, in which unit, and how near to meet it.

    Parameters
    ----------
    tol : absolute; None means half of the last printed digit
    """

    source: str
    mark: Mark
    unit: str = ""
    tol: float | None = None


def checks(word: Word, rows: Iterable[tuple[str, Got, float | str]]) -> list[Check]:
    """One check a row: name, what asks the program, expected.

    A number written as text is taken as printed and met to half of its last digit.
    """
    found = []
    for name, got, expected in rows:
        value, tol = expected, word.tol
        if isinstance(expected, str) and tol is None:
            value, tol = printed(expected)
        found.append(
            Check(name, got, value, tol or 0.0, word.unit, word.source, word.mark)
        )
    return found


def printed(text: str) -> tuple[float | str, float]:
    """A printed number and half of its last digit; words as they are."""
    try:
        value = float(text)
    except ValueError:
        return text, 0.0
    decimals = len(text.partition(".")[2])
    return value, 0.501 * 10.0**-decimals
