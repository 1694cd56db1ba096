"""Every address against every role and whose the object is."""

import hashlib
import shutil
from dataclasses import replace
from io import BytesIO
from uuid import uuid4

import pytest
from PIL import Image

from dashboard.app import create_app
from dashboard.context import AppContext
from monitor.clock import FixedClock, new_id
from monitor.domain.places import Party
from monitor.domain.vocabulary import Role
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.services.recording.desk_photos import NewPhoto, add_photo
from monitor.services.recording.photos import Piece, take_piece
from monitor.settings import Settings
from monitor.store import Store, records
from monitor.store.photos import PhotoFiles
from tests.build import LONG_AGO
from tests.conftest import NOON
from tests.dashboard.conftest import OWN, PASSWORD, signed_in_client
from tests.dashboard.matrix import COLUMNS, MATRIX
from tests.dashboard.pressing import UPDATE, show
from tests.quick_hash import quicken

OWNER_OF = {"own": "S-0101", "other": "S-0106"}
SECRETS = ("Hiddenham", "Abbey Yard", "unseen reason")
STRANGE = "x" * 43


@pytest.fixture(scope="module")
def town(world_file, tmp_path_factory):
    """The small world with a second owner, a photograph each, and every role."""
    folder = tmp_path_factory.mktemp("town")
    shutil.copy(world_file, folder / "world.db")
    store = Store(f"sqlite:///{folder / 'world.db'}")
    context = AppContext(Settings(data_folder=folder), store, FixedClock(NOON))
    with pytest.MonkeyPatch.context() as patch, store.write_session() as session:
        quicken(patch)
        _give_away(session)
        for role in Role:
            owner = "City of Velmarsh" if role is Role.OWNER else ""
            new = NewAccount(role.value, "", role, PASSWORD, owner)
            access.add_account(session, new, actor="test", now=NOON)
        photos = {
            whose: _photo(session, folder, code) for whose, code in OWNER_OF.items()
        }
        spare = NewAccount("spare", "", Role.INSPECTOR, PASSWORD)
        key = access.add_account(session, spare, actor="test", now=NOON).id
    yield create_app(context), context, photos, key
    store.close()


def _give_away(session):
    other = Party(new_id(), "Abbey Yard", "", LONG_AGO)
    records.PARTIES.add(session, [other])
    support = records.SUPPORTS.find(session, code="S-0106")
    tree = records.TREES.get(session, support.tree_id)
    site = records.SITES.get(session, tree.site_id)
    changed = replace(site, owner_id=other.id, name="Hiddenham")
    records.SITES.change(session, changed)
    records.SUPPORTS.change(session, replace(support, reason="unseen reason"))


def _photo(session, folder, code):
    body = BytesIO()
    Image.new("RGB", (64, 48), "green" if code == "S-0101" else "red").save(
        body, "JPEG"
    )
    files = PhotoFiles(folder / "photos")
    sha = hashlib.sha256(body.getvalue()).hexdigest()
    piece = Piece(sha, 0, len(body.getvalue()), body.getvalue())
    take_piece(files, piece, most_bytes=10_000)
    new = NewPhoto(sha, "a look", "", NOON.date())
    return add_photo(session, files, code, new, by=("test", NOON)).id


def address(rule, whose, town):
    _, _, photos, person = town
    parts = {
        "<path:path>": "register", "<code>": OWNER_OF[whose], "<size>": "small",
        "<string:package_name>": "dash", "<path:fingerprinted_path>": "none.js",
        "<path:filename>": "underprop.css", "<name>": "form.js", "<sha256>": "0" * 64,
        "<token>": STRANGE, "<scope>": "all", "<uuid:person>": str(uuid4()),
        "<action>": "enable", "<path:rest>": "none",
        "<key>": "none",
    }  # fmt: skip
    parts["<uuid:key>"] = str(photos[whose] if "pictures" in rule else uuid4())
    with town[1].store.read_session() as session:
        support = records.SUPPORTS.find(session, code=OWNER_OF[whose])
    parts["<string:key>"] = str(support.id)
    if rule.startswith("/people/"):
        parts["<uuid:key>"] = str(person)
    if rule.startswith(("/unsubscribe", "/confirm", "/calendar")):
        parts["<token>"] = "0" * 32
    for name, value in parts.items():
        rule = rule.replace(name, value)
    if rule in {"/field/api/round", "/field/tags", "/field/sheet"}:
        rule += f"?codes={OWNER_OF[whose]}"
    return rule


def ask(client, method, rule, whose, town):
    form = {
        "code": OWNER_OF[whose], "days": "3", "role": "inspector", "name": str(uuid4()),
        "password": "not the right one", "old": "not this", "new": "x",
    }  # fmt: skip
    at = address(rule, whose, town)
    if rule == UPDATE:
        return client.post(UPDATE, json=_shown_body("/register"), headers=OWN)
    far = {"REMOTE_ADDR": "203.0.113.7"}  # not this machine, for /metrics
    data = {"data": form} if method == "POST" and "/field/" not in rule else {}
    return client.open(at, method=method, headers=OWN, environ_base=far, **data)


