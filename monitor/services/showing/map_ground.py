"""The ground beneath the map: a GeoJSON file of the user's, checked and kept.

Only WGS 84 is taken (RFC 7946). Of each feature its form stays, its name, and its kind:
water, green, square, building, street or district; other kinds are drawn plainly.
"""

import json
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from monitor.errors import InvalidInput

KEPT = "ground.geojson"
LARGEST_BYTES = 20_000_000
MOST_FEATURES = 50_000
MOST_CORNERS = 1_000_000

_FORMS = {
    "Point": 0,
    "MultiPoint": 1,
    "LineString": 1,
    "MultiLineString": 2,
    "Polygon": 2,
    "MultiPolygon": 3,
}
"""How deeply the corners of each form are nested."""


def ground_path(data_folder: Path, ground_file: str) -> Path | None:
    """The file that is drawn: the one kept here, else the one set; None for none."""
    kept = data_folder / KEPT
    if kept.is_file():
        return kept
    given = Path(ground_file).expanduser() if ground_file else None
    return given if given is not None and given.is_file() else None


def read_ground(path: Path) -> str:
    """The ground of a file, as GeoJSON that can be drawn.

    Raises
    ------
    InvalidInput : it can not be read, saying why
    """
    try:
        return checked_ground(path.read_bytes())
    except OSError as error:
        raise _refusal(f"{path.name} can not be read: {error.strerror}") from error


def keep_ground(data_folder: Path, content: bytes) -> int:
    """Check a file and keep it in the data folder; tells how many features it has.

    Raises
    ------
    InvalidInput : it can not be used; what was kept before stays
    """
    text = checked_ground(content)
    data_folder.mkdir(parents=True, exist_ok=True)
    fresh = data_folder / f"{KEPT}.new"
    fresh.write_text(text, encoding="utf-8")
    fresh.replace(data_folder / KEPT)
    return len(json.loads(text)["features"])


def checked_ground(content: bytes) -> str:
    """The same ground with nothing but what is drawn.

    Raises
    ------
    InvalidInput : it is no GeoJSON, too large, or not in WGS 84
    """
    if len(content) > LARGEST_BYTES:
        raise _refusal(
            f"it has {len(content) / 1e6:.0f} MB, more than the "
            f"{LARGEST_BYTES / 1e6:.0f} MB that are taken; leave out what the map does "
            "not need"
        )
    made = (_feature(raw) for raw in _raw_features(_parsed(content)))
    features = [one for one in made if one is not None]
    if not features:
        raise _refusal("it holds nothing that can be drawn")
    if sum(_corners(one["geometry"]) for one in features) > MOST_CORNERS:
        raise _refusal(f"it has more than {MOST_CORNERS:,} corners; simplify it")
    whole = {"type": "FeatureCollection", "features": features}
    return json.dumps(whole, separators=(",", ":"), ensure_ascii=False)


def _parsed(content: bytes) -> object:
    try:
        return json.loads(content.decode("utf-8-sig"))
    except (UnicodeDecodeError, ValueError, RecursionError):
        raise _refusal("it is not GeoJSON") from None


def _raw_features(data: object) -> list[object]:
    if not isinstance(data, dict):
        raise _refusal("it is not GeoJSON")
    if data.get("type") == "FeatureCollection":
        features = data.get("features")
        if not isinstance(features, list) or len(features) > MOST_FEATURES:
            raise _refusal(f"a list of at most {MOST_FEATURES:,} features is expected")
        return features
    return [data]


def _feature(raw: object) -> dict[str, Any] | None:
    """One feature, None for one without a form."""
    if not isinstance(raw, dict):
        raise _refusal("a feature can not be read")
    form = raw.get("geometry") if raw.get("type") == "Feature" else raw
    if form is None:
        return None
    if not isinstance(form, dict) or form.get("type") not in _FORMS:
        found = form.get("type") if isinstance(form, dict) else form
        raise _refusal(f"“{str(found)[:40]}” is no form that is drawn")
    places = _nested(form.get("coordinates"), _FORMS[form["type"]])
    said = raw.get("properties")
    said = said if isinstance(said, dict) else {}
    kept = {k: str(said[k])[:80] for k in ("kind", "name") if said.get(k) is not None}
    return {
        "type": "Feature",
        "properties": kept,
        "geometry": {"type": form["type"], "coordinates": places},
    }


def _nested(raw: object, depth: int) -> Any:  # noqa: ANN401 - nested to any depth
    if not isinstance(raw, list) or not raw:
        raise _refusal("corners can not be read")
    if depth:
        return [_nested(part, depth - 1) for part in raw]
    return _place(raw)


def _place(raw: list[object]) -> list[float]:
    pair = raw[:2]
    if len(pair) < 2 or any(
        isinstance(x, bool) or not isinstance(x, int | float) or not math.isfinite(x)
        for x in pair
    ):
        raise _refusal(f"{str(raw)[:40]} is no corner; longitude and latitude expected")
    longitude, latitude = (float(x) for x in pair)  # type: ignore[arg-type]  # checked
    if abs(longitude) > 180 or abs(latitude) > 90:
        raise _refusal(
            f"[{longitude:g}, {latitude:g}] is off the map; save it anew in degrees "
            "(WGS 84), longitude first"
        )
    return [round(longitude, 7), round(latitude, 7)]


def _corners(form: dict[str, Any]) -> int:
    return sum(1 for _ in _walk(form["coordinates"]))


def _walk(part: Any) -> Iterator[object]:  # noqa: ANN401 - nested to any depth
    if isinstance(part[0], float):
        yield part
        return
    for inner in part:
        yield from _walk(inner)


def _refusal(why: str) -> InvalidInput:
    return InvalidInput(
        f"The ground can not be used: {why}.", field="ground", code="map-001"
    )
