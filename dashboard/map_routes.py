"""The ground beneath the map: given to the map, and taken from who may set it."""

from html import escape
from urllib.parse import urlsplit

from flask import Flask, Response, redirect, request
from werkzeug.wrappers import Response as AnyResponse

from dashboard.access import signed_in
from dashboard.context import AppContext
from dashboard.entry.door import door
from monitor.domain.rights import Right
from monitor.errors import InvalidInput, MonitorError, NotAllowed
from monitor.services.showing.map_ground import (
    LARGEST_BYTES,
    ground_path,
    keep_ground,
    read_ground,
)

GROUND_URL = "/map/ground.geojson"
_FRAME_BYTES = 10_000
"""What a form says around the file it sends."""


def add_routes(server: Flask, context: AppContext) -> None:
    """Two addresses, and the host of the tiles in what browsers may ask."""
    settings = context.settings

    @server.get(GROUND_URL)
    def ground() -> Response:
        path = ground_path(settings.data_folder, settings.ground_file)
        if path is None:
            return Response("No ground is set.", 404, mimetype="text/plain")
        return Response(read_ground(path), mimetype="application/geo+json")

    @server.post("/map/ground")
    def take() -> AnyResponse:
        request.max_content_length = LARGEST_BYTES + _FRAME_BYTES
        try:
            _require_right()
            sent = request.files.get("ground")
            body = sent.read() if sent else b""
            if not body:
                raise InvalidInput("Choose a GeoJSON file first.", field="ground")
            keep_ground(settings.data_folder, body)
        except MonitorError as error:
            return door("The ground was not taken", _sorry(error), 422)
        return redirect("/map")

    _let_tiles_in(server, tile_host(settings.tile_address))


def tile_host(address: str) -> str:
    """Scheme and host of the tiles, empty without.

    Examples
    --------
    >>> tile_host("https://tiles.example/{z}/{x}/{y}.png")
    'https://tiles.example'
    """
    parts = urlsplit(address)
    return f"{parts.scheme}://{parts.netloc}" if parts.netloc else ""


def may_set_ground() -> bool:
    """Whether who asks may change what everybody's map lies on."""
    return signed_in().may(Right.SET_POLICY)


def _require_right() -> None:
    if not may_set_ground():
        raise NotAllowed("This account does not set the ground.", code="acc-004")


def _sorry(error: MonitorError) -> str:
    return f"<p>{escape(error.message)}</p><p><a href='/map'>Back to the map</a></p>"


def _let_tiles_in(server: Flask, host: str) -> None:
    """Allow the one host that somebody set; without one nothing is added."""

    @server.after_request
    def after(response: Response) -> Response:
        policy = response.headers.get("Content-Security-Policy", "")
        if host and policy:
            for part in ("img-src 'self'", "connect-src 'self'"):
                policy = policy.replace(part, f"{part} {host}")
            response.headers["Content-Security-Policy"] = policy
        return response
