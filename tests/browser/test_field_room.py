"""A phone without room, and forms that were begun with last year's version."""

import json

import pytest
from playwright.sync_api import expect

from tests.browser.field_phone import (
    a_picture,
    done,
    open_form,
    recorded,
    saved,
    take_round,
)

pytestmark = pytest.mark.browser

FULL = """
(() => {
  const put = IDBObjectStore.prototype.put;
  window.roomAgain = () => { IDBObjectStore.prototype.put = put; };
  IDBObjectStore.prototype.put = () => {
    throw new DOMException("full", "QuotaExceededError");
  };
})()
"""
NO_ROOM = "This phone has no room left"


def test_a_full_phone_says_so_and_keeps_what_is_typed_once_there_is_room(
    phone, own_home, tmp_path
):
    take_round(phone, own_home)
    open_form(phone, own_home)
    phone.get_by_label("Settlement", exact=True).fill("9.0")
    saved(phone)
    phone.evaluate(FULL)

    phone.get_by_label("Note").fill("Nest in the fork.")
    expect(phone.locator("#saved")).to_contain_text(NO_ROOM)
    picture = {"name": "p.png", "mimeType": "image/png", "buffer": a_picture(1)}
    phone.locator("#photo").set_input_files(picture)
    expect(phone.get_by_role("status").filter(has_text=NO_ROOM)).to_be_visible()
    expect(phone.locator(".photos img")).to_have_count(0)
    phone.locator("#done").click()
    again = phone.get_by_role("button", name="Done all the same")
    again.click()
    expect(phone.locator("#left-open")).to_contain_text(NO_ROOM)

    phone.evaluate("roomAgain()")
    again.click()
    expect(phone.get_by_text("Recorded: S-0101")).to_be_visible()
    [(made, readings, photos)] = recorded(tmp_path)
    assert made.note == "Nest in the fork."
    assert [r.given for r in readings] == ["9.0 mm"]
    assert photos == []


def test_a_round_that_does_not_fit_leaves_the_one_that_is_there(phone, own_home):
    take_round(phone, own_home)
    phone.evaluate(FULL)
    phone.get_by_text("Choose a round").click()
    phone.get_by_label("Or these codes only").fill("S-0101")
    phone.get_by_role("button", name="Store this round").click()

    expect(phone.locator("#stored")).to_contain_text("no room left")
    phone.reload()
    expect(phone.get_by_role("heading", level=1)).to_contain_text("5 supports on this")


OLD = """async (old) => {
  const keep = await import("/field/web/keep.js");
  const { sha256OfText } = await import("/field/web/ids.js");
  const [item] = await keep.all("outbox");
  const body = JSON.stringify({ ...JSON.parse(item.body), form: old });
  const sha256 = await sha256OfText(body);
  await keep.write([["put", "outbox", { ...item, body, sha256 }]]);
}"""


def test_a_look_of_last_years_form_is_refused_in_words_and_sent_by_the_new_one(
    phone, own_home, tmp_path
):
    take_round(phone, own_home)
    phone.context.set_offline(True)
    open_form(phone, own_home)
    phone.get_by_label("Settlement", exact=True).fill("9.0")
    phone.get_by_label("Note").fill("Nest in the fork.")
    done(phone)
    phone.evaluate(OLD, 0)
    phone.context.set_offline(False)

    expect(phone.get_by_role("alert")).to_contain_text("Load the form anew")
    assert recorded(tmp_path) == []
    phone.get_by_role("button", name="Open it again").click()
    phone.get_by_role("button", name="Done here").wait_for()
    expect(phone.get_by_label("Note")).to_have_value("Nest in the fork.")
    done(phone)

    expect(phone.get_by_text("Recorded: S-0101")).to_be_visible()
    [(made, readings, _)] = recorded(tmp_path)
    assert (made.note, [r.given for r in readings]) == ("Nest in the fork.", ["9.0 mm"])


def test_what_was_begun_in_an_older_form_goes_on_in_the_newer(phone, own_home):
    """An older draft knows nothing of what came since: spreads, clock positions."""
    take_round(phone, own_home)
    open_form(phone, own_home)
    phone.get_by_label("Settlement", exact=True).fill("9.0")
    saved(phone)
    draft = phone.evaluate(
        "import('/field/web/keep.js').then((keep) => keep.get('drafts', 'S-0101'))"
    )
    for reading in draft["readings"].values():
        for entry in reading["entries"]:
            entry.pop("sd")
    draft.pop("clocks", None)
    phone.evaluate(
        "(draft) => import('/field/web/keep.js')"
        ".then((keep) => keep.write([['put', 'drafts', draft]]))",
        json.loads(json.dumps(draft)),
    )

    phone.reload()
    expect(phone.get_by_label("Settlement", exact=True)).to_have_value("9.0")
    done(phone)

    expect(phone.get_by_text("Recorded: S-0101")).to_be_visible()
