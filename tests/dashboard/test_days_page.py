"""The page of deferrals, closed days, holidays and crowns, pressed as in a browser."""

from datetime import timedelta

import pytest

from monitor.services.planning.plan import plan_all
from monitor.store import records
from tests.conftest import NOON
from tests.dashboard.conftest import OWN
from tests.dashboard.pressing import UPDATE, page_words, words_of

ANSWERS = {
    "off": ("days-off", "days-off-back"),
    "shut": ("days-shut",),
    "open": ("days-open",),
    "holi": ("days-holi",),
    "hours": ("days-hours",),
    "crown": ("days-crown",),
}
FIELDS = {
    "off": ("code", "until", "why", "name"),
    "shut": ("site", "from", "to", "why"),
    "open": ("which", "why"),
    "holi": ("site", "region"),
    "hours": ("site", "told"),
    "crown": ("code", "state"),
}
DATES = ("until", "from", "to")


def press(client, form, button="", **filled):
    buttons = ANSWERS[form]
    body = {
        "output": f"days-{form}-answer.children",
        "outputs": {"id": f"days-{form}-answer", "property": "children"},
        "inputs": [{"id": b, "property": "n_clicks", "value": 1} for b in buttons],
        "state": [
            {
                "id": f"days-{form}-{name}",
                "property": "date" if name in DATES else "value",
                "value": filled.get(name),
            }
            for name in FIELDS[form]
        ],
        "changedPropIds": [f"{button or buttons[0]}.n_clicks"],
    }
    answer = client.post(UPDATE, json=body, headers=OWN)
    assert answer.status_code == 200, answer.text
    found = answer.get_json()["response"][f"days-{form}-answer"]["children"]
    return words_of(found)


def test_without_decisions_the_page_says_so_and_offers_the_forms(reader):
    words = page_words(reader, "/due/days")

    assert "Nothing is put off and no site is closed." in words
    assert "Put an inspection off" in words
    assert "Public holidays" in words


def test_a_site_is_closed_and_opened_again(client, context):
    said = press(
        client, "shut", site="V-S-0101", **{"from": "2026-08-01"}, to="2026-08-09",
        why="festival",
    )  # fmt: skip
    assert "V-S-0101 is closed from 1 August 2026 to 9 August 2026." in said
    assert "festival" in page_words(client, "/due/days")

    with context.store.read_session() as session:
        (closure,) = records.SITE_CLOSURES.all(session)
    said = press(client, "open", which=str(closure.id), why="called off")

    assert "Open again from 1 August 2026" in said
    assert "no site is closed" in page_words(client, "/due/days")


@pytest.mark.parametrize(
    ("form", "filled", "said"),
    [
        ("off", {}, "Choose a support."),
        ("off", {"code": "S-0101"}, "The day is missing"),
        ("off", {"code": "S-0101", "until": "2060-01-01", "why": "x", "name": "y"},
         "is too late: this can be put off until"),
        ("shut", {"site": "V-S-0101", "from": "2026-08-09", "to": "2026-08-01",
                  "why": "x"}, "ends before it begins"),
        ("shut", {"site": "V-S-0101", "from": "soon", "to": "2026-08-01"},
         "The day is missing"),
        ("holi", {"site": "V-S-0101", "region": "Utopia"}, "No public holidays are"),
        ("hours", {"site": "V-S-0101", "told": "16:00-9:00"}, "are no hours"),
        ("hours", {"told": "9:00-16:00"}, "Choose a site."),
        ("open", {"which": "nonsense", "why": "x"}, "Choose a closure."),
        ("crown", {"code": "S-0101", "state": "golden"}, "expected"),
    ],
)  # fmt: skip
def test_what_can_not_be_is_refused_in_words(client, form, filled, said):
    assert said in press(client, form, **filled)


def test_holidays_and_a_crown_are_kept_and_shown(client):
    kept = press(client, "holi", site="V-S-0101", region="gb-sct")
    wished = press(client, "crown", code="S-0101", state="leafless")

    assert "keeps the public holidays of GB-SCT." in kept
    assert "wanted leafless" in wished
    assert "GB-SCT" in page_words(client, "/due/days")


def test_hours_and_holidays_of_a_site_are_kept_and_cleared(client):
    press(client, "holi", site="V-S-0101", region="gb-sct")
    kept = press(client, "hours", site="V-S-0101", told="9:00 - 14:30")
    shown = page_words(client, "/due/days")

    cleared = press(client, "hours", site="V-S-0101", told="")
    none = press(client, "holi", site="V-S-0101", region="")

    assert "is open 09:00-14:30." in kept
    assert "09:00-14:30" in shown
    assert "is open at any time." in cleared
    assert "keeps no public holidays." in none
    after = page_words(client, "/due/days")
    assert "09:00-14:30" not in after
    assert "Holidays of" not in after


def test_a_reader_changes_nothing(auditor):
    said = press(auditor, "crown", code="S-0101", state="leafless")

    assert "does not add to it" in said


def test_a_support_is_put_off_in_sight_and_taken_back(client, context):
    with context.store.write_session() as session:
        plan_all(session, now=NOON)
        support = records.SUPPORTS.find(session, code="S-0101")
        due = records.DUES.find(session, support_id=support.id)
    until = (due.due_on + timedelta(days=20)).isoformat()

    put_off = press(
        client, "off", code="S-0101", until=until, why="bridge closed", name="Maren"
    )

    assert "Put off from" in put_off
    words = page_words(client, "/due/days", "?support=S-0101")
    assert "bridge closed" in words

    back = press(client, "off", "days-off-back", code="S-0101", why="bridge open")

    assert "It is taken back." in back
