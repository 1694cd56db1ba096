"""Rust in air and in the ground, zinc and paint."""

from functools import partial

from monitor.mechanics.buried import (
    Ground,
    buried_loss_mm,
    fill_steel_loss_um,
    fill_zinc_loss_um,
)
from monitor.mechanics.coating import (
    Durability,
    ZincLife,
    galvanising_minimum_um,
    repaint_window_years,
    rust_grade,
    rust_grade_d610,
    zinc_life_years,
    zinc_mass_g_m2,
)
from monitor.mechanics.corrosion import (
    Bound,
    Category,
    Climate,
    Law,
    Metal,
    attack_um,
    category_of,
    exponent,
    first_year_band_um,
    multiplier,
    power_multiplier,
    steel_rate_um,
    zinc_rate_um,
)
from tests.mechanics.checks.case import Mark, Word, checks

_COLUMNS = [(metal, bound) for metal in Metal for bound in Bound]
_STEEL, _ZINC = Metal.STEEL, Metal.ZINC
_CLIMATE = Climate(10.0, 80.0, 5.0, 10.0)

_BANDS = {
    _STEEL: ("1.3", "25", "50", "80", "200", "700"),
    _ZINC: ("0.1", "0.7", "2.1", "4.2", "8.4", "25"),
}
_EXPONENTS = ["0.523", "0.575", "0.813", "0.873", "0.667", "0.726", "0.728", "0.807"]
# years; then steel, zinc, copper and aluminium, each mean and upper
_TABLE_3 = """
1  1     1     1      1      1      1      1      1
2  1.437 1.490 1.757  1.831  1.588  1.654  1.656  1.750
5  2.320 2.523 3.701  4.076  2.926  3.217  3.227  3.665
10 3.334 3.758 6.501  7.464  4.645  5.321  5.346  6.412
15 4.122 4.745 9.040  10.635 6.088  7.142  7.181  8.894
20 4.791 5.599 11.422 13.671 7.375  8.801  8.854  11.218
50 7.737 9.482 24.058 30.423 13.590 17.118 17.252 23.500
"""
_ATTACK_YEARS = (1, 2, 5, 10, 15, 20, 30, 50)
_ATTACK = """
C2 25.0 35.9  58.0  83.4  103.0 119.8 151.1  213.7
C3 50.0 71.8  116.0 166.7 206.1 239.6 302.2  427.5
C4 80.0 115.0 185.6 266.7 329.8 383.3 483.5  684.0
C5 200  287.4 464.1 666.9 824.4 958.2 1208.8 1710
CX 700  1006  1624  2334  2885  3354  4231   5985
C2 0.70 1.23  2.59  4.55  6.33  8.00  11.25  17.75
C3 2.10 3.69  7.77  13.65 18.98 23.99 33.74  53.24
C4 4.20 7.38  15.54 27.31 37.97 47.97 67.47  106.5
C5 8.40 14.76 31.08 54.61 75.93 95.94 134.9  213
"""
_LIVES = """
85 257 201 121 82.6 64.9 40.5 39.0 31.0 20.2 17.2 14.2 10.1 4.5 4.1 3.4
70 211 165 100 67.2 52.9 33.3 31.3 25.0 16.7 13.6 11.3 8.3  3.5 3.3 2.8
55 165 129 78.6 51.8 41.0 26.2 23.6 19.0 13.1 10.1 8.6 6.5  2.6 2.5 2.2
"""
_BURIED = """
0.00 0.30 0.60 0.90 1.20 1.50
0.15 0.75 1.50 2.25 3.00 3.75
0.20 1.00 1.75 2.50 3.25 4.00
0.18 0.70 1.20 1.70 2.20 2.70
0.50 2.00 3.25 4.50 5.75 7.00
"""


def _lines(text):
    return [line.split() for line in text.strip().splitlines()]


def _upper(metal, category):
    return first_year_band_um(metal, category)[1]


