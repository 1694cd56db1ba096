"""Taking a file from a form, whole, whatever its size up to the limit."""

from html import escape

from flask import Flask, redirect, request
from werkzeug.wrappers import Response as AnyResponse

from dashboard.access import signed_in
from dashboard.context import AppContext
from dashboard.entry.door import door
from dashboard.viewers import whole_of
from monitor.domain.rights import Right
from monitor.errors import InvalidInput, MonitorError, NotAllowed
from monitor.exchange.tables import ReadOptions, sheet_of
from monitor.services.importing import desk as desks
from monitor.services.importing.work import Bench

_FRAME_BYTES = 10_000
"""What a form says around the file it sends."""


def add_routes(server: Flask, context: AppContext) -> None:
    """The address that the form sends a file to."""
    settings = context.settings

    @server.post("/imports/file")
    def bring() -> AnyResponse:
        most = settings.upload_mb * 1_000_000
        request.max_content_length = most + _FRAME_BYTES
        try:
            require_right()
            sent = request.files.get("file")
            body = sent.read() if sent else b""
            if sent is None or not body:
                raise InvalidInput("Choose a CSV or XLSX file first.", field="file")
            name = sent.filename or "file"
            sheet_of(name, body, ReadOptions(limit_mb=settings.upload_mb))
            owner = signed_in().account.id
            now = context.clock.now()
            desk = desks.bring(
                settings.data_folder, name, body, owner_id=owner, now=now
            )
        except MonitorError as error:
            back = "<p><a href='/imports'>Choose another file</a></p>"
            words = f"<p>{escape(error.message)}</p>{back}"
            return door("The file was not taken", words, 422)
        return redirect(f"/imports?file={desk.id}")


def bench_of(context: AppContext) -> Bench:
    """Where the files of who asks are worked on, also after the answer."""
    here = signed_in()
    return Bench(
        data_folder=context.settings.data_folder,
        store=whole_of(context.store).within(here.reach),
        clock=context.clock,
        actor=here.account.name,
        limit_mb=context.settings.upload_mb,
        timezone=context.settings.timezone,
    )


def require_right() -> None:
    """Stop who may not take lists in.

    Raises
    ------
    NotAllowed : the account lacks a right that every kind of file needs
    """
    here = signed_in()
    if not (here.may(Right.KEEP_REGISTER) and here.may(Right.RECORD)):
        raise NotAllowed("This account takes no files in.", code="acc-004")
