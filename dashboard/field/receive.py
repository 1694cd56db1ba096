"""Taking in what devices send: photographs in pieces, then the form they belong to."""

from collections.abc import Callable
from dataclasses import asdict
from datetime import datetime
from http import HTTPStatus

from flask import Blueprint, Response, request

from dashboard.access import signed_in
from dashboard.context import AppContext
from dashboard.field.answer import as_json
from monitor.errors import Conflict, InvalidInput, NotAllowed
from monitor.services.field import submission as field_submission
from monitor.services.field.answers import (
    Answer,
    MissingPhotos,
    Question,
    Receipt,
    receipt_of,
)
from monitor.services.field.body import LARGEST_BODY, submission_from
from monitor.services.field.form import Submission
from monitor.services.field.outlines import with_measures
from monitor.services.recording.checks import Stamp
from monitor.services.recording.photos import (
    LARGEST_PIECE,
    Piece,
    arrival_of,
    take_piece,
)
from monitor.store import Session
from monitor.store.photos import PhotoFiles

UseCase = Callable[[Session, Submission, PhotoFiles, Stamp], Answer]


def add_routes(field: Blueprint, context: AppContext) -> None:
    """Addresses that devices send to."""
    files = PhotoFiles(context.settings.photo_folder)

    @field.get("/api/photos/<sha256>")
    def have_photo(sha256: str) -> Response:
        return as_json(asdict(arrival_of(files, sha256)))

    @field.put("/api/photos/<sha256>")
    def put_photo(sha256: str) -> Response:
        _require_may_record()
        piece = Piece(sha256, _number("from"), _number("of"), _body(LARGEST_PIECE))
        most = context.settings.upload_mb * 1_000_000
        return as_json(asdict(take_piece(files, piece, most_bytes=most)))

    @field.post("/api/inspections")
    def inspections() -> Response:
        now = context.clock.now()
        answer = _take(context, files, field_submission.submit, now)
        if isinstance(answer, Receipt):
            with context.store.write_session() as session:
                field_submission.assess_received(session, answer, now=now)
        return _as_response(answer)

    @field.post("/api/set-aside")
    def set_aside() -> Response:
        now = context.clock.now()
        return _as_response(_take(context, files, field_submission.set_aside, now))


def _take(
    context: AppContext, files: PhotoFiles, use: UseCase, now: datetime
) -> Answer:
    _require_may_record()
    device_time = request.headers.get("X-Device-Time", "")
    submission = submission_from(_body(LARGEST_BODY), device_time)
    submission = with_measures(submission, files)
    stamp = Stamp(signed_in().account.name, now)
    try:
        with context.store.write_session() as session:
            return use(session, submission, files, stamp)
    except Conflict:
        # Perhaps another request recorded the same form at this very moment.
        with context.store.read_session() as session:
            receipt = receipt_of(session, submission.id)
        if receipt is None or receipt.body_sha256 != submission.body_sha256:
            raise
        return receipt


def _as_response(answer: Answer) -> Response:
    if isinstance(answer, MissingPhotos):
        return as_json({"missing": answer.sha256s}, HTTPStatus.CONFLICT)
    if isinstance(answer, Question):
        status = HTTPStatus.UNPROCESSABLE_ENTITY
        return as_json({"question": asdict(answer)}, status)
    return as_json({"receipt": asdict(answer)})


def _require_may_record() -> None:
    if not signed_in().may_record:
        raise NotAllowed("This account reads the record and does not add to it.")


def _body(most_bytes: int) -> bytes:
    if (request.content_length or 0) > most_bytes:
        raise InvalidInput(
            f"{request.content_length} bytes were sent, up to {most_bytes} are taken.",
            field="body",
        )
    return request.get_data(cache=False)


def _number(name: str) -> int:
    text = request.args.get(name, "")
    if not text.isdecimal() or len(text) > 12:
        raise InvalidInput(f"“{name}” is to be a number of bytes.", field=name)
    return int(text)
