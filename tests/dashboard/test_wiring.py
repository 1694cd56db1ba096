"""Every id a callback speaks of exists; every colour can be swapped in the dark."""

import json
import re
from pathlib import Path

import pytest

import dashboard
from dashboard.app import PAGES
from dashboard.components.shell import shell
from dashboard.figures import theme
from tests.dashboard.pressing import ids_of, plain, show

ASSETS = Path(dashboard.__file__).parent / "assets"
CSS = (ASSETS / "underprop.css").read_text(encoding="utf-8")


def known_ids(reader) -> set[str]:
    shown = [show(reader, path) for path in PATHS]
    found = [*ids_of(plain(shell())), *ids_of(shown)]
    return {json.dumps(key, sort_keys=True) for key in found}


PATHS = tuple(page.PATH.replace("<code>", "S-0101") for page in PAGES)


def test_every_id_used_in_a_callback_exists_on_a_page(reader, app):
    known = known_ids(reader)
    kinds = {json.loads(key)["type"] for key in known if key.startswith("{")}

    for key, callback in app.callback_map.items():
        outputs = [part.rsplit(".", 1)[0] for part in key.strip(".").split("...")]
        used = outputs + [d["id"] for d in (*callback["inputs"], *callback["state"])]
        for name in used:
            if name.startswith("{"):
                assert json.loads(name)["type"] in kinds
            else:
                assert json.dumps(name) in known, name


def test_every_page_has_the_same_parts():
    for page in PAGES:
        assert {"NAME", "PATH", "QUERY", "IDS"} <= set(dir(page))
        assert callable(page.layout)
        assert callable(page.register)
        assert isinstance(page.title(), str)


def test_every_id_starts_with_the_name_of_its_page():
    for page in PAGES:
        for key in vars(page.IDS).values():
            assert key.startswith(f"{page.NAME}-")


@pytest.mark.parametrize("colour", theme.COLOURS)
def test_every_colour_of_a_drawing_has_a_rule_for_fills_and_lines(colour):
    for what in ("fill", "stroke"):
        rule = rf'\[style\*="{what}: {re.escape(colour)}"\] \{{ {what}: var\(--draw-'
        assert re.search(rule, CSS), f"{what} {colour}"


def test_styles_and_scripts_ask_no_other_host():
    for path in (*ASSETS.glob("*.css"), *ASSETS.glob("*.js")):
        text = path.read_text(encoding="utf-8").replace(
            "http://www.w3.org/2000/svg", ""
        )
        assert "http://" not in text
        assert "https://" not in text
        assert "@import" not in text


LIGHT, DARK = CSS.split("@media (prefers-color-scheme: dark)")[:2]


@pytest.mark.parametrize("sheet", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize(
    ("ink", "paper", "least"),
    [
        ("ink", "paper", 7.0),
        ("ink", "raised", 7.0),
        ("muted", "paper", 4.5),
        ("bark", "paper", 4.5),
        ("rust", "paper", 4.5),
        ("rust", "bone", 4.5),
        ("draw-ink", "paper", 7.0),
        ("draw-muted", "paper", 4.5),
        ("draw-watch", "paper", 4.5),
        ("draw-act", "paper", 4.5),
        ("draw-bark", "paper", 4.5),
    ],
)
def test_words_and_numbers_can_be_read(sheet, ink, paper, least):
    assert contrast(colour_in(sheet, ink), colour_in(sheet, paper)) >= least


def colour_in(sheet: str, name: str) -> str:
    found = re.search(rf"--{name}: (#[0-9a-f]{{6}});", sheet)
    assert found, name
    return found[1]


def contrast(one: str, other: str) -> float:
    """Contrast ratio of WCAG 2.2."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [
        p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_black_on_white_has_the_contrast_that_wcag_states():
    # WCAG 2.2, definition of contrast ratio: from 1 to 21.
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