def _attack_rows():
    metals = [_STEEL] * 5 + [_ZINC] * 4
    for metal, (name, *values) in zip(metals, _lines(_ATTACK), strict=True):
        law = Law(_upper(metal, Category(name)), exponent(metal, Bound.MEAN))
        for years, value in zip(_ATTACK_YEARS, values, strict=True):
            yield (
                f"{metal} lost in {name}, {years} y",
                partial(attack_um, law, years),
                value,
            )


def _life_rows():
    order = [(c, law) for c in ("C2", "C3", "C4", "C5", "CX") for law in _LAWS]
    for coating, *values in _lines(_LIVES):
        for (name, law), value in zip(order, values, strict=True):
            rate = _upper(_ZINC, Category(name))
            yield (
                f"life of {coating} µm of zinc in {name}, {law}",
                partial(zinc_life_years, float(coating), rate, law),
                value,
            )


_LAWS = (ZincLife.MEAN, ZincLife.UPPER, ZincLife.CONSTANT)

AIR = [
    *checks(
        Word("ISO 9223:2012 table 2, as reproduced", Mark.SEEN, "µm/y", 1e-9),
        (
            (f"upper end of {c} for {m}", partial(_upper, m, c), float(value))
            for m, values in _BANDS.items()
            for c, value in zip(Category, values, strict=True)
        ),
    ),
    *checks(
        Word("ISO 9223:2012 table 2, as reproduced", Mark.SEEN),
        (
            (
                f"category of {rate} µm of steel",
                partial(category_of, _STEEL, rate),
                name,
            )
            for rate, name in (
                (1.3, "C1"),
                (25, "C2"),
                (25.1, "C3"),
                (80, "C4"),
                (200, "C5"),
                (700, "CX"),
            )
        ),
    ),
    *checks(
        Word("ISO 9223:2012 equations 1 and 2, as reproduced", Mark.HAND, "µm/y", 0.02),
        [("steel by dose and response", partial(steel_rate_um, _CLIMATE), 29.13)],
    ),
    *checks(
        Word(
            "ISO 9223:2012 equations 1 and 2, as reproduced", Mark.HAND, "µm/y", 0.002
        ),
        [("zinc by dose and response", partial(zinc_rate_um, _CLIMATE), 1.327)],
    ),
    *checks(
        Word("ISO 9224:2012 table 2, as reproduced", Mark.SEEN, "", 1e-12),
        (
            (f"exponent of {m}, {b}", partial(exponent, m, b), float(value))
            for (m, b), value in zip(_COLUMNS, _EXPONENTS, strict=True)
        ),
    ),
    *checks(
        Word("ISO 9224:2012 table 3, as reproduced", Mark.SEEN, "×"),
        (
            (
                f"{m} {b} after {years} y, power law",
                partial(power_multiplier, float(years), exponent(m, b)),
                value,
            )
            for years, *values in _lines(_TABLE_3)
            for (m, b), value in zip(_COLUMNS, values, strict=True)
        ),
    ),
    *checks(
        Word("ISO 9224:2012, b 20^(b-1)", Mark.HAND, "×/y"),
        (
            (
                f"slope of the tail, b {b}",
                partial(lambda b: multiplier(21.0, b) - multiplier(20.0, b), b),
                slope,
            )
            for b, slope in (
                (0.523, "0.12529"),
                (0.575, "0.16096"),
                (0.813, "0.46430"),
                (0.873, "0.59674"),
            )
        ),
    ),
    *checks(
        Word("ISO 9224:2012, tail over power law at 50 y", Mark.HAND, "%"),
        (
            (
                f"the tail is the larger loss of {metal}",
                partial(
                    lambda b: (
                        100 * (multiplier(50.0, b) / power_multiplier(50.0, b) - 1)
                    ),
                    exponent(metal, Bound.MEAN),
                ),
                more,
            )
            for metal, more in ((_STEEL, "10.5"), (_ZINC, "5.4"))
        ),
    ),
    *checks(
        Word("ISO 9224:2012 on the upper rate of the category", Mark.HAND, "µm"),
        _attack_rows(),
    ),
]

