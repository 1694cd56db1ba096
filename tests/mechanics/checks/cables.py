"""Strand, tension in service, synthetic rope."""

from functools import partial

import numpy as np
from scipy.optimize import brentq

from monitor.mechanics.cables import (
    GUY_FACTOR,
    NEWTON_PER_LBF,
    ROPE_FACTOR,
    STEEL_EXPANSION_PER_K,
    Grade,
    Span,
    breaking_n,
    sag_m,
    sag_number,
    slack_m,
    strand_mass_kg_m,
    string_frequency_hz,
    string_tension_n,
    tension_from_sag_n,
    warming_n,
    wires_left_share,
    working_load_n,
)
from monitor.mechanics.synthetic import LIFE_YEARS, Support, minimum_strength_kn
from tests.mechanics.checks.case import Mark, Word, checks

_GRADES = tuple(Grade)
# size; common, Siemens-Martin, high, extra high strength [kN]
_SEEN_KN = """
1/8  2.40  4.05  5.92  8.14
3/16 5.12  8.45  12.68 17.75
7/32 6.85  11.39 17.13 24.02
1/4  8.45  14.01 21.13 29.58
5/16 14.23 23.80 35.59
"""
_MEMORY_KN = """
3/8  18.9 30.9 48.0 68.5
7/16 25.4 41.6 64.5 92.5
1/2  32.9 53.8 83.6 119.7
"""


def _strand_rows(text):
    for line in text.strip().splitlines():
        size, *values = line.split()
        for grade, value in zip(_GRADES, values, strict=False):
            got = partial(
                lambda size, grade: breaking_n(size, grade) / 1000, size, grade
            )
            yield f"{size} in strand, {grade}", got, value


def _lbf(size, grade):
    return breaking_n(size, grade) / NEWTON_PER_LBF


def first_clamped_frequency(span, tension):
    """Outside opinion: first root of the clamped-clamped beam under tension."""
    length, mass, bending = span.length_m, span.mass_kg_m, span.bending_n_m2
    half = tension / (2 * bending)

    def equation(hz):
        root = np.sqrt(half**2 + mass * (2 * np.pi * hz) ** 2 / bending)
        a, b = np.sqrt(root + half), np.sqrt(root - half)
        sech = 1 / np.cosh(min(a * length, 300.0))
        return 2 * a * b * (sech - np.cos(b * length)) + (a**2 - b**2) * np.tanh(
            a * length
        ) * np.sin(b * length)

    taut = string_frequency_hz(span, tension)
    grid = np.linspace(1.0001 * taut, 3.0 * taut, 4000)
    values = [equation(hz) for hz in grid]
    turn = next(i for i in range(len(grid) - 1) if values[i] * values[i + 1] < 0)
    return brentq(equation, grid[turn], grid[turn + 1])


def _over_read_pct(number):
    """How much a plain string over-reads a clamped cable of a stiffness number. [%]"""
    span = Span(10.0, 0.3, 3000.0 * (10.0 / number) ** 2)
    hz = first_clamped_frequency(span, 3000.0)
    return 100 * (string_tension_n(span, hz) / 3000.0 - 1)


def _benchmark_hz(tension):
    span = Span(1.0, 6171.05 / (2 * 62.732) ** 2)
    return string_frequency_hz(span, tension)


def _sag_number(tension):
    return sag_number(Span(10.0, strand_mass_kg_m("3/8")), tension, 7.98e6)


STRAND = [
    *checks(
        Word("ASTM A475, kN as printed, as reproduced", Mark.SEEN, "kN"),
        _strand_rows(_SEEN_KN),
    ),
    *checks(
        Word("ASTM A475", Mark.MEMORY, "kN", 0.06),
        ((name, got, float(value)) for name, got, value in _strand_rows(_MEMORY_KN)),
    ),
    *checks(
        Word("ASTM A475, as reproduced", Mark.SEEN, "lbf", 1e-6),
        [
            (
                "1/4 in strand, extra high",
                partial(_lbf, "1/4", Grade.EXTRA_HIGH),
                6650.0,
            ),
            ("1/4 in strand, common", partial(_lbf, "1/4", Grade.COMMON), 1900.0),
        ],
    ),
    *checks(
        Word("WAC 296-24-29401, a fifth of breaking", Mark.SEEN, "N", 1.0),
        [
            (
                "rope: working load",
                partial(working_load_n, 29_580.0, ROPE_FACTOR),
                5916.0,
            )
        ],
    ),
    *checks(
        Word("Alberta OHS code, a third for guys", Mark.SEEN, "N", 1.0),
        [("guy: working load", partial(working_load_n, 29_580.0, GUY_FACTOR), 9860.0)],
    ),
    *checks(
        Word("one of seven", Mark.HAND, "%"),
        [
            (
                "strength lost with a wire",
                lambda: 100 * (1 - wires_left_share(1.0)),
                "14.29",
            )
        ],
    ),
]

