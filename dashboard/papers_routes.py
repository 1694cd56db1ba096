"""Asking for a paper, and fetching it: addresses behind the gate."""

from datetime import date
from typing import TypeVar
from urllib.parse import urlencode

from flask import Flask, Response, redirect, request
from werkzeug.wrappers import Response as AnyResponse

from dashboard.access import signed_in
from dashboard.context import AppContext
from dashboard.viewers import whole_of
from monitor.errors import InvalidInput, MonitorError, NotFound
from monitor.reports.blocks import Size
from monitor.services.papers.desk import PaperDesk
from monitor.services.papers.issued import sha256_of
from monitor.services.papers.make import House
from monitor.services.papers.moment import Moment, end_of
from monitor.services.papers.wish import (
    PaperKind,
    PaperWish,
    Scope,
    check_wish,
    chosen,
)
from monitor.store.photos import PhotoFiles

_FRAME_BYTES = 10_000
"""What a form says around the file it sends."""

W = TypeVar("W", PaperKind, Scope, Size)


def desk_of(context: AppContext) -> PaperDesk:
    """The desk of this installation; what it knows lies on the disk."""
    return PaperDesk(context.settings.data_folder / "papers", context.clock)


def add_routes(server: Flask, context: AppContext) -> None:
    """One address takes the wish, one gives the PDF, one takes a file to look at."""
    desk = desk_of(context)

    @server.post("/papers/make")
    def ask_paper() -> AnyResponse:
        try:
            key = _asked(context, desk)
        except MonitorError as error:
            said = {name: request.form.get(name, "") for name in _FIELDS}
            asked = {"no": error.message} | {k: v for k, v in said.items() if v}
            return redirect(f"/papers?{urlencode(asked)}", 303)
        return redirect(f"/papers?made={key}", 303)

    @server.post("/papers/check")
    def check_paper() -> AnyResponse:
        most = context.settings.upload_mb * 1_000_000
        request.max_content_length = most + _FRAME_BYTES
        file = request.files.get("paper")
        body = file.read() if file else b""
        no = {"no": "Choose the file first."}
        said = {"paper": sha256_of(body)} if body else no
        return redirect(f"/papers?{urlencode(said)}", 303)

    @server.get("/papers/file/<key>")
    def paper_file(key: str) -> Response:
        try:
            name, pdf = desk.pdf(key, signed_in().account.name)
        except NotFound as error:
            return Response(error.message, status=404, content_type="text/plain")
        answer = Response(pdf, content_type="application/pdf")
        answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
        return answer


_FIELDS = ("kind", "scope", "name", "size", "known_on", "looked_on")


def _asked(context: AppContext, desk: PaperDesk) -> str:
    """Refuse at once what can be refused; the rest takes its time."""
    wish, viewer = wish_of(request.form), signed_in()
    check_wish(wish)
    now = context.clock.now()
    moment = end_of(wish.known_on, now=now) if wish.known_on else Moment(now)
    if wish.kind is not PaperKind.YEAR_PLAN:
        with context.store.read_session() as session:
            chosen(session, wish, moment)
    whole = whole_of(context.store)
    settings = context.settings
    house = House(
        whole.within(viewer.reach),  # the thread has no request to ask who is looking
        whole,
        PhotoFiles(settings.photo_folder),
        settings.pages_url,
    )
    return desk.ask(house, wish, asked_by=viewer.account.name)


def wish_of(given: dict[str, str]) -> PaperWish:
    """The wish that a form says.

    Raises
    ------
    InvalidInput : a part that can not be read
    """
    return PaperWish(
        _one_of(PaperKind, given.get("kind", ""), "kind"),
        _one_of(Scope, given.get("scope", ""), "scope"),
        given.get("name", "").strip()[:400],
        _one_of(Size, given.get("size", "") or Size.A4.value, "size"),
        _day(given.get("known_on", ""), "known_on"),
        _day(given.get("looked_on", ""), "looked_on"),
    )


def _one_of(words: type[W], text: str, field: str) -> W:
    try:
        return words(text)
    except ValueError:
        known = ", ".join(word.value for word in words)
        raise InvalidInput(f"“{text[:40]}” is none of {known}.", field=field) from None


def _day(text: str, field: str) -> date | None:
    try:
        return date.fromisoformat(text.strip()) if text.strip() else None
    except ValueError:
        raise InvalidInput(
            f"“{text[:20]}” is no day; expected YYYY-MM-DD.", field=field
        ) from None
