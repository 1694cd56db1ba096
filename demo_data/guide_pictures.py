"""Photograph the pages that the guides show, from a served demo.

Serve the demo, then run it from the top of the repository:
python -m demo_data.guide_pictures ADDRESS NAME PASSWORD [FOLDER]
"""

import io
import sys
from dataclasses import dataclass
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

FOLDER = Path(__file__).parents[1] / "dashboard" / "assets"
CHROMIUM = "/usr/bin/chromium"
MOST_BYTES = 150_000
_COLOURS = 64
_WAIT_MS = 60_000


@dataclass(frozen=True, slots=True)
class Shot:
    """One picture: where, how wide and high the window is, what must be there."""

    name: str
    path: str
    size: tuple[int, int]
    until: str


SHOTS = (
    Shot("today", "/", (1000, 640), "main h1"),
    Shot("years", "/plan", (1000, 700), "main .js-plotly-plot"),
    Shot("field", "/field/#/", (390, 700), "main h1"),
)


def main() -> None:
    """Write every picture."""
    address, name, password, *rest = sys.argv[1:]
    folder = Path(rest[0]) if rest else FOLDER
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"]
        )
        for shot in SHOTS:
            page = signed_in(browser, address, (name, password))
            (folder / f"guide-{shot.name}.png").write_bytes(taken(page, address, shot))
        browser.close()


def signed_in(browser: Browser, address: str, who: tuple[str, str]) -> Page:
    """A page behind the door."""
    page = browser.new_page(color_scheme="light")
    page.set_default_timeout(_WAIT_MS)
    page.goto(f"{address}/sign-in")
    page.get_by_label("Name").fill(who[0])
    page.get_by_label("Password").fill(who[1])
    page.click("button[type=submit]")
    page.wait_for_selector("main h1")
    return page


def taken(page: Page, address: str, shot: Shot) -> bytes:
    """The picture with few colours, so that it stays small."""
    width, height = shot.size
    page.set_viewport_size({"width": width, "height": height})
    page.goto(f"{address}{shot.path}")
    page.wait_for_selector(shot.until)
    page.wait_for_timeout(1500)
    image = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
    out = io.BytesIO()
    image.quantize(_COLOURS).save(out, "PNG", optimize=True)
    if out.tell() > MOST_BYTES:
        raise SystemExit(f"{shot.name}: {out.tell()} bytes are too many.")
    return out.getvalue()


if __name__ == "__main__":
    main()
