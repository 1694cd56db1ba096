"""A person sees and sets how they are told; a stranger with the link leaves digests."""

from dataclasses import replace

from dashboard.app import create_app
from dashboard.pages.notices import FIELDS, IDS
from monitor.domain.notices import NoticeKind, NoticeLine, NoticeState
from monitor.jobs.catalogue import WATCHED
from monitor.services.notices.blank import blank
from monitor.services.notices.recipients import (
    SECRET_FILE,
    recipient_named,
    unsubscribe_token,
)
from monitor.services.secret import own_secret
from monitor.store import records
from tests.conftest import NOON
from tests.dashboard.conftest import NAME, OWN, signed_in_client
from tests.dashboard.pressing import UPDATE, page_words, words_of
from tests.services.notice_world import a_person


def failed_notice(session, person):
    notice = replace(
        blank(NoticeKind.ESCALATION, f"{person.id} x", "S-0101 wants work", NOON),
        recipient_id=person.id,
        lines=(NoticeLine("Act", "S-0101 wants work."),),
        state=NoticeState.FAILED,
        ended_at=NOON,
        error="550 no such box",
    )
    records.NOTICES.add(session, [notice])


def way_out(context, person):
    secret = own_secret(context.settings.data_folder, SECRET_FILE)
    return f"/unsubscribe/{person.id}/{unsubscribe_token(secret, person.id)}"


def wants_digest(context):
    with context.store.read_session() as session:
        return recipient_named(session, NAME).wants_digest


def test_a_look_at_the_way_out_changes_nothing_and_one_click_does(stranger, context):
    with context.store.write_session() as session:
        person = a_person(session, NAME)
    address = way_out(context, person)

    assert stranger.get(address).status_code == 200
    assert wants_digest(context)
    # RFC 8058, 3.2: a POST with this body, without cookies and from anywhere.
    clicked = stranger.post(
        address,
        data={"List-Unsubscribe": "One-Click"},
        headers={"Sec-Fetch-Site": "cross-site"},
    )

    assert clicked.status_code == 200
    assert not wants_digest(context)


def test_another_key_opens_no_way_out(stranger, context):
    with context.store.write_session() as session:
        person, other = a_person(session, NAME), a_person(session, "Odile")
    wrong = way_out(context, other).replace(str(other.id), str(person.id))

    assert stranger.post(wrong).status_code == 404
    assert stranger.get(wrong).status_code == 404
    assert stranger.post("/unsubscribe/").status_code in (401, 403)
    assert wants_digest(context)


def saved(client, **said):
    typed = {
        "email": "ines@trees.example", "sites": "", "digest": "friday", "at": "07:00",
        "zone": "UTC", "quiet": "never", "urgent": "yes", "empty": "no",
    } | said  # fmt: skip
    body = {
        "output": f"{IDS.answer}.children",
        "outputs": {"id": IDS.answer, "property": "children"},
        "inputs": [{"id": IDS.save, "property": "n_clicks", "value": 1}],
        "state": [
            {"id": getattr(IDS, name), "property": "value", "value": typed[name]}
            for name in FIELDS
        ],
        "changedPropIds": [f"{IDS.save}.n_clicks"],
    }
    answer = client.post(UPDATE, json=body, headers=OWN)
    assert answer.status_code == 200
    return words_of(answer.get_json()["response"][IDS.answer]["children"])


def test_a_person_sets_how_they_are_told(client, context):
    said = saved(client, digest="friday")

    assert f"{NAME} is told at ines@trees.example" in said
    with context.store.read_session() as session:
        assert recipient_named(session, NAME).digest_day == 4


def test_what_can_not_be_taken_is_said_beside_the_form(client):
    assert "is no time zone" in saved(client, zone="Mars/Base")
    assert "is no e-mail address" in saved(client, email="a@b\r\nBcc: c@d.example")


def test_a_failed_notice_is_on_both_pages_for_those_who_record(
    client, auditor, context
):
    with context.store.write_session() as session:
        failed_notice(session, a_person(session, NAME))

    assert "One notice did not arrive." in page_words(client, "/notices")
    assert "550 no such box" in page_words(client, "/notices")
    assert "550 no such box" in page_words(client, "/")
    assert "550 no such box" not in page_words(auditor, "/")


def test_a_person_does_not_see_what_others_were_told(client, context):
    with context.store.write_session() as session:
        failed_notice(session, a_person(session, "Odile"))

    assert "S-0101 wants work" not in page_words(client, "/notices")


def test_a_missed_job_is_on_the_first_page(context):
    watching = replace(context, watched=WATCHED)
    client = signed_in_client(create_app(watching), watching, NAME)

    assert "No job has run yet." in page_words(client, "/")


def test_what_ran_well_is_not_on_the_first_page(client):
    assert "The watch itself" not in page_words(client, "/")
