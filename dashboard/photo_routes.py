"""Photographs to look at: small copies for who is signed in, originals by right."""

import math
from http import HTTPStatus
from uuid import UUID

from flask import Flask, Response, request

from dashboard.access import signed_in
from dashboard.context import AppContext
from monitor.errors import InvalidInput, MonitorError, NotAllowed, NotFound
from monitor.photogrammetry.flatten import Patch
from monitor.services.showing.photos import (
    around,
    copy_of,
    flat_picture,
    measure_of,
    original_of,
)
from monitor.store import Session
from monitor.store.photos import PhotoFiles

LARGEST_HALF_MM = 250


def add_routes(server: Flask, context: AppContext) -> None:
    """Addresses of pictures; all of them lie behind the gate."""
    files = PhotoFiles(context.settings.photo_folder)

    @server.get("/pictures/<uuid:key>/<size>")
    def picture(key: UUID, size: str) -> Response:
        try:
            if size == "original":
                return _original(key)
            with context.store.read_session() as session:
                return _jpeg(copy_of(session, files, key, size))
        except MonitorError as error:
            return _no(error)

    @server.get("/pictures/flat/<uuid:key>")
    def flat(key: UUID) -> Response:
        try:
            with context.store.read_session() as session:
                patch = patch_asked(session, key)
                return _jpeg(flat_picture(session, files, key, patch))
        except MonitorError as error:
            return _no(error)

    def _original(key: UUID) -> Response:
        if not signed_in().may_record:
            raise NotAllowed(
                "The original may say where and by whom it was taken; this account "
                "sees the copy without that."
            )
        with context.store.read_session() as session:
            body, media_type = original_of(session, files, key)
        answer = Response(body, content_type=media_type)
        answer.headers["Content-Disposition"] = f'attachment; filename="{key}"'
        return answer


def patch_asked(session: Session, key: UUID) -> Patch | None:
    """The part of the plane that is wanted; None for the usual one."""
    wanted = request.args.get("half", "")
    if not wanted:
        return None
    try:
        across, down = (float(part) for part in wanted.split("x"))
    except ValueError:
        across = down = math.nan
    if not (1 <= across <= LARGEST_HALF_MM and 1 <= down <= LARGEST_HALF_MM):
        raise InvalidInput(
            f"“{wanted[:20]}” is no half width and height up to {LARGEST_HALF_MM} mm.",
            field="half",
        )
    measure = measure_of(session, key)
    return around(measure, (across, down), shift=request.args.get("by") != "sheet")


def _jpeg(body: bytes) -> Response:
    return Response(body, content_type="image/jpeg")


def _no(error: MonitorError) -> Response:
    status = HTTPStatus.INTERNAL_SERVER_ERROR
    if isinstance(error, NotFound):
        status = HTTPStatus.NOT_FOUND
    elif isinstance(error, NotAllowed):
        status = HTTPStatus.FORBIDDEN
    elif isinstance(error, InvalidInput):
        status = HTTPStatus.UNPROCESSABLE_ENTITY
    return Response(error.message, status=status, content_type="text/plain")
