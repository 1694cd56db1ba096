"""What happened to the city from outside: a storm, a gale, a trench, a lorry."""

import csv
import io
import json

HEADINGS = (
    "date", "kind", "name", "area", "around", "radius", "support", "size", "ended",
    "note",
)  # fmt: skip

_WITHOUT_THE_ORCHARDS = (
    (-20.02, 47.49), (-19.975, 47.49), (-19.975, 47.515), (-20.0035, 47.515),
    (-20.0035, 47.502), (-20.02, 47.502),
)  # fmt: skip
_SOUTH_QUAY = (
    (-19.989, 47.4965), (-19.982, 47.4965), (-19.982, 47.4995), (-19.989, 47.4995),
)  # fmt: skip


def events_text() -> str:
    """The file of events."""
    rows = [
        {
            "date": "2017-02-03", "kind": "storm", "name": "Storm of 3 February 2017",
            "area": _polygon(_WITHOUT_THE_ORCHARDS), "size": "104 km/h",
            "ended": "2017-02-20", "note": "gusts at the harbour mast",
        },
        {
            "date": "2026-11-02", "kind": "excavation", "name": "Drain in Reed Street",
            "around": "WS5", "radius": "0.03 km",
            "note": "trench about 3 m from the bases, open for some weeks",
        },
        {
            "date": "2026-11-17", "kind": "vehicle strike", "support": "P-26",
            "name": "Lorry against P-26", "note": "reversed into the post, slowly",
        },
        {
            "date": "2026-11-22", "kind": "storm", "name": "Gale on the South Quay",
            "area": _polygon(_SOUTH_QUAY), "size": "92 km/h",
            "note": "drawn by hand from what the harbour office saw",
        },
    ]  # fmt: skip
    text = io.StringIO()
    writer = csv.DictWriter(text, HEADINGS, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def _polygon(corners: tuple[tuple[float, float], ...]) -> str:
    ring = [list(corner) for corner in (*corners, corners[0])]
    shape = {"type": "Polygon", "coordinates": [ring]}
    return json.dumps(shape, separators=(",", ":"))
