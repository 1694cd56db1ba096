"""Columns by AISC and by Eurocode."""

from functools import partial

from scipy.optimize import brentq

from monitor.mechanics import columns_aisc as aisc
from monitor.mechanics import columns_ec3 as ec3
from monitor.mechanics.sections import (
    Section,
    aisc_box,
    box_less_outside,
    box_section,
    hot_finished_box,
)
from tests.mechanics.checks.case import Mark, Word, checks
from tests.mechanics.checks.units import FOOT, INCH, KIP, KSI

_KN = KIP / 1000.0
_E3 = "AISC 360 E3"
_HAND_E3 = Word(f"{_E3}; the printed table row was not seen", Mark.HAND, "kip", 0.1)


def printed_column(area_in2, radius_in, length_ft, fy_ksi):
    """A column by its printed area and radius."""
    section = Section(
        area_in2 * INCH**2, area_in2 * radius_in**2 * INCH**4, radius_in * INCH,
        1.0, 1.0, 14.2,
    )  # fmt: skip
    return aisc.Column(section, length_ft * FOOT, 1.0, fy_ksi * KSI, 33.7)


def _design(*column):
    return aisc.design_column(printed_column(*column)).design_kn / _KN


def _allowable(*column):
    return aisc.allowable_column(printed_column(*column)).allowable_kn / _KN


def _stress_ksi(slenderness):
    return aisc.elastic_stress_mpa(slenderness) / KSI


def _turn(fy_ksi):
    """Slenderness at which buckling turns elastic: Fy is 2.25 times Euler's stress."""
    return brentq(
        lambda s: 2.25 * aisc.elastic_stress_mpa(s) - fy_ksi * KSI, 20.0, 400.0
    )


def _strength_left(loss_in):
    tube = aisc_box(4 * INCH, 4 * INCH, 0.233 * INCH)

    def strength(loss):
        section = box_section(box_less_outside(tube, loss * INCH))
        column = aisc.Column(section, 12 * FOOT, 1.0, 50 * KSI, 33.7)
        return aisc.allowable_column(column).allowable_kn

    return strength(loss_in) / strength(0.0)


_HSS4 = """
6  120.0 79.8 128.7 85.6
8  106.7 71.0 113.3 75.4
10 91.7  61.0 96.2  64.0
12 76.3  50.7 78.7  52.3
14 61.3  40.8 62.1  41.3
15 54.3  36.1 54.3  36.1
18 37.7  25.1 37.7  25.1
"""


def _hss_rows():
    for line in _HSS4.strip().splitlines():
        length, *values = map(float, line.split())
        asked = [(f, fy) for fy in (46, 50) for f in (_design, _allowable)]
        for (strength, fy), value in zip(asked, values, strict=True):
            word = "φPn" if strength is _design else "Pn/Ω"
            yield (
                f"HSS4x4x1/4, {length:g} ft, Fy {fy}: {word}",
                partial(strength, 3.37, 1.52, length, fy), value,
            )  # fmt: skip


