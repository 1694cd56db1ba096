"""Hollow sections as new and with metal lost."""

from functools import partial

import numpy as np

from monitor.mechanics.sections import (
    BoxTube,
    RoundTube,
    aisc_box,
    box_less_outside,
    box_section,
    cold_formed_box,
    design_wall_mm,
    hot_finished_box,
    round_less_inside,
    round_less_outside,
    round_section,
    weight_kg_m,
)
from tests.mechanics.checks.case import Mark, Word, checks
from tests.mechanics.checks.units import INCH, LB_FT

_NAMES = ("area", "inertia", "radius", "elastic modulus", "plastic modulus")
_FIELDS = ("area_mm2", "inertia_mm4", "radius_mm", "elastic_mm3", "plastic_mm3")
_POWERS = (2, 4, 1, 3, 3)


def _asked(section, n, size_mm):
    """One property of a section in another unit of length."""
    return getattr(section(), _FIELDS[n]) / size_mm ** _POWERS[n]


def _square(side_in, wall_in):
    return box_section(aisc_box(side_in * INCH, side_in * INCH, wall_in * INCH))


def _pipe(outer_in, wall_in):
    return round_section(RoundTube(outer_in * INCH, wall_in * INCH))


def _hot(side, wall):
    return box_section(hot_finished_box(side, side, wall))


def _cold(side, wall):
    return box_section(cold_formed_box(side, side, wall))


def _rows(name, section, values, size_mm):
    return [
        (f"{name}: {_NAMES[n]}", partial(_asked, section, n, size_mm), float(value))
        for n, value in enumerate(values)
        if value is not None
    ]


def _shapes(word, share, shapes, size_mm):
    """Properties of shapes, each met to a share of its value."""
    return [
        each
        for name, section, values in shapes
        for row in _rows(name, section, values, size_mm)
        for each in checks(Word(word[0], word[1], word[2], share * row[2]), [row])
    ]


def _pounds(section):
    return weight_kg_m(section().area_mm2) / LB_FT


def _kilograms(section):
    return weight_kg_m(section().area_mm2)


def _left(new, less, n):
    """Share of a property that is left."""
    before, after = new(), less()
    return getattr(after, _FIELDS[n]) / getattr(before, _FIELDS[n])


def _square_less(loss_in):
    tube = aisc_box(4 * INCH, 4 * INCH, 0.233 * INCH)
    return box_section(box_less_outside(tube, loss_in * INCH))


def _pipe_less(loss_in):
    tube = RoundTube(2.875 * INCH, 0.203 * INCH)
    return round_section(round_less_outside(tube, loss_in * INCH))


def _hot_less(loss_mm):
    return box_section(box_less_outside(hot_finished_box(100.0, 100.0, 6.3), loss_mm))


def _inside_lost_pct(left_mm):
    tube = RoundTube(114.3, 5.0)
    left = round_section(round_less_inside(tube, 5.0 - left_mm)).area_mm2
    return 100.0 * (1.0 - left / round_section(tube).area_mm2)


def _post_of_the_trade():
    """Weight of a 175 in post with plates of 10 and 12 in and a 20 in screw, in words.

    The sizes of plates and screw belong to this check only.
    """
    post = weight_kg_m(_square(4.0, 0.25).area_mm2) * 175 * INCH / 1000
    plates = 7850e-9 * (10**2 + 12**2) * INCH**2 * INCH
    screw = weight_kg_m(np.pi / 4 * (1.5 * INCH) ** 2) * 20 * INCH / 1000
    pounds = (post + plates + screw) / 0.45359237
    return "well over 200 lb" if pounds > 210 else f"{pounds:.0f} lb"


