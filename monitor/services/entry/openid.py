"""Sign-in at an organisation's provider: OpenID Connect, authorisation code with PKCE.

What comes back counts only if its state is one we gave to this browser and was not
used before, and if the token was signed by a key of the provider, names the provider,
us, our nonce and a time that is not over. Published: OpenID Connect Core 1.0, RFC 6749,
RFC 7636, RFC 9207.
"""

import base64
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from urllib.parse import quote, urlencode

from authlib.oauth2.rfc6749.parameters import (  # type: ignore[import-untyped]
    prepare_grant_uri,
)
from authlib.oauth2.rfc7636 import (  # type: ignore[import-untyped]
    create_s256_code_challenge,
)
from authlib.oidc.core import CodeIDToken  # type: ignore[import-untyped]
from joserfc import jwt
from joserfc.errors import JoseError
from joserfc.jwk import KeySet

from monitor.errors import NotAllowed
from monitor.services.access import digest
from monitor.services.entry.provider_calls import Calls
from monitor.settings import Settings
from monitor.store import Session, outside
from monitor.store.outside import Begun

BACK = "sign-in/provider/back"
LASTS = timedelta(minutes=10)
LEEWAY_S = 60
OLDEST_S = 600
SCOPE = "openid email profile"
SIGNED_BY = ("RS256", "PS256", "ES256", "EdDSA")
"""Signatures with a key pair; a shared secret or none at all proves nothing here."""

_WRONG = (
    "What came back from the provider of sign-ins does not fit what was asked. "
    "Start again."
)


@dataclass(frozen=True, slots=True)
class Outsider:
    """Whom the provider says it let in.

    Attributes
    ----------
    subject : its name for the person, which stays the same
    email : only if the provider says that it is the person's, else empty
    """

    issuer: str
    subject: str
    email: str
    name: str


@dataclass(frozen=True, slots=True)
class Provider:
    """The provider as its own document describes it."""

    authorise: str
    token: str
    keys: str
    says_issuer: bool


def is_set(settings: Settings) -> bool:
    """Whether there is a provider to sign in at."""
    return bool(settings.openid_issuer)


def provider_of(settings: Settings) -> Provider:
    """Read the provider's document.

    Raises
    ------
    NotAllowed : it can not be had, is of another provider, or leads elsewhere
    """
    calls = Calls(settings.openid_issuer)
    said = calls.get(
        settings.openid_issuer.rstrip("/") + "/.well-known/openid-configuration"
    )
    if said.get("issuer") != settings.openid_issuer:
        raise wrong("document of another issuer")
    return Provider(
        authorise=calls.require_theirs(str(said.get("authorization_endpoint"))),
        token=calls.require_theirs(str(said.get("token_endpoint"))),
        keys=calls.require_theirs(str(said.get("jwks_uri"))),
        says_issuer=said.get("authorization_response_iss_parameter_supported") is True,
    )


def begin(
    session: Session,
    settings: Settings,
    provider: Provider,
    *,
    next_path: str,
    now: datetime,
) -> tuple[str, str]:
    """Where to send a browser, and the state that it has to bring back."""
    state, nonce = secrets.token_urlsafe(32), secrets.token_urlsafe(32)
    verifier = secrets.token_urlsafe(48)
    outside.forget_older(session, now - LASTS)
    outside.keep(session, Begun(digest(state), nonce, verifier, next_path, now))
    address = prepare_grant_uri(
        provider.authorise,
        settings.openid_client_id,
        "code",
        redirect_uri=_back(settings),
        scope=SCOPE,
        state=state,
        nonce=nonce,
        code_challenge=create_s256_code_challenge(verifier),
        code_challenge_method="S256",
    )
    return str(address), state


def take(session: Session, state: str, cookie: str, now: datetime) -> Begun:
    """The beginning that a browser comes back to, which is used up by this.

    Raises
    ------
    NotAllowed : it is not of this browser, was used before, or is too old
    """
    is_own = bool(state) and secrets.compare_digest(state.encode(), cookie.encode())
    found = outside.take(session, digest(state)) if is_own else None
    if found is None or not timedelta(0) <= now - found.begun_at < LASTS:
        raise wrong("state")
    return found


def outsider_of(
    settings: Settings, answer: dict[str, str], begun: Begun, now: datetime
) -> Outsider:
    """Whom the provider let in: the code is turned into a token, and that is checked.

    Raises
    ------
    NotAllowed : with what did not fit in `why`, for the log
    """
    provider = provider_of(settings)
    named = answer.get("iss")
    if (named or provider.says_issuer) and named != settings.openid_issuer:
        raise wrong("iss of the answer")
    calls = Calls(settings.openid_issuer)
    token = calls.post(provider.token, *_exchange(settings, answer, begun))
    keys = calls.get(provider.keys)
    claims = _checked(settings, (token, keys), begun.nonce, now)
    email = claims.get("email")
    is_theirs = claims.get("email_verified") is True and isinstance(email, str)
    name = claims.get("name")
    return Outsider(
        settings.openid_issuer,
        str(claims["sub"]),
        str(email).strip() if is_theirs else "",
        " ".join(name.split())[:200] if isinstance(name, str) else "",
    )


def wrong(why: str) -> NotAllowed:
    """The refusal of what came back; the person is told no more than that."""
    refusal = NotAllowed(_WRONG, code="acc-023")
    refusal.add_note(why)
    return refusal


def _back(settings: Settings) -> str:
    return settings.pages_url + BACK


def _exchange(
    settings: Settings, answer: dict[str, str], begun: Begun
) -> tuple[str, dict[str, str]]:
    """The form that turns a code into a token, and who asks."""
    form = {
        "grant_type": "authorization_code",
        "code": answer.get("code", ""),
        "redirect_uri": _back(settings),
        "code_verifier": begun.verifier,
    }
    client, secret = settings.openid_client_id, settings.openid_client_secret
    if not secret:
        return urlencode({**form, "client_id": client}), {}
    pair = f"{quote(client, safe='')}:{quote(secret, safe='')}".encode()
    basic = f"Basic {base64.b64encode(pair).decode()}"
    return urlencode(form), {"Authorization": basic}


def _checked(
    settings: Settings,
    found: tuple[dict[str, Any], dict[str, Any]],
    nonce: str,
    now: datetime,
) -> dict[str, Any]:
    """The claims of the token, if all of it holds."""
    token, keys = found
    try:
        signed = str(token.get("id_token", ""))
        known = KeySet.import_key_set(keys)  # type: ignore[arg-type]
        read = jwt.decode(signed, known, algorithms=list(SIGNED_BY))
        claims = CodeIDToken(read.claims, read.header, *_wanted(settings, nonce))
        at = int(now.timestamp())
        claims.validate(now=at, leeway=LEEWAY_S)
    except (JoseError, ValueError, TypeError, KeyError, AttributeError) as error:
        raise wrong(type(error).__name__) from error
    is_fresh = at - LEEWAY_S - OLDEST_S <= int(read.claims["iat"])
    subject = read.claims.get("sub")
    if not is_fresh or not isinstance(subject, str) or not 0 < len(subject) <= 255:
        raise wrong("iat or sub")
    return dict(read.claims)


def _wanted(settings: Settings, nonce: str) -> tuple[dict[str, Any], dict[str, Any]]:
    client = settings.openid_client_id
    options = {
        "iss": {"essential": True, "value": settings.openid_issuer},
        "aud": {"essential": True, "value": client},
    }
    return options, {"nonce": nonce, "client_id": client}
