"""Pins in green wood, and the wood that closes over them."""

import math
from functools import partial

import numpy as np

from monitor.mechanics.pins import (
    MPA_PER_PSI,
    PinJoint,
    bearing_across_mpa,
    bearing_along_mpa,
    bending_mpa,
    double_shear_mpa,
    hankinson_mpa,
    mean_bearing_mpa,
    pin_moment_nmm,
    rod_allowable_n,
    shear_allowable_n,
    yield_modes_n,
)
from monitor.mechanics.woundwood import (
    FASTEST_MM_YEAR,
    ONE_SEASON_MM,
    Vigour,
    area_from_widths_mm2,
    closed_share_by_area,
    closed_share_by_width,
    closing_years,
    girth_growth_mm_year,
    oval_area_mm2,
    rate_by_vigour_mm_year,
    rate_from_growth_mm_year,
    reach_years,
    sling_years,
)
from tests.mechanics.checks.case import Mark, Word, checks
from tests.mechanics.checks.units import INCH, KSI, LBF

PSI = MPA_PER_PSI
_LOAD = 5000 * LBF

# gravity; along the grain; across at 0.5, 0.625, 0.75 and 1 in [psi]
_DOWELS = """
0.42 4704 2452 2193 2002 1734
0.50 5600 3158 2824 2578 2233
0.73 8176 5466 4889 4463 3865
"""


def a_joint(angle=90.0, main_mm=14 * INCH, gravity=0.5, diameter=0.75 * INCH):
    """A pin of 3/4 in through 14 in of green wood between steel of 12 mm."""
    along, across = bearing_along_mpa(gravity), bearing_across_mpa(gravity, diameter)
    wood = hankinson_mpa(along, across, angle)
    return PinJoint(diameter, main_mm, 12.0, wood, 600.0, 310.0, angle)


def _dowel_rows():
    for line in _DOWELS.strip().splitlines():
        gravity, along, *across = line.split()
        g = float(gravity)
        yield (
            f"gravity {gravity}, along",
            partial(lambda g: bearing_along_mpa(g) / PSI, g), float(along),
        )  # fmt: skip
        for inches, value in zip((0.5, 0.625, 0.75, 1.0), across, strict=True):
            got = partial(lambda g, d: bearing_across_mpa(g, d * INCH) / PSI, g, inches)
            yield f"gravity {gravity}, across, {inches} in", got, float(value)


def _hankinson_psi(angle):
    return hankinson_mpa(5600 * PSI, 2578 * PSI, angle) / PSI


def _mean_psi():
    return mean_bearing_mpa(_LOAD, 0.75 * INCH, 14 * INCH) / PSI


def _crushing_lbf(angle):
    return yield_modes_n(a_joint(angle)).main_crushes_n / LBF


PINS = [
    *checks(
        Word("NDS table 12.3.3 formulas, as reproduced", Mark.HAND, "psi", 1.0),
        _dowel_rows(),
    ),
    *checks(
        Word("Hankinson, as reproduced", Mark.HAND, "psi", 2.0),
        [
            ("bearing at 45°", partial(_hankinson_psi, 45.0), 3531.0),
            ("bearing at 0°", partial(_hankinson_psi, 0.0), 5600.0),
            ("bearing at 90°", partial(_hankinson_psi, 90.0), 2578.0),
        ],
    ),
    *checks(
        Word(
            "V / D t and V / 2 A, 5000 lb on 3/4 in through 14 in",
            Mark.HAND,
            "psi",
            1.0,
        ),
        [
            ("pin on wood, mean", _mean_psi, 476.0),
            (
                "pin cut twice",
                lambda: double_shear_mpa(_LOAD, 0.75 * INCH) / PSI,
                5659.0,
            ),
        ],
    ),
    *checks(
        Word("476 of 2578 psi", Mark.HAND, "%"),
        [
            (
                "pin on wood, share of its bearing",
                lambda: 100 * _mean_psi() * PSI / bearing_across_mpa(0.5, 0.75 * INCH),
                "18",
            )
        ],
    ),
    *checks(
        Word("NDS 12.3.1 mode Im, form from memory", Mark.HAND, "lbf", 5.0),
        [
            ("wood crushes across the grain", partial(_crushing_lbf, 90.0), 5414.0),
            ("wood crushes along the grain", partial(_crushing_lbf, 0.0), 14_700.0),
        ],
    ),
    *checks(
        Word("V L / 8", Mark.HAND, "N mm", 1e-6),
        [
            (
                "pin pressed evenly both ways",
                partial(pin_moment_nmm, 8000.0, 200.0),
                200e3,
            )
        ],
    ),
    *checks(
        Word("32 M / π d³", Mark.HAND, "MPa"),
        [("bending of 20 mm", partial(bending_mpa, 200e3, 20.0), "254.6")],
    ),
    *checks(
        Word("AISC 360 J3, 0.45 Fu on two planes over 2.0", Mark.MEMORY, "N", 1.0),
        [
            (
                "shear of 20 mm of 400 MPa",
                partial(shear_allowable_n, 20.0, 400.0),
                0.45 * 400 * math.pi * 100,
            )
        ],
    ),
    *checks(
        Word("AISC 360 D2, Fy A / 1.67", Mark.MEMORY, "kip"),
        [
            (
                "1 in rod of 36 and 60 ksi, allowable",
                lambda: rod_allowable_n(INCH, 60 * KSI, 36 * KSI) / LBF / 1000,
                "16.9",
            )
        ],
    ),
]


