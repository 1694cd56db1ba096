"""A wound in the form: traced on a photograph, sketched on, by four distances."""

import io
from datetime import date

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from monitor.domain.vocabulary import MemberKind
from monitor.photogrammetry.bench.scenes import Scene, photographed, seen_at
from monitor.photogrammetry.marker_sheet import SHEETS
from monitor.store import Store, records
from tests.browser.field_phone import come_in, done, open_form, recorded, saved
from tests.build import a_support, some_readings

pytestmark = pytest.mark.browser

SCENE = Scene(tilt_deg=15, toward_deg=60, width=900, height=1200, offset_mm=5.0)
SQUARE = np.array([105, 148]) + 25 * np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)])


@pytest.fixture(scope="module")
def picture() -> dict:
    drawn = photographed(SCENE, SHEETS[0], SQUARE, np.random.default_rng(1))
    out = io.BytesIO()
    Image.fromarray(drawn).convert("RGB").save(out, "JPEG", quality=90)
    return {"name": "w.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()}


@pytest.fixture
def wound(phone, own_home, tmp_path) -> Page:
    store = Store(f"sqlite:///{tmp_path / 'underprop.db'}")
    with store.write_session() as session:
        spot = a_support(session, "S-0600", kind=MemberKind.PIN, mark="wound")
        for name in ("wound_width", "wound_height"):
            some_readings(session, spot, name, {date(2025, 6, 1): 52.0})
    store.close()
    come_in(phone, own_home)
    phone.get_by_label("Code on the tag").fill("S-0600")
    phone.get_by_role("button", name="Open").click()
    phone.get_by_role("button", name="Done here").wait_for()
    return phone


def tap_around(page: Page, shares) -> None:
    box = page.locator("dialog .canvas").bounding_box()
    for x, y in shares:
        page.mouse.click(box["x"] + x * box["width"], box["y"] + y * box["height"])


def shares_of(points) -> list:
    return ((seen_at(SCENE, SHEETS[0], points, 5.0) + 0.5) / (900, 1200)).tolist()


def test_a_traced_photograph_survives_a_reload_and_comes_back_in_millimetres(
    wound, own_home, picture, tmp_path
):
    wound.locator("#photo").set_input_files(picture)
    wound.get_by_role("button", name="Measure the wound on it").click()
    tap_around(wound, shares_of(SQUARE))
    wound.get_by_role("button", name="Keep it").click()
    wound.get_by_role("button", name="Sketch on it").click()
    tap_around(wound, [(0.2, 0.2)])
    wound.get_by_role("button", name="Keep it").click()
    saved(wound)
    wound.reload()
    open_form(wound, own_home, "S-0600")
    expect(wound.get_by_text("Outline of 4 points is kept.")).to_be_visible()
    done(wound)

    expect(wound.get_by_text("On the photograph:")).to_be_visible()
    [(_, readings, photos)] = recorded(tmp_path)
    store = Store(f"sqlite:///{tmp_path / 'underprop.db'}")
    with store.read_session() as session:
        (measure,) = records.PHOTO_MEASURES.all(session)
        (sketch,) = records.SKETCHES.all(session)
    store.close()
    # By hand: a square of 50 mm; a tap on a small screen is off by a pixel or two.
    assert abs(measure.area_mm2 - 2500) < 1.96 * measure.area_sd_mm2 + 75
    assert {r.quantity for r in readings} == {"wound_width", "wound_height"}
    assert sketch.photo_id == photos[0].id


def test_an_outline_that_crosses_itself_is_said_at_once_and_can_be_undone(
    wound, picture
):
    wound.locator("#photo").set_input_files(picture)
    wound.get_by_role("button", name="Measure the wound on it").click()
    tap_around(wound, [(0.3, 0.3), (0.6, 0.6), (0.6, 0.3), (0.3, 0.6)])

    wound.get_by_role("button", name="Keep it").click()

    expect(wound.get_by_text("The outline crosses itself.")).to_be_visible()
    wound.get_by_role("button", name="Undo").click()
    wound.get_by_role("button", name="Keep it").click()
    expect(wound.get_by_text("Outline of 3 points is kept.")).to_be_visible()


def test_four_distances_make_width_and_height(wound, tmp_path):
    wound.get_by_text("Wound by four clock positions").click()
    for hour, text in (("12", "26"), ("3", "24"), ("6", "25"), ("9", "27")):
        wound.get_by_label(f"{hour} o'clock, mm", exact=True).fill(text)
    # By hand: 24 + 27 = 51, 26 + 25 = 51, π/4 · 51² = 2043 mm².
    expect(wound.get_by_text("about 20.4 cm² open")).to_be_visible()
    wound.get_by_role("button", name="Take width and height over").click()
    done(wound)

    expect(wound.get_by_text("Recorded: S-0600")).to_be_visible()
    [(_, readings, _)] = recorded(tmp_path)
    assert {r.quantity: r.value for r in readings} == {
        "wound_width": 51.0,
        "wound_height": 51.0,
    }
    assert "four clock positions" in readings[0].reason