_TABLE_12 = (
    ("HSS4x4x1/4", partial(_square, 4.0, 0.233), (3.37, 7.80, 1.52, 3.90, 4.69)),
    ("HSS4x4x3/16", partial(_square, 4.0, 0.174), (2.58, 6.21, 1.55, 3.10, 3.67)),
    ("HSS3x3x1/4", partial(_square, 3.0, 0.233), (2.44, 3.02, 1.11, 2.01, 2.48)),
)
_TABLE_13 = (
    ("HSS4.000x.250", partial(_pipe, 4.0, 0.233), (2.76, 4.91, 1.33, 2.45, 3.31)),
    ("Pipe 2-1/2 STD", partial(_pipe, 2.875, 0.189), (1.61, 1.45, 0.952, 1.01, 1.37)),
    ("Pipe 3 STD", partial(_pipe, 3.5, 0.201), (2.07, 2.85, 1.17, 1.63, 2.19)),
    ("Pipe 4 STD", partial(_pipe, 4.5, 0.221), (2.96, 6.82, 1.51, 3.03, 4.05)),
)
_EN_10210 = (
    ("SHS 80x6.3 hot", partial(_hot, 80.0, 6.3), (18.1, 162, 2.99, 40.5, 49.7)),
    ("SHS 90x4 hot", partial(_hot, 90.0, 4.0), (13.6, 166, 3.50, 37.0, 43.6)),
)
_OWN_CM = (
    ("SHS 80x6.3 hot, unrounded", partial(_hot, 80.0, 6.3), (18.15, 161.9, 2.99)),
    ("SHS 90x4 hot, unrounded", partial(_hot, 90.0, 4.0), (13.59, 166.3, 3.50)),
    ("SHS 100x6.3 hot", partial(_hot, 100.0, 6.3), (23.2, 336, 3.80, 67.1)),
    ("SHS 100x6.3 cold", partial(_cold, 100.0, 6.3), (22.2, 314, 3.76, 62.8)),
)
_OWN_IN = (
    ("HSS4x4x1/4, unrounded", partial(_square, 4.0, 0.233), (3.371, 7.801, 1.521)),
    ("HSS3x3x1/4, unrounded", partial(_square, 3.0, 0.233), (2.439, 3.018, 1.112)),
    ("HSS4x4x1/4, nominal wall", partial(_square, 4.0, 0.25), (3.589,)),
    (
        "2-1/2 in pipe, nominal wall",
        partial(_pipe, 2.875, 0.203),
        (1.704, 1.530, 0.947),
    ),
    ("2-1/2 in pipe, design wall", partial(_pipe, 2.875, 0.189), (1.595, 1.445)),
)
_WEIGHTS = (
    ("HSS4x4x1/4", partial(_square, 4.0, 0.25), 12.21),
    ("HSS4x4x3/16", partial(_square, 4.0, 0.1875), 9.42),
    ("HSS3x3x1/4", partial(_square, 3.0, 0.25), 8.81),
    ("HSS4.000x.250", partial(_pipe, 4.0, 0.25), 10.0),
    ("Pipe 2-1/2 STD", partial(_pipe, 2.875, 0.203), 5.80),
    ("Pipe 3 STD", partial(_pipe, 3.5, 0.216), 7.58),
    ("Pipe 4 STD", partial(_pipe, 4.5, 0.237), 10.8),
)
_LOSSES = (
    (0.010, ("0.9550", "0.9500", "0.9974")), (0.020, ("0.9102", "0.9008", "0.9948")),
    (0.040, ("0.8211", "0.8042", "0.9896")), (0.100, ("0.5584", "0.5300", "0.9742")),
)  # fmt: skip


def _loss_rows():
    four = partial(_square, 4.0, 0.233)
    for loss, values in _LOSSES:
        for n, value in enumerate(values):
            got = partial(_left, four, partial(_square_less, loss), n)
            yield f"HSS4x4x1/4 less {loss} in outside: {_NAMES[n]} left", got, value
    pipe = partial(_pipe, 2.875, 0.203)
    for loss, values in ((0.020, ("0.8947", "0.8805")), (0.050, ("0.7396", "0.7105"))):
        for n, value in enumerate(values):
            got = partial(_left, pipe, partial(_pipe_less, loss), n)
            yield f"2-1/2 in pipe less {loss} in outside: {_NAMES[n]} left", got, value
    hot = partial(_hot, 100.0, 6.3)
    for loss, values in ((0.24, ("0.9604", "0.9557")), (1.0, ("0.8358", "0.8191"))):
        for n, value in enumerate(values):
            got = partial(_left, hot, partial(_hot_less, loss), n)
            yield f"SHS 100x6.3 less {loss} mm outside: {_NAMES[n]} left", got, value


