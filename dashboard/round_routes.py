"""What the pages of rounds send: agreeing, taking back, the table of ways."""

from html import escape
from uuid import UUID

from flask import Flask, redirect, request
from werkzeug.wrappers import Response as AnyResponse

from dashboard.access import signed_in
from dashboard.context import AppContext
from dashboard.entry.door import door
from dashboard.pages import rounds
from dashboard.routing import query_of
from monitor.clock import local_date
from monitor.domain.rights import Right
from monitor.errors import Conflict, InvalidInput, MonitorError, NotAllowed
from monitor.exchange.tables import ReadOptions, sheet_of
from monitor.services.planning.agreed import take_back
from monitor.services.planning.agreeing import agree, mark_of
from monitor.services.planning.rounds import plan_of
from monitor.services.planning.travel_table import drop_table, keep_table

LARGEST_MB = 5
_FRAME_BYTES = 10_000
"""What a form says around the file it sends."""


def add_routes(server: Flask, context: AppContext) -> None:
    """Plain forms: they work without scripts and want no callback."""
    _add_agreeing(server, context)
    _add_travel(server, context)


def _add_agreeing(server: Flask, context: AppContext) -> None:
    @server.post("/rounds/agree")
    def agree_rounds() -> AnyResponse:
        search = request.form.get("search", "")
        try:
            _require_right()
            _agree(context, search, request.form.get("mark", ""))
        except MonitorError as error:
            return _no("The rounds were not agreed", error, f"/rounds?{search}")
        return redirect("/rounds", 303)

    @server.post("/rounds/<uuid:key>/take-back")
    def take_round_back(key: UUID) -> AnyResponse:
        reason, now = request.form.get("reason", ""), context.clock.now()
        try:
            _require_right()
            actor = signed_in().account.name
            with context.store.write_session() as session:
                take_back(session, key, reason=reason, actor=actor, now=now)
        except MonitorError as error:
            return _no("The round was not taken back", error, f"/rounds/{key}")
        return redirect(f"/rounds/{key}", 303)


def _add_travel(server: Flask, context: AppContext) -> None:
    @server.post("/rounds/travel")
    def keep_ways() -> AnyResponse:
        request.max_content_length = LARGEST_MB * 1_000_000 + _FRAME_BYTES
        try:
            _require_right()
            sent = request.files.get("table")
            body = sent.read() if sent else b""
            if sent is None or not body:
                raise InvalidInput("Choose a CSV or XLSX file first.", field="table")
            name = sent.filename or "file"
            sheet = sheet_of(name, body, ReadOptions(limit_mb=LARGEST_MB))
            actor, now = signed_in().account.name, context.clock.now()
            with context.store.write_session() as session:
                keep_table(session, sheet, actor=actor, now=now)
        except MonitorError as error:
            return _no("The table was not kept", error, "/rounds")
        return redirect("/rounds", 303)

    @server.post("/rounds/travel/drop")
    def drop_ways() -> AnyResponse:
        try:
            _require_right()
            actor, now = signed_in().account.name, context.clock.now()
            with context.store.write_session() as session:
                drop_table(session, actor=actor, now=now)
        except MonitorError as error:
            return _no("Nothing was changed", error, "/rounds")
        return redirect("/rounds", 303)


def _agree(context: AppContext, search: str, mark: str) -> None:
    """Plan once more outside of any change, and keep it if it is what was shown."""
    now = context.clock.now()
    today = local_date(now, context.settings.timezone)
    asked = query_of(search, rounds.QUERY)
    if not asked.get("people"):
        raise InvalidInput("Plan rounds first.", field="people", code="rnd-015")
    with context.store.read_session() as session:
        made = plan_of(session, rounds.wish_of(asked), today=today)
    if mark_of(made) != mark:
        raise Conflict(
            "What is owed, or what is agreed, has changed since this was shown. "
            "Nothing was kept; look at the plan anew.",
            code="rnd-014",
        )
    actor = signed_in().account.name
    with context.store.write_session() as session:
        agree(session, made, today=today, actor=actor, now=now)


def _require_right() -> None:
    if not signed_in().may(Right.PLAN):
        raise NotAllowed("This account looks at rounds and does not plan them.")


def _no(title: str, error: MonitorError, back: str) -> AnyResponse:
    status = 403 if isinstance(error, NotAllowed) else 422
    words = f"<p>{escape(error.message)}</p><p><a href='{escape(back)}'>Back</a></p>"
    return door(title, words, status)
