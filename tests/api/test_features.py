"""Desktop maps read the supports through OGC API - Features."""

import json
import subprocess
import sys

import pytest

READ = """
import json, sys
import pyogrio
pyogrio.set_gdal_config_options(
    {"GDAL_HTTP_AUTH": "BEARER", "GDAL_HTTP_BEARER": sys.argv[3]}
)
meta, _, geometry, values = pyogrio.raw.read(
    "OAPIF:" + sys.argv[1] + "/ogc/collections/supports", layer="supports",
    bbox=tuple(json.loads(sys.argv[2])) or None,
)
at = [str(n) for n in meta["fields"]].index("support")
print(json.dumps(sorted(values[at].tolist())))
"""


def features(program, query=""):
    path = f"/ogc/collections/supports/items{query}"
    return program.client.get(path, headers=program.head)


@pytest.mark.parametrize(
    ("box", "is_all"),
    [([], True), ([-20.5, 47, -19.5, 48], True), ([0, 0, 1, 1], False)],
)
def test_a_desktop_map_reads_every_support(program, address, box, is_all):
    """GDAL's own client, in a process of its own."""
    head = program.head["Authorization"].removeprefix("Bearer ")
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", READ, address, json.dumps(box), head],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )

    assert done.returncode == 0, done.stderr[-500:]
    codes = [item["code"] for item in program.get("/supports").json["items"]]
    assert json.loads(done.stdout) == (sorted(codes) if is_all else [])


def test_pages_are_linked_until_all_is_read(program):
    whole = features(program).json
    some = features(program, "?limit=2&offset=4").json

    assert whole["numberMatched"] == some["numberMatched"] == len(whole["features"])
    assert some["features"] == whole["features"][4:6]
    assert [link["rel"] for link in some["links"]] == ["self"]
    first = features(program, "?limit=2").json
    assert "next" in [link["rel"] for link in first["links"]]


def test_a_support_is_there_from_its_installation_to_its_removal(program):
    whole = {f["id"]: f["properties"] for f in features(program).json["features"]}
    gone = next(key for key, said in whole.items() if said["removed_on"])

    later = features(program, "?datetime=2026-05-31T00:00:00Z/..").json["features"]

    assert gone not in [f["id"] for f in later]
    before = features(program, "?datetime=../1900-01-01").json["features"]
    assert before == []


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ("?bbox=1,2,3", "bbox"),
        ("?bbox=nan,0,1,1", "bbox"),
        ("?bbox=0,5,1,1", "bbox"),
        ("?datetime=yesterday", "datetime"),
        ("?limit=0", "limit"),
        ("?limit=" + "9" * 5000, "limit"),
        ("?offset=-1", "offset"),
        ("?colour=red", "colour"),
    ],
)
def test_what_can_not_be_asked_is_refused_by_name(program, query, field):
    answer = features(program, query)

    assert (answer.status_code, answer.json["field"]) == (422, field)


def test_landing_conformance_and_one_item_are_linked(program):
    def ask(path):
        return program.client.get(f"/ogc{path}", headers=program.head).json

    assert {link["rel"] for link in ask("/")["links"]} >= {"data", "conformance"}
    assert any("core" in one for one in ask("/conformance")["conformsTo"])
    item = ask("/collections/supports/items/S-0101")
    assert item["properties"]["caution"].startswith("Screening only")
    missing = program.client.get("/ogc/collections/trees", headers=program.head)
    assert missing.status_code == 404
