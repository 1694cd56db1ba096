"""Letters that the faces of a paper hold, and what stands for those they do not.

Latin, Greek, Cyrillic, Hebrew, Arabic and many signs are there. Anything else would
come out as an empty box, so it is written in brackets instead: a sign or a picture by
its Unicode name, a letter by its number. The paper says so at its end.
"""

import re
import unicodedata
from collections.abc import Iterable
from functools import cache, lru_cache
from importlib.util import find_spec
from pathlib import Path

LONGEST_RUN = 16
"""Letters without a space after which a line may break anywhere."""

_BREAK = "\u200b"
_KEPT = frozenset("\u200c\u200d\u200e\u200f\u00ad")
_RUN = re.compile(rf"[^\s\u200b\u2009\u202f]{{{LONGEST_RUN + 1},}}")


def face_file() -> Path:
    """The file of the sans face, as matplotlib brings it (DejaVu Sans)."""
    found = find_spec("matplotlib")
    if found is None or found.origin is None:
        raise RuntimeError("matplotlib is missing; it brings the faces of papers.")
    return Path(found.origin).parent / "mpl-data" / "fonts" / "ttf" / "DejaVuSans.ttf"


def spelt(text: str) -> str:
    r"""The text in letters that can be set, with places to break long runs.

    Examples
    --------
    >>> spelt("an oak \N{DECIDUOUS TREE}")
    'an oak [deciduous tree]'
    """
    if text.isascii() and text.isprintable() and len(text) <= LONGEST_RUN:
        return text
    known = "".join(
        _spelt_letter(letter) for letter in unicodedata.normalize("NFC", text)
    )
    return _RUN.sub(_broken, known)


def not_held(texts: Iterable[str]) -> tuple[str, ...]:
    """The letters of these texts that had to be written otherwise, in order."""
    letters = set().union(*(unicodedata.normalize("NFC", text) for text in texts))
    return tuple(sorted(one for one in letters if _spelt_letter(one)[:1] == "[" != one))


@lru_cache(maxsize=8192)
def _spelt_letter(letter: str) -> str:
    if letter in "\n\t\r\u2028\u2029\x0b\x0c":
        return " "
    kind = unicodedata.category(letter)
    if kind in {"Cc", "Cs"} or (kind == "Cf" and letter not in _KEPT):
        return ""  # nothing to see, and an order of letters that could deceive
    if "\ufe00" <= letter <= "\ufe0f" or "\U0001f3fb" <= letter <= "\U0001f3ff":
        return ""  # asks for colour only
    is_private = kind == "Co"  # an archive takes no letter that only one face knows
    if letter in _KEPT or (ord(letter) in _held() and not is_private):
        return letter
    name = unicodedata.name(letter, "") if kind in {"So", "Sk", "Sm", "Sc"} else ""
    return f"[{name.casefold()}]" if name else f"[U+{ord(letter):04X}]"


def _broken(run: re.Match[str]) -> str:
    """A run with a place to break after every few letters, none before a mark."""
    out = []
    for n, letter in enumerate(run.group()):
        is_mark = unicodedata.combining(letter) or unicodedata.category(letter) == "Mn"
        if n and n % LONGEST_RUN == 0 and not is_mark:
            out.append(_BREAK)
        out.append(letter)
    return "".join(out)


@cache
def _held() -> frozenset[int]:
    from matplotlib.ft2font import FT2Font  # slow to load, and wanted by papers only

    return frozenset(FT2Font(str(face_file())).get_charmap())
