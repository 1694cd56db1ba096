"""Programs read the record: by the page, tagged, refused in words."""

import pytest

from dashboard.api.reads import RESOURCES


@pytest.mark.parametrize("name", [resource.name for resource in RESOURCES])
def test_every_list_is_answered_and_its_items_are_found_again(program, name):
    answer = program.get(f"/{name}")

    assert answer.status_code == 200
    for item in answer.json["items"][:1]:
        if "id" in item:
            assert program.get(f"/{name}/{item['id']}").json == item


def test_pages_of_two_give_what_one_page_gives(program):
    whole = program.get("/readings?limit=1000").json["items"]

    items, after = [], ""
    while after is not None:
        page = program.get(f"/readings?limit=7&after={after}").json
        items += page["items"]
        after = page["next"]

    assert len(whole) > 50
    assert items == whole


@pytest.mark.parametrize("name", ["readings", "marks", "findings", "works", "outlooks"])
def test_what_belongs_to_one_support_is_asked_for_by_its_code(program, name):
    some = program.get(f"/{name}?support=S-0101&limit=1000").json["items"]
    every = program.get(f"/{name}?limit=1000").json["items"]

    assert len(some) < len(every)
    assert all(item in every for item in some)


def test_what_the_client_has_already_is_not_sent_again(program):
    first = program.get("/supports")

    again = program.get("/supports", headers={"If-None-Match": first.headers["ETag"]})

    assert (again.status_code, again.data) == (304, b"")


@pytest.mark.parametrize(
    ("path", "status", "field"),
    [
        ("/supports?limit=0", 422, "limit"),
        ("/supports?limit=" + "9" * 5000, 422, "limit"),
        ("/supports?limit=1e3", 422, "limit"),
        ("/supports?after=x", 422, "after"),
        ("/supports?after=WzFd", 422, "after"),
        ("/supports?after=bnVsbA", 422, "after"),
        ("/supports?colour=red", 422, "colour"),
        ("/readings?mark_id=7", 422, "mark_id"),
        ("/readings?support=nowhere", 404, None),
        ("/supports/7", 404, None),
        ("/nothing", 404, None),
        ("/works?support=%00", 404, None),
    ],
)
def test_a_refusal_is_a_problem_that_names_the_field(program, path, status, field):
    answer = program.get(path)

    assert answer.status_code == status
    assert answer.mimetype == "application/problem+json"
    assert answer.json["status"] == status
    assert answer.json.get("field") == field


def test_without_a_token_nothing_is_told(server):
    answer = server.test_client().get("/api/v1/supports")

    assert answer.status_code == 401
    assert answer.mimetype == "application/problem+json"
    assert answer.headers["WWW-Authenticate"] == "Bearer"


def test_a_method_that_is_not_taken_names_those_that_are(program):
    answer = program.client.delete("/api/v1/supports", headers=program.head)

    assert answer.status_code == 405
    assert "GET" in answer.headers["Allow"]


def test_no_secret_is_in_the_description_and_pages_explain_it(program):
    said = program.get("/openapi.json").json
    page = program.get("/").text

    assert said["openapi"] == "3.1.0"
    assert "password_hash" not in str(said)
    for path in said["paths"]:
        assert path.replace("<", "&lt;") in page
    assert "<script" not in page
