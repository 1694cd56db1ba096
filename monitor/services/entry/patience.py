"""Patience with wrong passwords: a few are free, then each wait is twice the last.

Counted in the database, so for all processes together, and before a password is looked
at: of a hundred tries at once no more are looked at than of a hundred in a row. There
are two counts, of the account's name and of the address. A device from which the right
password came before is counted for itself, so that nobody locks its owner out. Unknown
names are counted like known ones.
"""

import hashlib
import secrets
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from monitor.clock import new_id
from monitor.domain.people import Account, KnownDevice
from monitor.errors import NotAllowed
from monitor.services.access import digest
from monitor.store import Session, tries
from monitor.store.records import ACCOUNTS, KNOWN_DEVICES

FREE_TRIES = 5
FREE_TRIES_PER_ADDRESS = 50
"""Many people may sit behind one address."""

FIRST_WAIT = timedelta(seconds=15)
LONGEST_WAIT = timedelta(minutes=15)
FORGOTTEN_AFTER = timedelta(hours=2)
TOLD_AT = 10
"""At so many wrong tries the owner of the account is told."""

DEVICE_LASTS = timedelta(days=180)
_DOUBLINGS = 20


@dataclass(frozen=True, slots=True)
class Try:
    """Who tries to come in as whom.

    Attributes
    ----------
    device : what a browser shows that was let in before, empty if nothing
    """

    name: str
    address: str
    device: str = ""


def take(session: Session, keys: Mapping[str, int], now: datetime) -> timedelta:
    """Count a try under each key; nothing is counted if one of them has to wait.

    Parameters
    ----------
    keys : each with the tries that are free

    Returns
    -------
    How long to wait; nothing if the try may be looked at.
    """
    tries.forget_older(session, now - FORGOTTEN_AFTER)
    tries.lock(session, list(keys), now)
    found = tries.counts(session, list(keys))
    left = wait_left(found, keys, now)
    if left <= timedelta(0):
        tries.put(session, {key: found[key][0] + 1 for key in keys}, now)
    return max(left, timedelta(0))


def wait_left(
    found: Mapping[str, tuple[int, datetime]], keys: Mapping[str, int], now: datetime
) -> timedelta:
    """How long the longest of the keys has to wait."""
    waits = [
        wait_after(count - keys[key]) - tries.raise_to_now(last, now)
        for key, (count, last) in found.items()
    ]
    return max(waits, default=timedelta(0))


def wait_after(beyond_free: int) -> timedelta:
    """The wait after so many wrong tries more than are free."""
    if beyond_free < 0:
        return timedelta(0)
    return min(FIRST_WAIT * (1 << min(beyond_free, _DOUBLINGS)), LONGEST_WAIT)


def keys_for(session: Session, one: Try) -> dict[str, int]:
    """Under which keys a try is counted, each with the tries that are free."""
    device = known_device(session, one)
    if device is not None:
        return {_kept(f"device {device.id}"): FREE_TRIES}
    return {account_key(one.name): FREE_TRIES, **keys_for_address(one.address)}


def keys_for_address(address: str) -> dict[str, int]:
    """Under which key all tries from an address are counted."""
    return {_kept(f"address {address}"): FREE_TRIES_PER_ADDRESS}


def account_key(name: str) -> str:
    """Under which key strangers' tries for an account are counted."""
    return _kept(f"account {' '.join(name.split()).casefold()}")


def require_patience(left: timedelta) -> None:
    """Refuse a try that comes too early.

    Raises
    ------
    NotAllowed : how long to wait
    """
    if left > timedelta(0):
        seconds = int(left.total_seconds()) + 1
        raise NotAllowed(
            f"Too many wrong tries. Wait {_in_words(seconds)}, then try again.",
            code="acc-003",
        )


def forgive(session: Session, keys: Mapping[str, int]) -> None:
    """Start afresh after a right try."""
    tries.forget(session, list(keys))


def wrong_tries(session: Session, name: str) -> int:
    """How many wrong tries of strangers an account has against it now."""
    key = account_key(name)
    return tries.counts(session, [key]).get(key, (0, None))[0]


def known_device(session: Session, one: Try) -> KnownDevice | None:
    """The device that shows it was let in as this account before."""
    if not one.device:
        return None
    found = KNOWN_DEVICES.find(session, token_hash=digest(one.device))
    account = ACCOUNTS.find(session, name=" ".join(one.name.split()))
    is_theirs = found is not None and account is not None
    return found if is_theirs and found.account_id == account.id else None  # type: ignore[union-attr]


def remember_device(
    session: Session, account: Account, device: str, now: datetime
) -> str:
    """What a browser that was let in is to show next time."""
    found = KNOWN_DEVICES.find(session, token_hash=digest(device)) if device else None
    if found is not None and found.account_id == account.id:
        KNOWN_DEVICES.change(session, replace(found, seen_at=now))
        return device
    secret = secrets.token_urlsafe(32)
    made = KnownDevice(new_id(), account.id, digest(secret), now)
    KNOWN_DEVICES.add(session, [made])
    return secret


def _kept(key: str) -> str:
    """People type passwords where names belong, so only a hash is kept."""
    return hashlib.sha256(key.encode()).hexdigest()


def _in_words(seconds: int) -> str:
    if seconds < 90:
        return f"{seconds} second{'' if seconds == 1 else 's'}"
    return f"{round(seconds / 60)} minutes"
