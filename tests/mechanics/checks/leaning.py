"""The worked example of a leaning post, held at its head or free to sway."""

from functools import partial

from monitor.mechanics import columns_aisc as aisc
from monitor.mechanics import lean
from tests.mechanics.checks.case import Mark, Word, checks
from tests.mechanics.checks.units import INCH, KIP, KSI

# HSS4x4x1/4 as printed: 12 ft, 10 kip of service load, Fy 50
_AREA, _INERTIA, _RADIUS, _PLASTIC = (
    3.37 * INCH**2, 7.80 * INCH**4, 1.52 * INCH, 4.69 * INCH**3,
)  # fmt: skip
_HEIGHT, _LOAD, _FY = 144 * INCH, 10 * KIP, 50 * KSI
_HELD, _FREE = lean.Restraint.HELD, lean.Restraint.FREE


def _slenderness(restraint):
    return lean.length_factor(restraint) * _HEIGHT / _RADIUS


def _axial_kip(restraint):
    nominal = aisc.nominal_axial_n(_AREA, _slenderness(restraint), _FY)
    return nominal / aisc.OMEGA / KIP


def _euler_n(restraint):
    return aisc.euler_n(_INERTIA, lean.length_factor(restraint) * _HEIGHT)


def _moment_kip_in(restraint, tilt_mm_m, eccentricity_in):
    """The moment with sway, in kip-inches."""
    off = eccentricity_in * INCH
    if restraint is _HELD:
        moment = lean.held_moment_nmm(_LOAD, off)
        grown = aisc.end_moment_amplifier(_LOAD, _euler_n(_HELD), aisc.ASD_ALPHA)
    else:
        head = lean.head_offset_mm(_HEIGHT, tilt_mm_m)
        moment = lean.free_moment_nmm(_LOAD, head, off)
        grown = aisc.amplifier(_LOAD, _euler_n(_FREE), aisc.ASD_ALPHA)
    return grown * moment / KIP / INCH


def _able_kip_in():
    return _FY * _PLASTIC / aisc.OMEGA / KIP / INCH


def _use(restraint, tilt_mm_m, eccentricity_in):
    moment = _moment_kip_in(restraint, tilt_mm_m, eccentricity_in) / _able_kip_in()
    return aisc.interaction(_LOAD / KIP / _axial_kip(restraint), moment)


def _secant_ksi():
    mean = _LOAD / _AREA
    euler = aisc.elastic_stress_mpa(_slenderness(_HELD))
    return lean.secant_stress_mpa(mean, INCH * 2 * INCH / _RADIUS**2, euler) / KSI


_CASES = (
    (_HELD, 0.0, 0.0, "0.0", 0.096), (_HELD, 0.0, 1.0, "10.0", 0.167),
    (_HELD, 0.0, 2.0, "20.0", 0.238), (_FREE, 2.0, 0.0, "8.4", 0.834),
    (_FREE, 10.0, 0.0, "41.8", 1.046), (_FREE, 20.0, 0.0, "83.6", 1.310),
)  # fmt: skip
_LEANING = "AISC 360 E3, H1, appendix 8 (ASD)"

LEANING = [
    *checks(
        Word(_LEANING, Mark.HAND),
        [
            ("leaning post, held: slenderness", partial(_slenderness, _HELD), "94.7"),
            ("leaning post, free: slenderness", partial(_slenderness, _FREE), "198.9"),
        ],
    ),
    *checks(
        Word(_LEANING, Mark.HAND, "kip"),
        [
            ("leaning post, held: Pn/Ω", partial(_axial_kip, _HELD), "52.3"),
            ("leaning post, free: Pn/Ω", partial(_axial_kip, _FREE), "12.80"),
            ("leaning post, held: Pe", lambda: _euler_n(_HELD) / KIP, "107.7"),
            ("leaning post, free: Pe", lambda: _euler_n(_FREE) / KIP, "24.41"),
            (
                "leaning post, 1 in 50: thrust at its ends",
                lambda: lean.end_thrust_n(_LOAD, 20.0) / KIP,
                "0.20",
            ),
        ],
    ),
    *checks(
        Word(_LEANING, Mark.HAND, "kip-in"),
        [
            ("leaning post: moment it may take", _able_kip_in, "140.4"),
            *(
                (
                    f"leaning post, {held}, {tilt:g} mm/m, {off:g} in off: moment",
                    partial(_moment_kip_in, held, tilt, off),
                    moment,
                )
                for held, tilt, off, moment, _ in _CASES
            ),
        ],
    ),
    *checks(
        Word(_LEANING, Mark.HAND, "", 0.003),
        (
            (
                f"leaning post, {held}, {tilt:g} mm/m, {off:g} in off: use",
                partial(_use, held, tilt, off),
                use,
            )
            for held, tilt, off, _, use in _CASES
        ),
    ),
    *checks(
        Word("secant formula, equal eccentricity at both ends", Mark.HAND, "ksi"),
        [("leaning post, held, 1 in off: largest stress", _secant_ksi, "5.86")],
    ),
]
