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
from monitor.exchange.geojson import DECIMALS, Point, feature
from monitor.mechanics.screening import CAUTION
from monitor.services.exporting.map_points import map_page
from monitor.store.map_features import Box, Extent, FeatureWish, extent_of

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
    _add_collections(ogc, context)
    _add_items(ogc, context)
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


def _add_collections(ogc: Blueprint, context: AppContext) -> None:
    def extent() -> Extent:
        with context.store.read_session() as session:
            return extent_of(session)

    @ogc.get("/collections")
    def collections() -> Response:
        said = _collection(extent())
        return _json({"collections": [said], "links": [_link("/collections", "self")]})

    @ogc.get("/collections/<name>")
    def collection(name: str) -> Response:
        _require(name)
        return _json(_collection(extent()))


def _add_items(ogc: Blueprint, context: AppContext) -> None:
    def page(wish: FeatureWish) -> tuple[int, list[Point]]:
        with context.store.read_session() as session:
            return map_page(session, wish)

    @ogc.get("/collections/<name>/items")
    def items(name: str) -> Response:
        _require(name)
        _refuse_strange()
        wish = _wish()
        return _items(wish, *page(wish))

    @ogc.get("/collections/<name>/items/<key>")
    def item(name: str, key: str) -> Response:
        _require(name)
        _, found = page(FeatureWish(code=key))
        if not found:
            raise NotFound("support", key[:80])
        links = [_link(f"/collections/{NAME}", "collection")]
        return _json({**feature(found[0]), "links": links}, GEOJSON)

    @ogc.get("/<path:rest>")
    def nowhere(rest: str) -> Response:
        return problems.problem(404, f"There is nothing at “/ogc/{rest[:200]}”.")


def _wish() -> FeatureWish:
    begin, end = _time()
    limit = min(_whole("limit", 100, 1), MOST)
    return FeatureWish(_box(), begin, end, "", limit, _whole("offset", 0, 0))


def _items(wish: FeatureWish, many: int, found: list[Point]) -> Response:
    links = [_link(_again(wish.offset), "self", GEOJSON)]
    if wish.offset + wish.limit < many:
        links.append(_link(_again(wish.offset + wish.limit), "next", GEOJSON))
    said = {
        "type": "FeatureCollection",
        "features": [feature(point) for point in found],
        "numberMatched": many,
        "numberReturned": len(found),
        "links": links,
    }
    return _json(said, GEOJSON)


def _again(offset: int) -> str:
    asked = {**request.args.to_dict(), "offset": str(offset)}
    return f"/collections/{NAME}/items?{urlencode(asked)}"


def _collection(found: Extent) -> dict[str, Any]:
    begin = f"{found.begins_on.isoformat()}T00:00:00Z" if found.begins_on else None
    extent: dict[str, Any] = {"temporal": {"interval": [[begin, None]]}}
    if found.box:
        box = [round(edge, DECIMALS) for edge in found.box]
        extent["spatial"] = {"bbox": [box], "crs": WGS84}
    return {
        "id": NAME,
        "title": "Tree supports",
        "description": f"Where they are, how they stand and what is owed. {CAUTION}",
        "extent": extent,
        "itemType": "feature",
        "crs": [WGS84],
        "links": [
            _link(f"/collections/{NAME}", "self"),
            _link(f"/collections/{NAME}/items", "items", GEOJSON),
        ],
    }


def _box() -> Box | None:
    """The box asked for; one over the date line has a west beyond its east."""
    text = request.args.get("bbox", "")
    if not text:
        return None
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
    return west, south, east, north


def _time() -> tuple[date | None, date | None]:
    """The instant, or the interval, asked for."""
    first, slash, last = request.args.get("datetime", "").partition("/")
    begin = _day(first)
    end = _day(last) if slash else begin
    if begin is not None and end is not None and begin > end:
        raise _wrong("datetime", "a beginning before the end")
    return begin, end


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
