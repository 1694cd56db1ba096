"""Colours of the map by day and by night, and the ground in them.

The map is painted on a canvas, where no style sheet reaches it; so it is given both.
The style names no other host: no glyphs, no sprites, and tiles only if they are set.
"""

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class MapInk:
    """One set of colours."""

    paper: str
    ink: str
    muted: str
    street: str
    water: str
    green: str
    square: str
    bark: str
    rust: str


DAY = MapInk(
    paper="#fbf8f1", ink="#1e2721", muted="#535d56", street="#e2dac8",
    water="#e3e7e4", green="#edefe0", square="#f3ecdb", bark="#7a4526",
    rust="#943e1a",
)  # fmt: skip
NIGHT = MapInk(
    paper="#171c19", ink="#ece7da", muted="#a7afa6", street="#333b36",
    water="#1d2628", green="#1f281f", square="#262a22", bark="#e0a27c",
    rust="#f0a07a",
)  # fmt: skip

GROUND, TILES = "ground", "tiles"


def map_style(ink: MapInk, *, ground_url: str, tile_url: str) -> dict[str, Any]:
    """What lies beneath the supports; empty addresses leave it out."""
    sources: dict[str, Any] = {}
    layers: list[dict[str, Any]] = [
        {
            "id": "paper",
            "type": "background",
            "paint": {"background-color": ink.paper},
        }
    ]
    if tile_url:
        sources[TILES] = {"type": "raster", "tiles": [tile_url], "tileSize": 256}
        layers.append({"id": TILES, "type": "raster", "source": TILES,
                       "paint": {"raster-opacity": 0.55}})  # fmt: skip
    if ground_url:
        sources[GROUND] = {"type": "geojson", "data": ground_url}
        layers += _ground(ink)
    return {"version": 8, "sources": sources, "layers": layers}


def _ground(ink: MapInk) -> list[dict[str, Any]]:
    by_kind = ["match", ["get", "kind"], "water", ink.water, "green", ink.green,
               ink.square]  # fmt: skip
    wide = ["interpolate", ["exponential", 1.6], ["zoom"], 12, 1, 15, 4, 18, 22]
    return [
        {**_layer("areas", "fill", "Polygon"), "paint": {"fill-color": by_kind}},
        {
            **_layer("lines", "line", "LineString"),
            "layout": {"line-cap": "round", "line-join": "round"},
            "paint": {"line-color": ink.street, "line-width": wide},
        },
        _names("street", ink, (14.5, 24.0), placement="line"),
        _names("square", ink, (15.5, 24.0), placement="point"),
        _names("green", ink, (15.5, 24.0), placement="point"),
        _names("district", ink, (0.0, 15.2), placement="point"),
    ]


def _layer(name: str, form: str, geometry: str) -> dict[str, Any]:
    return {
        "id": name,
        "type": form,
        "source": GROUND,
        "filter": ["==", ["geometry-type"], geometry],
    }


def _names(
    kind: str, ink: MapInk, zooms: tuple[float, float], *, placement: str
) -> dict[str, Any]:
    """Names of one kind of feature between two zooms, in the fonts of the machine."""
    is_district = kind == "district"
    return {
        "id": f"{kind}-names",
        "type": "symbol",
        "source": GROUND,
        "filter": ["==", ["get", "kind"], kind],
        "minzoom": zooms[0],
        "maxzoom": zooms[1],
        "layout": {
            "text-field": ["get", "name"],
            "text-size": 14 if is_district else 11,
            "text-letter-spacing": 0.12 if is_district else 0.02,
            "symbol-placement": placement,
            "text-allow-overlap": is_district,
            "text-ignore-placement": True,
        },
        "paint": {
            "text-color": ink.muted,
            "text-halo-color": ink.paper,
            "text-halo-width": 1.5,
            "text-opacity": 0.75 if is_district else 0.9,
        },
    }
