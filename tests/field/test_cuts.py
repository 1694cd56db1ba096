"""Whatever is cut off in the middle: nothing lost, nothing doubled.

The short form of `ops/bench sync`, which has a real server, killed, and real wires.
"""

import json
import threading
from collections import Counter
from datetime import date, timedelta
from random import Random

import pytest

from dashboard.app import create_app
from monitor.errors import StoreUnavailable
from monitor.services.field import submission as field_submission
from monitor.store import ledger, records
from tests.dashboard.conftest import NAME, signed_in_client
from tests.field.phone import Phone, a_body, post, put, sha

TRIALS = 100
SURE = ["P1/face/settlement/1", "P1/face/tilt_x/1", "another look that day"]


def a_photo(random: Random) -> bytes:
    return b"\xff\xd8\xff\xe0" + random.randbytes(random.randint(20, 1500))


def recorded(context):
    with context.store.read_session() as session:
        source = records.INSPECTIONS.table.c.source
        made = records.INSPECTIONS.all(session, source == "field form")
        readings = records.READINGS.all(session)
        photos = records.PHOTOS.all(session)
    return made, readings, photos


@pytest.fixture
def unassessed(monkeypatch):
    """The analysis is not what is tried here, and takes its time."""
    monkeypatch.setattr(field_submission, "assess", lambda *_, **__: 0)


def test_forms_cut_off_at_random_are_each_recorded_exactly_once(
    app, client, context, unassessed
):
    sent, cuts = {}, 0
    for trial in range(TRIALS):
        random = Random(trial)
        photos = [a_photo(random) for _ in range(random.randint(0, 1))]
        on = date(2026, 6, 1) - timedelta(days=trial)
        body = a_body(
            photos=photos, inspected_on=on.isoformat(), inspector="Noor", sure=SURE
        )
        phone = Phone(client, body, photos, random)
        phone.send_all()
        cuts += phone.cuts
        sent[body["id"]] = photos

    made, readings, kept = recorded(context)
    per_form = Counter(str(reading.inspection_id) for reading in readings)
    assert cuts > TRIALS / 3
    assert sorted(str(one.id) for one in made) == sorted(sent)
    assert {per_form[key] for key in sent} == {3}
    wanted = sorted((key, sha(p)) for key, photos in sent.items() for p in photos)
    assert sorted((str(p.inspection_id), p.sha256) for p in kept) == wanted
    for photos in sent.values():
        for photo in photos:
            path = context.settings.photo_folder / sha(photo)[:2] / sha(photo)
            assert path.read_bytes() == photo
    with context.store.read_session() as session:
        assert ledger.first_broken(session) is None


def test_a_server_that_dies_while_it_writes_leaves_nothing_half_done(
    client, context, monkeypatch, unassessed
):
    """The n-th thing that is written fails, for every n until none is left."""
    calls = 0
    names = ("INSPECTIONS", "READINGS", "PHOTOS")
    photo = a_photo(Random(1))

    for fatal in range(1, 10):
        calls = 0

        def dying(add, nth=fatal):
            def add_or_die(session, rows):
                nonlocal calls
                calls += 1
                if calls == nth:
                    raise StoreUnavailable("the power is gone")
                add(session, rows)

            return add_or_die

        on = date(2026, 5, 1) - timedelta(days=fatal)
        body = a_body(
            photos=[photo], inspected_on=on.isoformat(), inspector="Noor", sure=SURE
        )
        phone = Phone(client, body, [photo], Random(0), chance=0)
        with monkeypatch.context() as patch:
            for name in names:
                repository = getattr(records, name)
                patch.setattr(repository, "add", dying(repository.add))
            put(client, photo, 0, len(photo))
            broken = post(client, body)
        made, readings, kept = recorded(context)
        ids = {str(one.id) for one in made}
        if broken.status_code == 200:
            break
        assert broken.status_code == 503
        assert body["id"] not in ids
        assert body["id"] not in {str(reading.inspection_id) for reading in readings}
        assert body["id"] not in {str(one.inspection_id) for one in kept}
        phone.send_all()
        assert body["id"] in {str(one.id) for one in recorded(context)[0]}
    assert fatal > len(names)


def test_a_restarted_server_goes_on_where_the_photograph_stopped(
    app, client, context, unassessed
):
    photo = a_photo(Random(3)) + bytes(2000)
    put(client, photo, 0, 900)

    again = signed_in_client(create_app(context), context, NAME)
    have = again.get(f"/field/api/photos/{sha(photo)}").json

    assert have == {"have": 900, "is_whole": False}
    assert put(again, photo, 900, len(photo)).json["is_whole"]


def test_ten_requests_at_once_are_one_inspection_with_one_receipt(app, context):
    clients = [signed_in_client(app, context, NAME) for _ in range(10)]
    body = json.dumps(a_body()).encode()
    answers = []

    def send(one):
        answers.append(post(one, body))

    threads = [threading.Thread(target=send, args=(one,)) for one in clients]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert [answer.status_code for answer in answers] == [200] * 10
    assert len({answer.data for answer in answers}) == 1
    assert len(recorded(context)[0]) == 1


def test_two_phones_on_one_photograph_do_not_spoil_it(app, client, context):
    photo = a_photo(Random(5)) + bytes(3000)
    other = signed_in_client(app, context, NAME)

    for start in range(0, len(photo), 400):
        put(client, photo, start, start + 400)
        answer = put(other, photo, start, start + 300)

    assert answer.json["is_whole"]
    assert client.get(f"/field/api/photos/{sha(photo)}").json["have"] == len(photo)


def test_the_same_form_after_four_hundred_days_gets_the_same_receipt(
    client, app, context, clock
):
    body = a_body()
    first = post(client, body)
    clock.at += timedelta(days=400)

    again = post(signed_in_client(app, context, NAME), body)

    assert first.status_code == 200
    assert again.data == first.data


def test_a_full_disk_keeps_the_form_on_the_phone(client, context, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    photo = a_photo(Random(7))
    with monkeypatch.context() as patch:
        patch.setattr("monitor.store.photos.os.pwrite", full)
        refused = put(client, photo, 0, len(photo))
    answer = post(client, a_body(photos=[photo]))

    assert refused.status_code == 503
    assert "the disk is full" in refused.json["sentence"]
    assert answer.status_code == 409
    assert answer.json == {"missing": [sha(photo)]}
    assert recorded(context)[0] == []
