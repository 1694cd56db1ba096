"""Adding photographs to a support at the desk: a plain form, whatever the size."""

import hashlib
from datetime import date
from html import escape

from flask import Flask, Response, redirect, request
from werkzeug.wrappers import Response as AnyResponse

from dashboard.access import signed_in
from dashboard.context import AppContext
from monitor.errors import InvalidInput, MonitorError, NotAllowed
from monitor.exchange.pictures import facts_of
from monitor.services.recording.desk_photos import NewPhoto, add_photo, looks_of
from monitor.services.recording.photos import LARGEST_PIECE, Piece, take_piece
from monitor.store.photos import PhotoFiles


def add_routes(server: Flask, context: AppContext) -> None:
    """One address: the form, and what it sends."""

    @server.route("/pictures/add/<code>", methods=["GET", "POST"])
    def add(code: str) -> AnyResponse:
        try:
            if not signed_in().may_record:
                raise NotAllowed("This account reads the record and does not add.")
            if request.method == "GET":
                return _form(context, code, "")
            key = _added(context, code)
        except MonitorError as error:
            return _form(context, code, error.message)
        return redirect(f"/supports/{code}/photos?photo={key}")


def _added(context: AppContext, code: str) -> str:
    sent = request.files.get("photo")
    body = sent.read() if sent else b""
    if not body:
        raise InvalidInput("Choose a photograph first.", field="photo")
    facts_of(body)
    files = PhotoFiles(context.settings.photo_folder)
    sha256 = hashlib.sha256(body).hexdigest()
    most = context.settings.upload_mb * 1_000_000
    for start in range(0, len(body), LARGEST_PIECE):
        piece = Piece(sha256, start, len(body), body[start : start + LARGEST_PIECE])
        take_piece(files, piece, most_bytes=most)
    new = NewPhoto(
        sha256,
        request.form.get("caption", ""),
        request.form.get("look", ""),
        _day(request.form.get("taken_on", "")),
    )
    stamp = signed_in().account.name, context.clock.now()
    with context.store.write_session() as session:
        return str(add_photo(session, files, code, new, by=stamp).id)


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        raise InvalidInput(f"“{text[:20]}” is no day.", field="taken_on") from None


def _form(context: AppContext, code: str, trouble: str) -> Response:
    with context.store.read_session() as session:
        looks = looks_of(session, code) if not trouble or code else ()
    options = "".join(
        f'<option value="{key}">{escape(words)}</option>' for key, words in looks
    )
    alert = f'<p class="refusal" role="alert">{escape(trouble)}</p>' if trouble else ""
    status = 422 if trouble else 200
    return Response(
        f"""<!DOCTYPE html>
<html lang="en-GB"><head><meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>Add a photograph · Underprop</title>
<link rel="stylesheet" href="/assets/underprop.css"></head>
<body><div class="book"><main>
<h1>Add a photograph to {escape(code)}</h1>{alert}
<form method="post" enctype="multipart/form-data">
<div class="field"><label for="photo">Photograph: JPEG, PNG, WebP or HEIC, up to
{context.settings.upload_mb} MB</label>
<input type="file" id="photo" name="photo" accept="image/*,.heic"></div>
<div class="field"><label for="look">Of which look</label>
<select id="look" name="look"><option value="">of none</option>{options}</select></div>
<div class="field"><label for="taken_on">Day, if it is of no look</label>
<input type="date" id="taken_on" name="taken_on"></div>
<div class="field"><label for="caption">What it shows</label>
<input type="text" id="caption" name="caption" autocomplete="off"></div>
<button type="submit">Add it</button>
</form>
<p><a href="/supports/{escape(code)}/photos">Back to the photographs</a></p>
</main></div></body></html>""",
        status=status,
    )