def _shown_body(path):
    names = (("shell-page", "children"), ("shell-title", "data"))
    names += (("shell-places", "children"),)
    return {
        "output": "..shell-page.children...shell-title.data...shell-places.children..",
        "outputs": [{"id": key, "property": name} for key, name in names],
        "inputs": [
            {"id": "shell-address", "property": "pathname", "value": path},
            {"id": "shell-address", "property": "search", "value": ""},
        ],
        "changedPropIds": ["shell-address.pathname"],
    }


def client_for(column, town):
    app, context, *_ = town
    if column == "nobody":
        return app.server.test_client()
    return signed_in_client(app, context, column.partition(",")[0])


def routes_of(app):
    return {
        f"{method} {rule.rule}"
        for rule in app.server.url_map.iter_rules()
        for method in rule.methods - {"OPTIONS", "HEAD"}
    }


def test_every_address_is_in_the_matrix_and_the_matrix_names_no_other(town):
    assert routes_of(town[0]) == MATRIX.keys()


def test_an_address_that_nobody_decided_about_is_noticed(context):
    app = create_app(context)
    app.server._got_first_request = False
    app.server.add_url_rule("/fresh", view_func=lambda: "fresh")

    assert "GET /fresh" in routes_of(app) - MATRIX.keys()
    assert app.server.test_client().get("/fresh").status_code == 401


@pytest.mark.parametrize("column", COLUMNS)
def test_each_address_answers_each_as_decided(town, column):
    place = COLUMNS.index(column)
    whose = "other" if column.endswith("other") else "own"
    expected, found = {}, {}

    for route, row in MATRIX.items():
        method, rule = route.split(" ", 1)
        with ask(client_for(column, town), method, rule, whose, town) as answer:
            told = answer.get_data().decode("latin-1")
        expected[route] = int(row.split()[place])
        found[route] = answer.status_code
        if whose == "other":
            assert not any(secret in told for secret in SECRETS), route

    assert found == expected


def test_everybody_but_an_owner_reaches_the_other_owners_objects(town):
    for role in Role:
        if role is Role.OWNER:
            continue
        client = client_for(role.value, town)
        for route in ("/pictures/<uuid:key>/<size>", "/field/api/round"):
            answer = ask(client, "GET", route, "other", town)
            assert answer.status_code == 200, (role, route)


def test_a_foreign_support_is_answered_exactly_like_one_that_is_not_there(town):
    owner = client_for("owner", town)

    for path in ("/supports/{}", "/supports/{}/photos", "/supports/{}/record"):
        foreign = show(owner, path.format("S-0106"))
        none = show(owner, path.format("S-0109"))
        assert str(foreign).replace("S-0106", "S-0109") == str(none), path


def test_an_owners_pages_are_about_own_sites_only(town):
    owner = client_for("owner", town)
    manager = client_for("manager", town)
    paths = ["/", "/register", "/due", "/fleet", "/map", "/due/days", "/events",
             "/rounds", "/year", "/forecasts", "/field/tasks", "/account"]  # fmt: skip

    owners = {path: str(show(owner, path)) for path in paths}

    assert "S-0101" in owners["/due"]
    assert "S-0101" in owner.get("/register.csv").text
    assert "S-0106" not in owner.get("/register.csv").text
    assert not any(secret in told for told in owners.values() for secret in SECRETS)
    assert not any("S-0106" in told for told in owners.values())
    assert "S-0106" in manager.get("/register.csv").text


def bodies_of(app, value):
    """Every callback with the same value in every field."""
    for key, callback in app.callback_map.items():
        parts = key.strip(".").split("...")
        outputs = [
            {"id": name, "property": what}
            for name, _, what in (part.rpartition(".") for part in parts)
        ]
        filled = {
            kind: [{**one, "value": value} for one in callback.get(kind, [])]
            for kind in ("inputs", "state")
        }
        changed = [f"{one['id']}.{one['property']}" for one in callback["inputs"][:1]]
        yield {
            "output": key,
            "outputs": outputs if key.startswith("..") else outputs[0],
            "changedPropIds": changed,
            **filled,
        }


def test_the_shapes_of_pages_that_every_browser_gets_tell_nothing_of_the_record(town):
    index = client_for("owner", town).get("/").text

    assert "shell-address" in index
    assert not any(word in index for word in (*SECRETS, "S-0101", "Chapel Row"))


def test_no_callback_tells_a_stranger_anything(town):
    nobody = client_for("nobody", town)

    for body in bodies_of(town[0], "S-0106"):
        assert nobody.post(UPDATE, json=body, headers=OWN).status_code == 401


def test_no_callback_tells_an_owner_of_other_owners(town):
    app, _, photos, _ = town
    owner = client_for("owner", town)
    values = ["S-0106", str(photos["other"]), "/supports/S-0106", 1]

    for value in values:
        for body in bodies_of(app, value):
            answer = owner.post(UPDATE, json=body, headers=OWN)
            told = [secret for secret in SECRETS if secret in answer.text]
            assert told == [], (value, body["output"])


@pytest.mark.parametrize("role", ["owner", "auditor"])
def test_no_callback_lets_who_only_reads_change_the_record(town, role):
    app, context, *_ = town
    client = client_for(role, town)
    before = _entries(context)

    for value in ("S-0101", 1, "2026-06-01"):
        for body in bodies_of(app, value):
            client.post(UPDATE, json=body, headers=OWN)

    assert _entries(context) == before


def _entries(context):
    from monitor.store.ledger import entries

    with context.store.read_session() as session:
        return sum(1 for _ in entries(session))