_AISC = ("AISC Manual tables 1-12 to 1-14, as reproduced", Mark.SEEN, "in")
_FORM = ("closed form of tubes with rounded corners", Mark.HAND)

SECTIONS = [
    *_shapes(_AISC, 0.004, _TABLE_12, INCH),
    *_shapes(_AISC, 0.0125, _TABLE_13, INCH),
    *_shapes(("EN 10210-2, as reproduced", Mark.SEEN, "cm"), 0.004, _EN_10210, 10.0),
    *_shapes((*_FORM, "cm"), 0.003, _OWN_CM, 10.0),
    *_shapes((*_FORM, "in"), 0.002, _OWN_IN, INCH),
    *checks(
        Word("schoolbook: A = 4 t (B - t), I = (B^4 - b^4) / 12", Mark.SEEN, "mm", 1.0),
        _rows(
            "square tube with sharp corners",
            partial(box_section, BoxTube(100.0, 100.0, 5.0, 0.0, 0.0)),
            (1900.0, (100.0**4 - 90.0**4) / 12),
            1.0,
        ),
    ),
    *(
        each
        for name, section, pounds in _WEIGHTS
        for each in checks(
            Word(
                "AISC Manual tables 1-12 to 1-14, as reproduced",
                Mark.SEEN,
                "lb/ft",
                0.005 * pounds,
            ),
            [(f"{name}: weight", partial(_pounds, section), pounds)],
        )
    ),
    *checks(
        Word("EN 10210-2, as reproduced", Mark.SEEN, "kg/m", 0.06),
        [
            ("SHS 80x6.3 hot: weight", partial(_kilograms, _EN_10210[0][1]), 14.2),
            ("SHS 90x4 hot: weight", partial(_kilograms, _EN_10210[1][1]), 10.7),
        ],
    ),
    *checks(
        Word("closed form and 7850 kg/m³", Mark.HAND, "kg/m"),
        [
            (
                "SHS 80x6.3 hot: weight, unrounded",
                partial(_kilograms, _EN_10210[0][1]),
                "14.25",
            ),
            ("SHS 100x6.3 hot: weight", partial(_kilograms, _OWN_CM[2][1]), "18.2"),
            ("SHS 100x6.3 cold: weight", partial(_kilograms, _OWN_CM[3][1]), "17.5"),
        ],
    ),
    *checks(
        Word("AISC 360 B4.2 and Manual tables, as reproduced", Mark.SEEN, "in", 0.0006),
        (
            (
                f"design wall of {nominal} in",
                partial(lambda wall: design_wall_mm(wall * INCH) / INCH, nominal),
                design,
            )
            for nominal, design in (
                (0.25, 0.233),
                (0.1875, 0.174),
                (0.203, 0.189),
                (0.216, 0.201),
                (0.237, 0.221),
            )
        ),
    ),
    *checks(
        Word("AISC 360 B4.1b, b = B - 3 t", Mark.HAND),
        [
            (
                "HSS4x4x1/4: flat over wall",
                lambda: _square(4.0, 0.233).slenderness,
                "14.2",
            )
        ],
    ),
    *checks(
        Word("closed form, metal lost evenly", Mark.HAND, "", 5e-4),
        ((name, got, float(value)) for name, got, value in _loss_rows()),
    ),
    *checks(
        Word("area of a ring", Mark.HAND, "mm²"),
        [
            (
                "tube 114.3 x 5: area",
                lambda: round_section(RoundTube(114.3, 5.0)).area_mm2,
                "1716.9",
            )
        ],
    ),
    *checks(
        Word("area of a ring", Mark.HAND, "%"),
        (
            (
                f"tube 114.3 x 5 with {left} mm left, from inside: area lost",
                partial(_inside_lost_pct, left),
                lost,
            )
            for left, lost in ((4.5, "9.6"), (3.75, "24.1"), (2.5, "48.9"))
        ),
    ),
    *checks(
        Word("trade", Mark.CUSTOM),
        [
            (
                "175 in of 4 x 4 x 1/4 in with 1 in plates and screw",
                _post_of_the_trade,
                "well over 200 lb",
            )
        ],
    ),
]