COATINGS = [
    *checks(
        Word("ISO 9224:2012 inverted; constant rate as ISO 14713-1", Mark.HAND, "y"),
        _life_rows(),
    ),
    *checks(
        Word("ISO 1461 table 3, as reproduced", Mark.SEEN, "µm", 1e-9),
        (
            (
                f"least {('local', 'mean')[n]} zinc on {steel} mm",
                partial(lambda steel, n: galvanising_minimum_um(steel)[n], steel, n),
                value,
            )
            for steel, pair in (
                (8.0, (70, 85)),
                (6.0, (55, 70)),
                (3.5, (55, 70)),
                (3.0, (45, 55)),
                (1.5, (45, 55)),
                (1.2, (35, 45)),
            )
            for n, value in enumerate(pair)
        ),
    ),
    *checks(
        Word("ISO 1461, as reproduced", Mark.SEEN, "g/m²", 3.0),
        [("mass of 85 µm of zinc", partial(zinc_mass_g_m2, 85.0), 610.0)],
    ),
    *checks(
        Word("ISO 12944-1, as reproduced", Mark.SEEN, "y", 1e-9),
        (
            (
                f"{('earliest', 'latest')[n]} first repaint, {durability}",
                partial(lambda d, n: repaint_window_years(d)[n], durability, n),
                value,
            )
            for durability, n, value in (
                (Durability.LOW, 1, 7),
                (Durability.MEDIUM, 0, 7),
                (Durability.MEDIUM, 1, 15),
                (Durability.HIGH, 0, 15),
                (Durability.HIGH, 1, 25),
                (Durability.VERY_HIGH, 0, 25),
            )
        ),
    ),
    *checks(
        Word("ISO 4628-3, as reproduced", Mark.SEEN),
        (
            (f"rust grade of {area} %", partial(rust_grade, area), grade)
            for area, grade in (
                (0.0, "Ri0"),
                (0.05, "Ri1"),
                (0.5, "Ri2"),
                (1.0, "Ri3"),
                (8.0, "Ri4"),
                (40.0, "Ri5"),
                (50.0, "Ri5"),
            )
        ),
    ),
    *checks(
        Word("ASTM D610, as reproduced", Mark.SEEN, "", 1e-9),
        (
            (f"ASTM grade of {area} % rust", partial(rust_grade_d610, area), grade)
            for area, grade in (
                (0.01, 10),
                (0.03, 9),
                (0.1, 8),
                (0.3, 7),
                (1.0, 6),
                (3.0, 5),
                (10.0, 4),
                (16.0, 3),
                (33.0, 2),
                (50.0, 1),
                (60.0, 0),
            )
        ),
    ),
]

BURIED = [
    *checks(
        Word(
            "EN 1993-5 table 4-1 (125 y: UK national annex), as reproduced",
            Mark.SEEN,
            "mm",
            1e-9,
        ),
        (
            (
                f"{ground}, {years} y",
                partial(buried_loss_mm, ground, years),
                float(value),
            )
            for ground, values in zip(Ground, _lines(_BURIED), strict=True)
            for years, value in zip((5, 25, 50, 75, 100, 125), values, strict=True)
        ),
    ),
    *checks(
        Word("EN 1993-5 table 4-1, straight between ages", Mark.HAND, "mm", 0.005),
        [
            (
                f"{Ground.NATURAL}, 40 y",
                partial(buried_loss_mm, Ground.NATURAL, 40),
                0.48,
            ),
            (f"{Ground.PEAT}, 30 y", partial(buried_loss_mm, Ground.PEAT, 30), 1.15),
        ],
    ),
    *checks(
        Word("AASHTO reinforced-earth model, as reproduced", Mark.SEEN, "µm", 1e-6),
        [("zinc lost in clean fill, 16 y", partial(fill_zinc_loss_um, 16.0), 86.0)],
    ),
    *checks(
        Word("AASHTO reinforced-earth model, 12 µm/y", Mark.MEMORY, "µm", 1e-6),
        [
            (
                "steel lost in clean fill ten years after the zinc",
                partial(fill_steel_loss_um, 86.0, 26.0),
                120.0,
            ),
        ],
    ),
]
