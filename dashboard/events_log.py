"""What happened, one line of JSON each, for whoever keeps the logs.

No secrets: addresses that are keys are told by their pattern, bodies and queries not at
all. Whatever a person typed stands inside a JSON string, so it can not begin a line.
"""

import json
import logging
import sys
from datetime import UTC, datetime
from typing import TextIO

from flask import g, has_request_context, request

LOG = logging.getLogger("underprop.events")
LONGEST = 200


class JsonLines(logging.Formatter):
    """A record as one line of JSON, in UTC."""

    def format(self, record: logging.LogRecord) -> str:
        """The line."""
        at = datetime.fromtimestamp(record.created, UTC)
        said: dict[str, object] = {
            "at": at.isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "from": record.name,
            "event": record.getMessage(),
        }
        said |= getattr(record, "facts", {})
        if record.exc_info:
            said["trace"] = self.formatException(record.exc_info)
        return json.dumps(said, ensure_ascii=True, default=str)


def start_logging(stream: TextIO | None = None) -> None:
    """Write every record of this process as JSON lines, to standard error."""
    handler = logging.StreamHandler(stream or sys.stderr)
    handler.setFormatter(JsonLines())
    root = logging.getLogger()
    root.handlers[:] = [handler]
    root.setLevel(logging.INFO)


def tell(event: str, *, level: int = logging.INFO, **facts: object) -> None:
    """Note an event with what is known of the request."""
    known = {**of_request(), **facts}
    short = {
        name: value[:LONGEST] if isinstance(value, str) else value
        for name, value in known.items()
    }
    LOG.log(level, event, extra={"facts": short})


def of_request() -> dict[str, object]:
    """Who asked for what, without what only the two of us know."""
    if not has_request_context():
        return {}
    here = g.get("signed_in")
    return {
        "id": g.get("request_id", ""),
        "method": request.method,
        "address": request.remote_addr or "",
        "route": request.url_rule.rule if request.url_rule else "none",
        "who": here.account.name if here else "",
    }
