"""Passwords: which are taken, how they are kept, how they are compared.

They are kept as Argon2id hashes. When what a hash costs is raised, a kept hash is made
anew at the next sign-in, the only moment at which the password is known.
"""

import re
import secrets

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerifyMismatchError

from monitor.errors import InvalidInput
from monitor.services.entry.common_passwords import RUNS, WORDS

LENGTHS = (12, 128)
FEWEST_DIFFERENT = 5

HASHER = PasswordHasher()
NOBODY = HASHER.hash(secrets.token_urlsafe())

_LOOKS_LIKE = str.maketrans("@$013457!", "asoieasti")
_ENDS = re.compile(r"^[\W\d_]+|[\W\d_]+$")


def hashed(password: str, *names: str) -> str:
    """The hash of a new password.

    Parameters
    ----------
    names : of the person, which a password is not to be made of

    Raises
    ------
    InvalidInput : it is too short, too long or among the first that would be tried
    """
    shortest, longest = LENGTHS
    if not shortest <= len(password) <= longest:
        raise InvalidInput(
            f"A password of {len(password)} characters was given; {shortest} to "
            f"{longest} are expected. Three or four words make a good one.",
            field="password",
            code="acc-013",
        )
    if is_common(password, *names):
        raise InvalidInput(
            "This password is among the first that would be tried. Take three or four "
            "words that do not belong together.",
            field="password",
            code="acc-014",
        )
    return HASHER.hash(password)


def is_right(kept: str, password: str) -> bool:
    """Whether a password is the one whose hash is kept.

    An empty hash, of nobody or of an account that has no password yet, takes as long.
    """
    if len(password) > LENGTHS[1]:
        password = ""
    try:
        return HASHER.verify(kept or NOBODY, password) and bool(kept)
    except (VerifyMismatchError, InvalidHashError):
        return False


def hashed_anew(password: str) -> str:
    """The hash of a password that was taken once, whatever would be taken today."""
    return HASHER.hash(password)


def wants_new_hash(kept: str) -> bool:
    """Whether the hash was made with less work than is asked today."""
    return HASHER.check_needs_rehash(kept)


def is_common(password: str, *names: str) -> bool:
    """Whether a password is a common word made longer, a run, a name or next to none.

    Examples
    --------
    >>> is_common("Passw0rd2024!!"), is_common("oak beam and rope")
    (True, False)
    """
    plain = password.casefold()
    if len(set(plain)) < FEWEST_DIFFERENT or _is_run(plain):
        return True
    own = {part for name in names for part in re.split(r"\W+", name.casefold()) if part}
    middle = _ENDS.sub("", plain)
    cores = {_letters(middle), _letters(middle.translate(_LOOKS_LIKE))}
    return any(_is_made_of(core, WORDS | own) for core in cores)


def _letters(text: str) -> str:
    return re.sub(r"[\W\d_]", "", text)


def _is_made_of(core: str, words: frozenset[str]) -> bool:
    """Nothing, one word, or one word again and again."""
    if not core or core in words:
        return True
    return any(
        core == word * (len(core) // len(word))
        for word in words
        if 2 <= len(word) <= len(core) // 2
    )


def _is_run(text: str) -> bool:
    return any(text in run * 2 for run in RUNS)
