"""The page of a margin and its what if, as a browser asks for them."""

import pytest

from dashboard.app import create_app
from monitor.store.models import Base
from tests.dashboard.conftest import OWN, signed_in_client
from tests.dashboard.pressing import UPDATE, page_words, words_of
from tests.services.margin_world import a_stored_post

FIELDS = ("wall", "lean", "load", "soil", "replumbed")


@pytest.fixture
def browser(context):
    with context.store.write_session() as session:
        a_stored_post(session, "S-0201")
        a_stored_post(session, "S-0202", material="best iron")
    return signed_in_client(create_app(context), context, "Ines")


def ask(browser, code="S-0201", **typed):
    state = [
        {"id": "margin-support", "property": "data", "value": code},
        {"id": "margin-member", "property": "value", "value": "P1"},
    ]
    state += [
        {"id": f"margin-{name}", "property": "value", "value": typed.get(name)}
        for name in FIELDS
    ]
    body = {
        "output": "margin-answer.children",
        "outputs": {"id": "margin-answer", "property": "children"},
        "inputs": [{"id": "margin-ask", "property": "n_clicks", "value": 1}],
        "changedPropIds": ["margin-ask.n_clicks"],
        "state": state,
    }
    answer = browser.post(UPDATE, json=body, headers=OWN)
    assert answer.status_code == 200, answer.text
    return words_of(answer.get_json()["response"]["margin-answer"]["children"])


def test_the_page_opens_with_the_answer_and_says_the_caution_once(browser):
    words = page_words(browser, "/supports/S-0201/margin")

    assert words.startswith("S-0201 Post P1 carries ")
    assert words.count("Screening only.") == 1
    assert "The tube governs." in words


def test_every_input_says_how_it_is_known(browser):
    words = page_words(browser, "/supports/S-0201/margin")

    assert "Load as set 20.0\u2009kN recorded as built" in words
    assert "Lean 2.0\u2009mm/m assumed what AISC 303 allows a new column" in words
    assert "The wall was never read; needed: a thickness reading" in words


def test_the_review_stands_beneath_with_reason_and_source(browser):
    words = page_words(browser, "/supports/S-0201/margin")

    assert "Pre-load in order Noted: 20.0\u2009kN. common practice, no source" in words
    assert "Plumb not recorded Needed: tilt on the day it was set." in words
    assert "Coating look again Bare steel rusts from the first day." in words


def test_a_margin_that_can_not_be_told_says_what_is_needed(browser):
    words = page_words(browser, "/supports/S-0202/margin")

    assert "No margin can be told yet." in words
    assert "The steel “best iron” is not in the table; needed: one of" in words


def test_a_support_leads_to_its_margin(browser):
    assert "What it carries, through the years" in page_words(
        browser, "/supports/S-0201"
    )


def test_a_support_that_is_not_there_is_named(browser):
    words = page_words(browser, "/supports/S-9999/margin")

    assert "Not in the record" in words


def test_what_if_answers_beside_today_and_writes_nothing(browser, context):
    tables = [t for name, t in Base.metadata.tables.items() if name != "sign_in"]

    def everything():
        with context.store.read_session() as session:
            return [sorted(map(str, session.execute(t.select()))) for t in tables]

    before = everything()

    words = ask(browser, wall="1/8 in", load="6000 lbf")

    assert words.startswith(
        "Carrying 26.7\u2009kN today and with 3.2\u2009mm of wall left today: the tube "
    )
    assert words.endswith("Nothing was saved.")
    assert everything() == before


def test_nothing_asked_is_a_sentence(browser):
    assert ask(browser) == "Nothing is asked yet: fill one of the fields."


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"wall": "12 mm"}, "ask for a thinner one"),
        ({"lean": "3 kN"}, "measures force"),
        ({"load": "a lot"}, "a lot"),
    ],
)
def test_what_can_not_be_read_is_refused_in_words(browser, typed, said):
    assert said in ask(browser, **typed)