def _middle(width, rate, **more):
    return closing_years(width, rate, **more).middle


def _circle_mm2():
    heights = np.linspace(-20.0, 20.0, 401)
    return area_from_widths_mm2(heights, 2 * np.sqrt(400.0 - heights**2))


WOUNDWOOD = [
    *(
        each
        for width, rate, years, source in (
            (80, 18.4, "4.35", "oriental beech, Padova study"),
            (25, 13.0, "1.92", "ash, Vasiliauskas and Stenlid 1998"),
            (80, 6.4, "12.5", "lime, Hyrcanian study"),
        )
        for each in checks(
            Word(f"rate: {source}; width over rate", Mark.HAND, "y"),
            [
                (
                    f"{width} mm closing at {rate} mm/y",
                    partial(_middle, width, rate),
                    years,
                )
            ],
        )
    ),
    *checks(
        Word("only down to its pin", Mark.HAND, "y", 1e-9),
        [
            (
                "hole of 45 mm about a pin of 25",
                partial(_middle, 45.0, 10.0, hardware_mm=25.0),
                2.0,
            ),
            (
                "hole of 20 mm about a pin of 25",
                partial(_middle, 20.0, 10.0, hardware_mm=25.0),
                0.0,
            ),
        ],
    ),
    *checks(
        Word("Neely 1979: 11/16, 1/2 and 3/8 in", Mark.SEEN, "mm", 1e-9),
        (
            (
                f"closed in one season, {n + 1}",
                partial(lambda n: list(ONE_SEASON_MM.values())[n], n),
                width,
            )
            for n, width in enumerate((17.4625, 12.7, 9.525))
        ),
    ),
    *checks(
        Word(
            "ash, 128 mm in ten years, Vasiliauskas and Stenlid",
            Mark.SEEN,
            "mm/y",
            0.21,
        ),
        [
            (
                "a wound of 80 mm in good vigour",
                partial(rate_by_vigour_mm_year, Vigour.GOOD, 80.0),
                12.8,
            )
        ],
    ),
    *checks(
        Word("Hyrcanian study, ash", Mark.SEEN, "mm/y", 1e-9),
        [("fastest closure believed", lambda: FASTEST_MM_YEAR, 24.0)],
    ),
    *checks(
        Word(
            "2 k g, capped at 24; holes below 30 mm at half", Mark.CUSTOM, "mm/y", 1e-9
        ),
        [
            ("closure at 3 mm of growth", partial(rate_from_growth_mm_year, 3.0), 12.0),
            ("closure at 9 mm of growth", partial(rate_from_growth_mm_year, 9.0), 24.0),
            (
                "a hole of 25 mm in good vigour",
                partial(rate_by_vigour_mm_year, Vigour.GOOD, 25.0),
                6.5,
            ),
        ],
    ),
    *checks(
        Word("60 to 15 mm, alike in shape", Mark.HAND, "", 1e-9),
        [
            ("closed by width", partial(closed_share_by_width, 60.0, 15.0), 0.75),
            (
                "closed by area",
                lambda: closed_share_by_area(
                    oval_area_mm2(60.0, 80.0), oval_area_mm2(15.0, 20.0)
                ),
                0.9375,
            ),
        ],
    ),
    *checks(
        Word("π r²", Mark.HAND, "mm²", 1.3),
        [("area from widths of a circle", _circle_mm2, math.pi * 400)],
    ),
    *checks(
        Word("by hand", Mark.HAND, "y"),
        [
            (
                "bark reaches a nut 40 mm out",
                partial(reach_years, 40.0, 0.0, 3.0),
                "13.33",
            ),
            (
                "the same with 20 mm to stand out",
                partial(reach_years, 40.0, 20.0, 3.0),
                "6.67",
            ),
            ("a sling with 150 mm to spare", partial(sling_years, 150.0, 3.0), "7.96"),
        ],
    ),
    *checks(
        Word("2 π 3 mm", Mark.HAND, "mm/y"),
        [
            (
                "girth at 3 mm of radial growth",
                partial(girth_growth_mm_year, 3.0),
                "18.85",
            )
        ],
    ),
]
