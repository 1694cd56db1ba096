"""How the program does: health, readiness, measures, a log of requests, errors.

Errors of ours are told with a number only; the log has the rest under the same number.
"""

import logging
import secrets
import time
from collections import Counter
from collections.abc import Iterator
from http import HTTPStatus
from ipaddress import ip_address
from threading import Lock

from dash.exceptions import DependencyException
from flask import Flask, Response, g, request
from werkzeug.exceptions import HTTPException

from dashboard import events_log
from dashboard.callback_shape import UNREADABLE
from dashboard.context import AppContext
from dashboard.entry.door import door
from dashboard.proxies import PROXIED
from monitor.domain.rights import Right, may
from monitor.errors import InvalidInput, MonitorError, NotAllowed, NotFound, StoreError
from monitor.services.access import SignedIn
from monitor.services.showing.measures import measures
from monitor.store.schema import require_current

TEXT_FORMAT = "text/plain; version=0.0.4; charset=utf-8"
STATUS_OF = {
    NotFound: HTTPStatus.NOT_FOUND,
    NotAllowed: HTTPStatus.FORBIDDEN,
    InvalidInput: HTTPStatus.UNPROCESSABLE_ENTITY,
    StoreError: HTTPStatus.SERVICE_UNAVAILABLE,
}


class Counts:
    """Requests and seconds by route and status, since this process began."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._answers: Counter[tuple[str, str, int]] = Counter()
        self._seconds: Counter[str] = Counter()

    def add(self, method: str, route: str, status: int, seconds: float) -> None:
        """Count one answer."""
        with self._lock:
            self._answers[method, route, status] += 1
            self._seconds[route] += seconds  # type: ignore[assignment]  # counts floats

    def lines(self) -> Iterator[str]:
        """In the text format of measures."""
        with self._lock:
            answers, seconds = dict(self._answers), dict(self._seconds)
        yield "# TYPE underprop_answers_total counter"
        for (method, route, status), n in sorted(answers.items()):
            labels = f'method="{method}",route="{_label(route)}",status="{status}"'
            yield f"underprop_answers_total{{{labels}}} {n}"
        yield "# TYPE underprop_answer_seconds_total counter"
        for route, total in sorted(seconds.items()):
            label = f'route="{_label(route)}"'
            yield f"underprop_answer_seconds_total{{{label}}} {total:.6f}"


def add_routes(server: Flask, context: AppContext) -> None:
    """Health, readiness and measures; the log and the errors of every route."""
    counts = Counts()
    _log_requests(server, counts)
    _answer_errors(server)
    server.register_error_handler(DependencyException, _no_file)

    @server.get("/healthz")
    @server.get("/health")
    def health() -> tuple[str, int]:
        return "ok", 200

    @server.get("/ready")
    def ready() -> tuple[str, int]:
        try:
            require_current(context.store)
            with context.store.read_session() as session:
                measures(session)
        except MonitorError:
            return "not ready", 503
        return "ready", 200

    @server.get("/metrics")
    def metrics() -> Response | tuple[str, int]:
        if not _may_measure():
            return "There is nothing at this address.", 404
        with context.store.read_session() as session:
            found = measures(session)
        lines = [line for name, n in found.items() for line in _gauge(name, n)]
        return Response(
            "\n".join([*lines, *counts.lines()]) + "\n", content_type=TEXT_FORMAT
        )


def _may_measure() -> bool:
    """Programs on this machine that came through no proxy, and keys with the right."""
    here: SignedIn | None = g.get("signed_in")
    if here is not None:
        return may(here.account.role, Right.SEE_RUNNING)
    address = request.remote_addr
    is_direct = not request.environ.get(PROXIED)
    return is_direct and bool(address) and ip_address(str(address)).is_loopback


def _log_requests(server: Flask, counts: Counts) -> None:
    @server.before_request
    def begin() -> None:
        g.request_id = secrets.token_hex(6)
        g.began = time.perf_counter()

    @server.after_request
    def end(response: Response) -> Response:
        seconds = time.perf_counter() - g.get("began", time.perf_counter())
        route = request.url_rule.rule if request.url_rule else "none"
        counts.add(request.method, route, response.status_code, seconds)
        response.headers["X-Request-Id"] = g.get("request_id", "")
        is_denied = response.status_code in {401, 403, 429}
        events_log.tell(
            "denied" if is_denied else "answered",
            level=logging.WARNING if is_denied else logging.INFO,
            status=response.status_code,
            ms=round(1000 * seconds, 1),
        )
        return response


def _answer_errors(server: Flask) -> None:
    @server.errorhandler(MonitorError)
    def said_no(error: MonitorError) -> Response:
        for kind, status in STATUS_OF.items():
            if isinstance(error, kind):
                return Response(error.message, status=status, mimetype="text/plain")
        return failed(error)

    @server.errorhandler(HTTPException)
    def refused(error: HTTPException) -> Response:
        words = _WORDS.get(error.code or 500, "This can not be answered.")
        status = error.code or 500
        answer = Response(words, status=status, mimetype="text/plain")
        for name, value in error.get_headers():
            if name.casefold() in {"allow", "retry-after", "location"}:
                answer.headers[name] = value
        return answer

    server.register_error_handler(Exception, failed)


def failed(error: Exception) -> Response:
    """Write the error down and tell its number only."""
    number = g.get("request_id", "")
    is_tampered = g.get("took_kept", False) and isinstance(error, UNREADABLE)
    events_log.LOG.error(
        "callback unreadable" if is_tampered else "failed",
        exc_info=error,
        extra={"facts": events_log.of_request()},
    )
    if is_tampered:
        return Response(_WORDS[400], status=400, mimetype="text/plain")
    return door(
        "Something went wrong here",
        f"<p>It was written down under the number <strong>{number}</strong>.</p>",
        500,
    )


_WORDS = {
    400: "This is no request that these pages make.",
    404: "There is nothing at this address.",
    405: "This address does not take that.",
    413: "That is larger than this address takes.",
    415: "That is of a kind this address does not take.",
}


def _no_file(_error: Exception) -> tuple[str, int]:
    return _WORDS[404], 404


def _gauge(name: str, n: float) -> list[str]:
    return [f"# TYPE underprop_{name} gauge", f"underprop_{name} {n:g}"]


def _label(text: str) -> str:
    return text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
