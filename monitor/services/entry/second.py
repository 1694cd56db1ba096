"""The second factor: a code from an authenticator (RFC 6238), or a code kept on paper.

Codes of 30 s steps; one step early or late is taken, since clocks differ. A step is
taken once: a code that was watched over a shoulder is worthless. The secret is kept
sealed; codes on paper are kept as hashes, so they still open if the seal's key is lost.
"""

import secrets
from dataclasses import replace
from datetime import datetime

import pyotp

from monitor.clock import new_id
from monitor.domain.people import Account, RecoveryCode, SecondFactor
from monitor.errors import InvalidInput, NotAllowed
from monitor.services.access import digest, log
from monitor.services.entry.sealing import Seal, is_sealed
from monitor.store import Session
from monitor.store.records import RECOVERY_CODES, SECOND_FACTORS

STEP_S = 30
DRIFT_STEPS = 1
RECOVERY_CODES_GIVEN = 10
CODE_GROUPS = 5
"""Of five letters out of 31 each: 123 bits, so that a plain hash keeps them."""

ISSUER = "Underprop"
_ALPHABET = "23456789abcdefghjkmnpqrstuvwxyz"


def factor_of(session: Session, account: Account) -> SecondFactor | None:
    """The second factor that an account has, None if it was never confirmed."""
    found = SECOND_FACTORS.find(session, account_id=account.id)
    return found if found is not None and found.confirmed_at is not None else None


def begin(session: Session, account: Account, seal: Seal) -> str:
    """Make a secret for an authenticator; it counts once a first code was right.

    Raises
    ------
    NotAllowed : there is a second factor already
    """
    if factor_of(session, account) is not None:
        raise NotAllowed("There is a second factor already; take it off first.")
    secret = pyotp.random_base32()
    kept = seal.close(secret, account.id)
    SECOND_FACTORS.put(session, [SecondFactor(account.id, kept, None, 0)])
    return secret


def begun(session: Session, account: Account, seal: Seal) -> str:
    """The secret that waits for its first code, empty if none does."""
    found = SECOND_FACTORS.find(session, account_id=account.id)
    if found is None or found.confirmed_at is not None:
        return ""
    return seal.open(found.secret, account.id)


def address_of(account: Account, secret: str) -> str:
    """What an authenticator reads from the picture."""
    return pyotp.TOTP(secret).provisioning_uri(name=account.name, issuer_name=ISSUER)


def confirm(
    session: Session, account: Account, code: str, now: datetime, seal: Seal
) -> tuple[str, ...]:
    """Take the first code; the codes for paper are told here and nowhere again.

    Raises
    ------
    InvalidInput : the code is not right
    """
    found = SECOND_FACTORS.find(session, account_id=account.id)
    step = None if found is None else _step_of(found, code, now, seal)
    if found is None or step is None:
        raise InvalidInput(
            "That code is not right. Is the clock of the device right?", field="code"
        )
    SECOND_FACTORS.put(session, [replace(found, confirmed_at=now, last_step=step)])
    log(session, "added a second factor", account, account.name, now)
    return _new_recovery_codes(session, account)


def is_right(
    session: Session, account: Account, code: str, now: datetime, seal: Seal
) -> bool:
    """Whether a code is right now, or stands on the paper; it is used up by this."""
    found = factor_of(session, account)
    if found is None:
        return False
    step = _step_of(found, code, now, seal)
    if step is not None:
        SECOND_FACTORS.put(session, [replace(found, last_step=step)])
        return True
    return _use_recovery_code(session, account, code, now)


def take_off(session: Session, account: Account, *, actor: str, now: datetime) -> None:
    """Let an account do without; its codes on paper end with it."""
    found = SECOND_FACTORS.find(session, account_id=account.id)
    if found is None:
        return
    SECOND_FACTORS.put(session, [replace(found, confirmed_at=None, secret="")])
    _end_recovery_codes(session, account, now)
    log(session, "took the second factor off", account, actor, now)


def seal_old(session: Session, seal: Seal) -> int:
    """Seal what was kept before anything was sealed, and say how many."""
    clear = [
        one
        for one in SECOND_FACTORS.all(session)
        if one.secret and not is_sealed(one.secret)
    ]
    SECOND_FACTORS.put(
        session,
        [replace(one, secret=seal.close(one.secret, one.account_id)) for one in clear],
    )
    return len(clear)


def recovery_codes_left(session: Session, account: Account) -> int:
    """How many codes on paper are good."""
    return len(_good_codes(session, account))


def _step_of(factor: SecondFactor, code: str, now: datetime, seal: Seal) -> int | None:
    """The step whose code this is, if it is near now and newer than the last."""
    plain = "".join(code.split())
    secret = seal.open(factor.secret, factor.account_id)
    if not secret or not (plain.isascii() and plain.isdecimal()):
        return None
    totp = pyotp.TOTP(secret, interval=STEP_S)
    present = int(now.timestamp()) // STEP_S
    for step in range(present - DRIFT_STEPS, present + DRIFT_STEPS + 1):
        is_it = secrets.compare_digest(totp.generate_otp(step), plain)
        if is_it and step > factor.last_step:
            return step
    return None


def _new_recovery_codes(session: Session, account: Account) -> tuple[str, ...]:
    codes = tuple(_new_code() for _ in range(RECOVERY_CODES_GIVEN))
    made = [
        RecoveryCode(new_id(), account.id, _kept(account, code), None) for code in codes
    ]
    RECOVERY_CODES.add(session, made)
    return codes


def _new_code() -> str:
    groups = (
        "".join(secrets.choice(_ALPHABET) for _ in range(5)) for _ in range(CODE_GROUPS)
    )
    return "-".join(groups)


def _use_recovery_code(
    session: Session, account: Account, code: str, now: datetime
) -> bool:
    wanted = _kept(account, code)
    for kept in _good_codes(session, account):
        if secrets.compare_digest(kept.code_hash, wanted):
            RECOVERY_CODES.change(session, replace(kept, used_at=now))
            log(session, "used a recovery code", account, account.name, now)
            return True
    return False


def _end_recovery_codes(session: Session, account: Account, now: datetime) -> None:
    for kept in _good_codes(session, account):
        RECOVERY_CODES.change(session, replace(kept, used_at=now))


def _good_codes(session: Session, account: Account) -> list[RecoveryCode]:
    table = RECOVERY_CODES.table
    found = RECOVERY_CODES.all(session, table.c.account_id == account.id)
    return [code for code in found if code.used_at is None]


def _kept(account: Account, code: str) -> str:
    return digest(f"{account.id} {''.join(code.split()).casefold()}")
