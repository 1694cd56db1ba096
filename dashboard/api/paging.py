"""Where a page ends and the next begins, as text that is only ours to read."""

import base64
import json
from collections.abc import Callable
from datetime import datetime
from enum import StrEnum
from typing import Any
from uuid import UUID

from monitor.errors import InvalidInput

LARGEST_PAGE = 1000


def cursor_text(key: tuple[object, ...]) -> str:
    """A key as text for an address."""
    plain = json.dumps([_plain(part) for part in key])
    return base64.urlsafe_b64encode(plain.encode()).decode().rstrip("=")


def cursor_key(text: str, take: tuple[Callable[[Any], Any], ...]) -> tuple[Any, ...]:
    """The key again.

    Raises
    ------
    InvalidInput : it is none that was given out here
    """
    if not text:
        return ()
    try:
        padded = text + "=" * (-len(text) % 4)
        parts = json.loads(base64.b64decode(padded, altchars=b"-_", validate=True))
        return tuple(one(part) for one, part in zip(take, parts, strict=True))
    except (ValueError, TypeError, AttributeError, RecursionError) as error:
        raise InvalidInput(
            "“after” is no place that was given out as “next”.",
            field="after",
            code="api-001",
        ) from error


def _plain(part: object) -> object:
    if isinstance(part, datetime):
        return part.isoformat()
    if isinstance(part, UUID | StrEnum):
        return str(part)
    return part
