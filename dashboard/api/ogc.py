"""OGC API - Features, part 1, core and GeoJSON (OGC 17-069r4), read only, under /ogc.

One collection, the supports. Filters: box and time; the time of a support is from its
installation to its removal.
"""

import json
import math
from datetime import date, datetime
from typing import Any
from urllib.parse import urlencode

from flask import Blueprint, Response, request

from dashboard.api import problems
from dashboard.context import AppContext
from monitor.errors import InvalidInput, MonitorError, NotFound
from monitor.exchange.geojson import Point, box_of, feature
from monitor.services.exporting.chosen import Choice
from monitor.services.exporting.map_points import map_points

BASE = "/ogc"
NAME = "supports"
GEOJSON = "application/geo+json"
WGS84 = "http://www.opengis.net/def/crs/OGC/1.3/CRS84"
MOST = 1000
CONFORMS = (
    "http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/core",
    "http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/geojson",
)


def ogc_blueprint(context: AppContext) -> Blueprint:
    """The addresses of the service."""
    ogc = Blueprint("ogc", __name__, url_prefix=BASE)
    ogc.register_error_handler(MonitorError, problems.problem_of)

    _add_head(ogc)
    _add_features(ogc, context)
    return ogc


def _add_head(ogc: Blueprint) -> None:
    @ogc.get("/")
    def landing() -> Response:
        links = [
            _link("/", "self"),
            _link("/conformance", "conformance"),
            _link("/collections", "data"),
            {
                **_link(
                    "/", "service-desc", "application/vnd.oai.openapi+json;version=3.1"
                ),
                "href": f"{request.host_url}api/v1/openapi.json",
            },
        ]
        return _json({"title": "Underprop", "links": links})

    @ogc.get("/conformance")
    def conformance() -> Response:
        return _json({"conformsTo": list(CONFORMS)})


def _add_features(ogc: Blueprint, context: AppContext) -> None:
    def points() -> list[Point]:
        with context.store.read_session() as session:
            return map_points(session, Choice())

    @ogc.get("/collections")
    def collections() -> Response:
        said = _collection(points())
        return _json({"collections": [said], "links": [_link("/collections", "self")]})

    @ogc.get("/collections/<name>")
    def collection(name: str) -> Response:
        _require(name)
        return _json(_collection(points()))

    @ogc.get("/collections/<name>/items")
    def items(name: str) -> Response:
        _require(name)
        _refuse_strange()
        return _items([p for p in points() if _in_box(p) and _in_time(p)])

    @ogc.get("/collections/<name>/items/<key>")
    def item(name: str, key: str) -> Response:
        _require(name)
        found = next((point for point in points() if point.key == key), None)
        if found is None:
            raise NotFound("support", key[:80])
        links = [_link(f"/collections/{NAME}", "collection")]
        return _json({**feature(found), "links": links}, GEOJSON)

    @ogc.get("/<path:rest>")
    def nowhere(rest: str) -> Response:
        return problems.problem(404, f"There is nothing at “/ogc/{rest[:200]}”.")


def _items(found: list[Point]) -> Response:
    limit, offset = _whole("limit", 100, 1), _whole("offset", 0, 0)
    limit = min(limit, MOST)
    some = found[offset : offset + limit]
    links = [_link(_again(offset), "self", GEOJSON)]
    if offset + limit < len(found):
        links.append(_link(_again(offset + limit), "next", GEOJSON))
    said = {
        "type": "FeatureCollection",
        "features": [feature(point) for point in some],
        "numberMatched": len(found),
        "numberReturned": len(some),
        "links": links,
    }
    return _json(said, GEOJSON)


def _again(offset: int) -> str:
    asked = {**request.args.to_dict(), "offset": str(offset)}
    return f"/collections/{NAME}/items?{urlencode(asked)}"


def _collection(found: list[Point]) -> dict[str, Any]:
    days = [str(point.said["installed_on"]) for point in found]
    begin = f"{min(days)}T00:00:00Z" if days else None
    box = box_of(found)
    extent: dict[str, Any] = {"temporal": {"interval": [[begin, None]]}}
    if box:
        extent["spatial"] = {"bbox": [box], "crs": WGS84}
    return {
        "id": NAME,
        "title": "Tree supports",
        "description": "Where they are, how they stand and what is owed. "
        + (str(found[0].said["caution"]) if found else ""),
        "extent": extent,
        "itemType": "feature",
        "crs": [WGS84],
        "links": [
            _link(f"/collections/{NAME}", "self"),
            _link(f"/collections/{NAME}/items", "items", GEOJSON),
        ],
    }


def _in_box(point: Point) -> bool:
    """Whether the point is in the box asked for; one over the date line may wrap."""
    text = request.args.get("bbox", "")
    if not text:
        return True
    try:
        numbers = [float(part) for part in text.split(",")]
    except ValueError:
        numbers = []
    if len(numbers) == 6:
        numbers = [*numbers[:2], *numbers[3:5]]
    if len(numbers) != 4 or not all(map(math.isfinite, numbers)):
        raise _wrong("bbox", "four or six numbers: west,south,east,north")
    west, south, east, north = numbers
    if south > north:
        raise _wrong("bbox", "a south that is not north of its north")
    place = point.place
    if place is None or not south <= place[1] <= north:
        return False
    inside = west <= place[0] <= east
    return inside if west <= east else place[0] >= west or place[0] <= east


def _in_time(point: Point) -> bool:
    """Whether the support stood at the instant, or in the interval, asked for."""
    text = request.args.get("datetime", "")
    if not text:
        return True
    first, slash, last = text.partition("/")
    begin = _day(first)
    end = _day(last) if slash else begin
    if begin is not None and end is not None and begin > end:
        raise _wrong("datetime", "a beginning before the end")
    since = date.fromisoformat(str(point.said["installed_on"]))
    until = point.said["removed_on"]
    is_after = bool(until and begin) and str(until) < str(begin)
    return not is_after and (end is None or since <= end)


def _day(text: str) -> date | None:
    if text in {"", ".."}:
        return None
    try:
        return datetime.fromisoformat(text).date()
    except ValueError:
        raise _wrong("datetime", "an instant, or two with a slash between") from None


def _whole(name: str, usual: int, least: int) -> int:
    text = request.args.get(name, str(usual))
    if not (text.isascii() and text.isdecimal() and len(text) <= 9):
        raise _wrong(name, "a whole number")
    if int(text) < least:
        raise _wrong(name, f"a whole number from {least}")
    return int(text)


def _refuse_strange() -> None:
    known = ("limit", "offset", "bbox", "datetime", "f")
    strange = next((name for name in request.args if name not in known), None)
    if strange is not None:
        raise _wrong(strange[:80], f"one of {', '.join(known)}")


def _require(name: str) -> None:
    if name != NAME:
        raise NotFound("collection", name[:80])


def _wrong(field: str, expected: str) -> InvalidInput:
    return InvalidInput(f"“{field}”: expected {expected}.", field=field, code="api-002")


def _link(path: str, rel: str, kind: str = "application/json") -> dict[str, str]:
    return {
        "href": f"{request.host_url.rstrip('/')}{BASE}{path}",
        "rel": rel,
        "type": kind,
    }


def _json(said: object, kind: str = "application/json") -> Response:
    text = json.dumps(said, ensure_ascii=False, allow_nan=False)
    return Response(text, content_type=kind)