AISC = [
    *checks(
        Word("AISC Design Examples, Euler stress, as reproduced", Mark.SEEN, "ksi"),
        [
            ("Euler stress at 68.5", partial(_stress_ksi, 68.5), "60.998"),
            ("Euler stress at 145", partial(_stress_ksi, 145.0), "13.613"),
        ],
    ),
    *checks(
        Word("AISC 360 E3, 4.71 sqrt(E/Fy)", Mark.HAND, "", 0.2),
        (
            (
                f"slenderness where buckling turns elastic, Fy {fy}",
                partial(_turn, fy),
                limit,
            )
            for fy, limit in ((35, 135.6), (46, 118.3), (50, 113.4))
        ),
    ),
    *checks(
        Word("AISC 360 table B4.1a, as reproduced", Mark.SEEN),
        (
            (
                f"wall of a box that counts in full, Fy {fy}",
                partial(aisc.box_wall_limit, fy * KSI),
                limit,
            )
            for fy, limit in ((46, "35.2"), (50, "33.7"))
        ),
    ),
    *checks(
        Word("AISC commentary table C-A-7.1, as reproduced", Mark.SEEN, "K", 1e-12),
        (
            (f"length factor {end}", partial(aisc.LENGTH_FACTOR.get, end), factor)
            for end, factor in (
                (aisc.EndFixity.PINNED_PINNED, 1.0),
                (aisc.EndFixity.FIXED_PINNED, 0.80),
            )
        ),
    ),
    *checks(
        Word("AISC commentary table C-A-7.1", Mark.MEMORY, "K", 1e-12),
        (
            (f"length factor {end}", partial(aisc.LENGTH_FACTOR.get, end), factor)
            for end, factor in (
                (aisc.EndFixity.FIXED_FIXED, 0.65),
                (aisc.EndFixity.FIXED_FREE, 2.1),
            )
        ),
    ),
    *checks(
        Word("AISC Design Examples E.9, as reproduced", Mark.SEEN, "kip", 1.0),
        [
            (
                "HSS12x10x3/8, 16 ft, Fy 50: φPn",
                partial(_design, 14.6, 4.01, 16, 50),
                556,
            )
        ],
    ),
    *checks(
        Word("AISC Manual table 4-5, as reproduced", Mark.SEEN, "kip", 5.0),
        [
            (
                "HSS20x.500, no length, Fy 50: φPn",
                partial(_design, 28.5, 6.91, 0.01, 50),
                1280,
            ),
            (
                "HSS20x.500, 18 ft, Fy 50: φPn",
                partial(_design, 28.5, 6.91, 18, 50),
                1190,
            ),
        ],
    ),
    *checks(_HAND_E3, _hss_rows()),
    *checks(
        _HAND_E3,
        (
            (
                f"Pipe 2-1/2 STD, {length} ft, Fy 35: φPn",
                partial(_design, 1.61, 0.952, length, 35),
                value,
            )
            for length, value in ((6, 37.8), (8, 30.1), (10, 22.5), (12, 15.9))
        ),
    ),
    *checks(
        _HAND_E3,
        (
            (
                f"HSS4.000x.250, {length} ft, Fy 46: φPn",
                partial(_design, 2.76, 1.33, length, 46),
                value,
            )
            for length, value in ((8, 80.5), (10, 66.1), (12, 51.9), (14, 39.1))
        ),
    ),
    *checks(
        Word(f"{_E3}, HSS4x4x1/4, 12 ft, Fy 50", Mark.HAND, "", 0.001),
        (
            (
                f"strength left after {loss} in outside",
                partial(_strength_left, loss),
                left,
            )
            for loss, left in (
                (0.01, 0.952),
                (0.02, 0.904),
                (0.04, 0.810),
                (0.05, 0.764),
            )
        ),
    ),
    *checks(
        Word("AISC Design Example H.1B, inputs as reproduced", Mark.SEEN, "", 0.001),
        [
            (
                "axial and bending, first branch",
                partial(aisc.interaction, 400 / 1130, 250 / 642 + 80 / 311),
                0.929,
            )
        ],
    ),
    *checks(
        Word("AISC 360 H1-1b", Mark.HAND, "", 1e-12),
        [
            (
                "axial and bending, second branch",
                partial(aisc.interaction, 5 / 50, 20 / 100),
                0.250,
            ),
            (
                "the branches meet where M is 0.9 of Mc, above",
                partial(aisc.interaction, 0.2, 0.9),
                1.0,
            ),
        ],
    ),
    *checks(
        Word("AISC 360 H1-1b", Mark.HAND, "", 1e-6),
        [
            (
                "the branches meet where M is 0.9 of Mc, below",
                partial(aisc.interaction, 0.2 - 1e-9, 0.9),
                1.0,
            )
        ],
    ),
    *checks(
        Word("AISC 360 appendix 8, 1 / (1 - 1.6 x 10 / 24.41)", Mark.HAND),
        [
            (
                "amplifier of a swaying post",
                partial(aisc.amplifier, 10, 24.41, 1.6),
                "2.90",
            )
        ],
    ),
]

_CHI = {
    1.0: {"a0": "0.7253", "a": "0.6656", "b": "0.5970", "c": "0.5399", "d": "0.4671"},
    0.5: {"a": "0.9243", "c": "0.8430"},
    2.0: {"a": "0.2229", "c": "0.1962"},
}
# length, Ncr, relative slenderness, chi, resistance by curves a and c [kN]
_SHS = (
    (3000.0, 772.8, 1.0321, 0.6432, 529, 429),
    (4000.0, 434.7, 1.3761, 0.4298, 354, 295),
    (5000.0, 278.2, 1.7201, 0.2932, 241, 208),
)


def _european(length_mm, forming, name):
    tube = box_section(hot_finished_box(100.0, 100.0, 6.3))
    column = ec3.Column(tube, length_mm, 355.0, forming, 34.0)
    return getattr(ec3.resistance_column(column), name)


def _ncr_kn(length_mm):
    tube = box_section(hot_finished_box(100.0, 100.0, 6.3))
    return ec3.elastic_load_n(tube.inertia_mm4, length_mm) / 1000.0


def _european_rows():
    hot, cold = ec3.Forming.HOT_FINISHED, ec3.Forming.COLD_FORMED
    for length, ncr, slender, chi, by_a, by_c in _SHS:
        name = f"SHS 100x6.3 S355, {length / 1000:g} m"
        asked = partial(_european, length)
        yield f"{name}: Ncr [kN]", partial(_ncr_kn, length), ncr, 0.002
        yield (
            f"{name}: slenderness",
            partial(asked, hot, "relative_slenderness"),
            slender,
            0.001,
        )
        yield f"{name}: χ, curve a", partial(asked, hot, "reduction"), chi, 0.002
        yield (
            f"{name}: Nb,Rd, curve a [kN]",
            partial(asked, hot, "resistance_kn"),
            by_a,
            0.005,
        )
        yield (
            f"{name}: Nb,Rd, curve c [kN]",
            partial(asked, cold, "resistance_kn"),
            by_c,
            0.005,
        )


EUROCODE = [
    *checks(
        Word("EN 1993-1-1 equation 6.49", Mark.HAND, "χ", 0.0001),
        (
            (
                f"χ at {slender}, curve {curve}",
                partial(ec3.reduction, slender, ec3.Curve(curve)),
                float(value),
            )
            for slender, values in _CHI.items()
            for curve, value in values.items()
        ),
    ),
    *(
        each
        for name, got, value, share in _european_rows()
        for each in checks(
            Word("EN 1993-1-1 6.3.1.2", Mark.HAND, "", share * value),
            [(name, got, value)],
        )
    ),
]
