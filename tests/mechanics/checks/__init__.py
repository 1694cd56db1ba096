"""Every check value of the mechanics, for the tests and for `ops/bench checks`."""

from tests.mechanics.checks.cables import STRAND, SYNTHETIC, TENSION
from tests.mechanics.checks.case import Check, Mark
from tests.mechanics.checks.columns import AISC, EUROCODE
from tests.mechanics.checks.corrosion import AIR, BURIED, COATINGS
from tests.mechanics.checks.leaning import LEANING
from tests.mechanics.checks.limb import LIMB
from tests.mechanics.checks.pins import PINS, WOUNDWOOD
from tests.mechanics.checks.posts import GROUND, PLUMB, SCREWS
from tests.mechanics.checks.sections import SECTIONS

SUBJECTS: dict[str, list[Check]] = {
    "rust in air": AIR,
    "zinc and paint": COATINGS,
    "steel in the ground": BURIED,
    "hollow sections": SECTIONS,
    "columns by AISC 360": AISC,
    "a leaning post by AISC 360": LEANING,
    "columns by EN 1993-1-1": EUROCODE,
    "plumb": PLUMB,
    "threads and screws": SCREWS,
    "ground": GROUND,
    "limb": LIMB,
    "strand": STRAND,
    "tension": TENSION,
    "synthetic rope": SYNTHETIC,
    "pins in green wood": PINS,
    "woundwood": WOUNDWOOD,
}

__all__ = ["SUBJECTS", "Check", "Mark"]
