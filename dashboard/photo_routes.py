"""Photographs to look at: small copies for who is signed in, originals by right."""

from http import HTTPStatus
from uuid import UUID

from flask import Flask, Response

from dashboard.access import signed_in
from dashboard.context import AppContext
from monitor.errors import InvalidInput, MonitorError, NotAllowed, NotFound
from monitor.services.showing.photos import copy_of, flat_picture, original_of
from monitor.store.photos import PhotoFiles


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
                return _jpeg(flat_picture(session, files, key))
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
