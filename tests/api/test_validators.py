"""What others say of our formats: validators that are not ours.

They look at the form only. That a description is valid OpenAPI 3.1 does not say that
the answers fit it (`test_fuzzed` asks for that), and valid GeoJSON may be misplaced.
"""

import json

from geojson_pydantic import Feature, FeatureCollection, Point
from openapi_spec_validator import OpenAPIV31SpecValidator

from monitor.exchange.geojson import geojson_bytes
from monitor.services.exporting.chosen import Choice
from monitor.services.exporting.map_points import map_points


def test_the_description_is_valid_openapi_3_1(program):
    said = program.get("/openapi.json").json

    assert said["openapi"].startswith("3.1")
    assert [str(e.message) for e in OpenAPIV31SpecValidator(said).iter_errors()] == []


def test_every_operation_has_a_name_of_its_own_and_says_how_it_refuses(program):
    said = program.get("/openapi.json").json

    operations = [
        one
        for path in said["paths"].values()
        for name, one in path.items()
        if name in {"get", "post"}
    ]
    names = [one["operationId"] for one in operations]
    assert len(names) == len(set(names)) > 40
    assert all("default" in one["responses"] for one in operations)


def test_what_maps_get_is_valid_geojson(program):
    answer = program.client.get("/ogc/collections/supports/items", headers=program.head)

    found = FeatureCollection[Feature[Point, dict]].model_validate_json(answer.text)
    assert len(found.features) == answer.json["numberReturned"] > 0


def test_the_file_for_maps_is_valid_geojson(shared):
    with shared.store.read_session() as session:
        text = geojson_bytes(map_points(session, Choice())).decode()

    found = FeatureCollection[Feature[Point, dict]].model_validate_json(text)
    west, south, east, north = json.loads(text)["bbox"]
    for one in found.features:
        if one.geometry is not None:
            longitude, latitude = one.geometry.coordinates[:2]
            assert west <= longitude <= east
            assert south <= latitude <= north