TENSION = [
    *checks(
        Word("taut string, T = 4 m L² f²", Mark.SEEN, "N", 1e-6),
        [
            (
                "tension from 5 Hz",
                partial(string_tension_n, Span(10.0, 0.3), 5.0),
                3000.0,
            )
        ],
    ),
    *checks(
        Word("taut string", Mark.HAND, "Hz"),
        [
            (
                "frequency at 1000 N",
                partial(string_frequency_hz, Span(8.0, 0.18), 1000.0),
                "4.66",
            )
        ],
    ),
    *checks(
        Word("open finite element benchmark of a string", Mark.SEEN, "Hz", 0.002),
        [("string at 12 345.30 N", partial(_benchmark_hz, 12345.30), 88.728)],
    ),
    *checks(
        Word("open finite element benchmark of a string", Mark.SEEN, "×", 1e-5),
        [
            (
                "frequencies at twice the tension",
                lambda: _benchmark_hz(12345.30) / _benchmark_hz(6171.05),
                1.41440,
            )
        ],
    ),
    *checks(
        Word("w L² / 8 s", Mark.HAND, "N", 0.5),
        [
            (
                "tension from 50 mm of sag over 10 m",
                partial(tension_from_sag_n, 2.942, 10.0, 0.05),
                735.5,
            ),
            (
                "tension from 50 mm of sag over 8 m",
                partial(tension_from_sag_n, 1.766, 8.0, 0.05),
                283.0,
            ),
        ],
    ),
    *checks(
        Word("w L² / 8 T", Mark.HAND, "mm"),
        [("sag at 3000 N", lambda: 1000 * sag_m(2.942, 10.0, 3000.0), "12.3")],
    ),
    *checks(
        # Kletterblatt 2004 says about 2, 5 and 2 cm
        Word("8 s² / 3 L; Kletterblatt 2004 says about 2, 5 and 2 cm", Mark.HAND, "mm"),
        (
            (
                f"slack in {sag:g} m of sag over {span:g} m",
                partial(lambda span, sag: 1000 * slack_m(span, sag), span, sag),
                slack,
            )
            for sag, span, slack in (
                (0.15, 3.0, "20.0"),
                (0.20, 2.0, "53.3"),
                (0.20, 5.0, "21.3"),
            )
        ),
    ),
    *checks(
        Word(
            "Kletterblatt 2004: 5 % of play is about 14 % of sag", Mark.SEEN, "%", 0.2
        ),
        [("play in a sag of 14 %", lambda: 100 * slack_m(1.0, 0.137), 5.0)],
    ),
    *(
        each
        for number, over in (
            (10, 70.0),
            (18, 30.0),
            (30, 16.0),
            (60, 7.3),
            (100, 4.2),
            (210, 2.0),
            (400, 1.0),
        )
        for each in checks(
            Word(
                "exact solution of the clamped beam",
                Mark.HAND,
                "%",
                max(0.03 * over, 0.06),
            ),
            [
                (
                    f"a plain string over-reads, ξ {number}",
                    partial(_over_read_pct, number),
                    over,
                )
            ],
        )
    ),
    *(
        each
        for tension, number in ((5000.0, 0.101), (2000.0, 1.58))
        for each in checks(
            Word(
                "Irvine's λ², 3/8 in strand over 10 m, EA 7.98 MN",
                Mark.HAND,
                "",
                0.01 * number,
            ),
            [(f"sag number at {tension:g} N", partial(_sag_number, tension), number)],
        )
    ),
    *checks(
        Word("EA α 20 K, EA 7.98 MN", Mark.HAND, "N", 1.0),
        [("force lost to a warm day", partial(warming_n, 7.98e6, 20.0), 1915.0)],
    ),
    *checks(
        # strand of 22.6 mm2 at 160 GPa, stiffness from memory
        Word(
            "erection chart of 1/4 in guys, (980 - 360) lb over 120 °F",
            Mark.SEEN,
            "N/K",
            4.1,
        ),
        [("force lost to a kelvin", partial(warming_n, 22.6 * 160e3, 1.0), 41.4)],
    ),
    *checks(
        Word("textbook, 3 m and 40 K", Mark.SEEN, "mm", 1e-9),
        [("a post of 3 m lengthens", lambda: 3000 * 40 * STEEL_EXPANSION_PER_K, 1.44)],
    ),
]

SYNTHETIC = [
    *checks(
        Word("ZTV-Baumpflege, as reproduced", Mark.SEEN, "y", 1e-9),
        [("least service life", lambda: LIFE_YEARS, 8.0)],
    ),
    *checks(
        Word("ZTV-Baumpflege, seen on secondary pages", Mark.SEEN, "t", 1e-6),
        (
            (
                f"least strength, {support}, base {base} mm",
                partial(
                    lambda s, b: minimum_strength_kn(s, b) / 9.80665, support, base
                ),
                tonnes,
            )
            for support, base, tonnes in (
                (Support.DYNAMIC, 400.0, 2.0),
                (Support.DYNAMIC, 600.0, 4.0),
                (Support.DYNAMIC, 610.0, 8.0),
                (Support.DYNAMIC, 800.0, 8.0),
                (Support.STATIC, 300.0, 2.0),
                (Support.HOLDING, 390.0, 4.0),
                (Support.STATIC, 600.0, 8.0),
                (Support.STATIC, 800.0, 16.0),
            )
        ),
    ),
]
