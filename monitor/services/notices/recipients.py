"""Who is told, and how they want it."""

import hmac
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from hashlib import sha256
from uuid import UUID
from zoneinfo import ZoneInfo

from monitor.clock import new_id
from monitor.domain.notices import WEEKDAYS, Channel, Recipient
from monitor.domain.people import Account
from monitor.domain.rights import Right, may
from monitor.errors import InvalidInput, NotFound
from monitor.notify.outward import parts_of
from monitor.services.access import NO_SITE
from monitor.services.notices.confirming import OPEN_FOR, ask, asked_anew
from monitor.services.notices.hours import in_words, parse_hours, parse_minute
from monitor.settings import is_email
from monitor.store import Session, records
from monitor.store.ledger import append

SECRET_FILE = "notices.secret"


@dataclass(frozen=True, slots=True)
class Choices:
    """How a person wants to be told, as typed.

    Attributes
    ----------
    email, webhook : one of them; the address
    sites : codes of the sites this person answers for; none for all
    digest : a weekday, or "never"
    at : time of the day, such as "07:00"
    zone : IANA name
    quiet : such as "21:00-06:00", or "never"
    """

    name: str
    email: str = ""
    webhook: str = ""
    sites: Sequence[str] = ()
    digest: str = "monday"
    at: str = "07:00"
    zone: str = "UTC"
    quiet: str = "21:00-06:00"
    escalations: bool = True
    empty: bool = False


def recipients(session: Session) -> list[Recipient]:
    """Everybody who is told, by name."""
    found = records.RECIPIENTS.all(session)
    return sorted(found, key=lambda one: one.name.casefold())


def active_recipients(session: Session) -> list[Recipient]:
    """Those who are told now, each with the sites that the account may see.

    Nobody whose account was disabled; an owner is told of the own sites only, whatever
    was chosen.
    """
    accounts = {one.name: one for one in records.ACCOUNTS.all(session)}
    found = []
    for person in recipients(session):
        account = accounts.get(person.name)
        if account is None:
            found.append(person)
        elif account.is_active:
            found.append(replace(person, sites=_seen(session, account, person.sites)))
    return found


def recipient_named(session: Session, name: str) -> Recipient:
    """The person of that name, or NotFound."""
    found = records.RECIPIENTS.find(session, name=" ".join(name.split()))
    if found is None:
        raise NotFound("recipient", name, hint="See “underprop notices people”.")
    return found


def choose(
    session: Session, choices: Choices, *, actor: str, now: datetime
) -> Recipient:
    """Write how a person wants to be told.

    Raises
    ------
    InvalidInput : naming the first thing that can not be taken
    """
    name = " ".join(choices.name.split())
    if not name:
        raise InvalidInput("A person needs a name.", field="name", code="ntc-001")
    known = records.RECIPIENTS.find(session, name=name)
    made = _made(session, replace(choices, name=name), actor, now)
    if known is None:
        made = asked_anew(made, now)
        records.RECIPIENTS.add(session, [made])
    else:
        made = replace(made, id=known.id, recorded_at=known.recorded_at)
        made = _as_confirmed(known, made, now)
        records.RECIPIENTS.change(session, made)
    if made.asked_at == now:
        ask(session, made, now)
    _log(session, "chose notices", made, actor, now)
    return made


def _as_confirmed(known: Recipient, made: Recipient, now: datetime) -> Recipient:
    """An address that stays keeps its answer; one whose link ran out is asked anew."""
    if (known.channel, known.address) != (made.channel, made.address):
        return asked_anew(made, now)
    asked_at = known.asked_at
    if asked_at is not None and now >= asked_at + OPEN_FOR:
        return asked_anew(made, now)
    return replace(made, confirmed_at=known.confirmed_at, asked_at=asked_at)


def stop(session: Session, recipient: Recipient, *, actor: str, now: datetime) -> None:
    """Tell a person nothing more; what was sent stays listed."""
    ended = replace(recipient, wants_digest=False, wants_escalations=False)
    records.RECIPIENTS.change(session, ended)
    _log(session, "stopped notices", ended, actor, now)


def unsubscribe(session: Session, recipient_id: UUID, *, now: datetime) -> Recipient:
    """End the digests of a person who followed the link; escalations stay.

    Raises
    ------
    NotFound : there is no such person
    """
    found = records.RECIPIENTS.get(session, recipient_id)
    if found.wants_digest:
        found = replace(found, wants_digest=False)
        records.RECIPIENTS.change(session, found)
        _log(session, "unsubscribed", found, found.name, now)
    return found


def unsubscribe_token(secret: bytes, recipient_id: UUID) -> str:
    """What makes the address unguessable: 128 bits of an HMAC."""
    said = f"unsubscribe:{recipient_id}".encode()
    return hmac.new(secret, said, sha256).hexdigest()[:32]


def choices_of(session: Session, recipient: Recipient) -> Choices:
    """The choices of a person as they would be typed."""
    codes = {str(site.id): site.code for site in records.SITES.all(session)}
    is_mail = recipient.channel is Channel.EMAIL
    start, end = recipient.quiet_from, recipient.quiet_to
    has_quiet = start is not None and end is not None
    return Choices(
        name=recipient.name,
        email=recipient.address if is_mail else "",
        webhook="" if is_mail else recipient.address,
        sites=sorted(codes[key] for key in recipient.sites if key in codes),
        digest=WEEKDAYS[recipient.digest_day] if recipient.wants_digest else "never",
        at=in_words(recipient.digest_minute),
        zone=recipient.timezone,
        quiet=f"{in_words(start or 0)}-{in_words(end or 0)}" if has_quiet else "never",
        escalations=recipient.wants_escalations,
        empty=recipient.wants_empty,
    )


def _made(session: Session, choices: Choices, actor: str, now: datetime) -> Recipient:
    channel, address = _address(choices)
    day = choices.digest.strip().casefold()
    if day not in (*WEEKDAYS, "never"):
        raise InvalidInput(
            f"Found “{choices.digest}”, expected a weekday or “never”.",
            field="digest",
            code="ntc-003",
        )
    quiet = parse_hours(choices.quiet)
    return Recipient(
        id=new_id(),
        name=choices.name,
        channel=channel,
        address=address,
        sites=_sites(session, choices.sites),
        wants_digest=day != "never",
        digest_day=0 if day == "never" else WEEKDAYS.index(day),
        digest_minute=parse_minute(choices.at),
        wants_empty=choices.empty,
        wants_escalations=choices.escalations,
        timezone=_zone(choices.zone),
        quiet_from=quiet[0] if quiet else None,
        quiet_to=quiet[1] if quiet else None,
        recorded_by=actor,
        recorded_at=now,
        confirmed_at=None,
        asked_at=None,
    )


def _address(choices: Choices) -> tuple[Channel, str]:
    email, webhook = choices.email.strip(), choices.webhook.strip()
    if bool(email) == bool(webhook):
        raise InvalidInput(
            "Give either an e-mail address or the address of a webhook.",
            field="email",
            code="ntc-004",
        )
    if webhook:
        parts_of(webhook)
        return Channel.WEBHOOK, webhook
    if not is_email(email):
        raise InvalidInput(
            f"“{email}” is no e-mail address; expected one such as ines@trees.example.",
            field="email",
            code="ntc-005",
        )
    return Channel.EMAIL, email


def _sites(session: Session, codes: Sequence[str]) -> tuple[str, ...]:
    by_code = {site.code.casefold(): site for site in records.SITES.all(session)}
    found = []
    for code in codes:
        site = by_code.get(code.strip().casefold())
        if site is None:
            raise NotFound("site", code)
        found.append(str(site.id))
    return tuple(sorted(set(found)))


def _seen(
    session: Session, account: Account, chosen: tuple[str, ...]
) -> tuple[str, ...]:
    """The sites of a choice that the account may see; none chosen stands for all."""
    if may(account.role, Right.SEE_EVERY_SITE):
        return chosen
    table = records.SITES.table.c
    owned = records.SITES.all(session, table.owner_id == account.party_id)
    own = {str(site.id) for site in owned}
    return tuple(sorted(own.intersection(chosen) if chosen else own)) or (str(NO_SITE),)


def _zone(name: str) -> str:
    try:
        return ZoneInfo(name.strip()).key
    except (KeyError, ValueError, OSError) as error:
        raise InvalidInput(
            f"“{name}” is no time zone; expected a name such as Europe/Berlin.",
            field="zone",
            code="ntc-006",
        ) from error


def _log(
    session: Session, action: str, recipient: Recipient, actor: str, now: datetime
) -> None:
    """The ledger keeps the choices; the address can be erased, so it stays out."""
    payload = {
        "name": recipient.name,
        "channel": recipient.channel.value,
        "digest": recipient.wants_digest,
        "escalations": recipient.wants_escalations,
        "sites": list(recipient.sites),
    }
    change = (action, f"recipient {recipient.id}", payload)
    append(session, [change], actor=actor, now=now)
