"""Plumb limits, threads and screws, and the ground beneath."""

import math
from functools import partial

import numpy as np

from monitor.mechanics import lean, screw, settlement
from monitor.mechanics.columns_aisc import MODULUS_MPA
from monitor.mechanics.footing import (
    Plate,
    Soil,
    contact_length_mm,
    edge_pressures_kpa,
    effective_pressure_kpa,
    presumed_kpa,
)
from monitor.mechanics.pins import rod_rupture_n
from tests.mechanics.checks.case import Mark, Word, checks
from tests.mechanics.checks.units import FOOT, INCH, KIP, KSF, KSI

PAD = Plate(600.0, 600.0)


def _both_axes_deg(x_deg, y_deg):
    x, y = lean.tilt_mm_m(x_deg), lean.tilt_mm_m(y_deg)
    return lean.tilt_deg(lean.total_tilt_mm_m(x, y))


PLUMB = [
    *(
        each
        for source, mark, name, mm_m, degrees in (
            ("AISC 303 7.13.1.1", Mark.SEEN, "1/500", 2.0, "0.115"),
            ("EN 1090-2 annex B", Mark.SEEN, "1/300", 1000 / 300, "0.191"),
            ("EN 1993-1-1 5.3.2", Mark.MEMORY, "1/200", 5.0, "0.286"),
            ("EN 1997-1 annex H", Mark.SEEN, "1/150", 1000 / 150, "0.382"),
            ("guidance for chimneys", Mark.SEEN, "1/250", 4.0, "0.229"),
            ("by hand", Mark.HAND, "1/500, finer", 2.0, "0.1146"),
            ("TIA-222 plumb, 0.25 %", Mark.SEEN, "0.25 %", 2.5, "0.1432"),
            ("by hand", Mark.HAND, "12 mm over 2.4 m", 12 / 2.4, "0.2865"),
            ("by hand", Mark.HAND, "3 mm over a 300 mm plate", 10.0, "0.5729"),
        )
        for each in checks(
            Word(source, mark, "°"), [(name, partial(lean.tilt_deg, mm_m), degrees)]
        )
    ),
    *checks(
        Word("by hand", Mark.HAND, "mm/m"),
        [
            ("one degree", partial(lean.tilt_mm_m, 1.0), "17.455"),
            ("4 and 3 mm/m", partial(lean.total_tilt_mm_m, 4.0, 3.0), "5.0"),
            ("lean a new column may have", lambda: lean.AS_BUILT_PLUMB_MM_M, "2.000"),
        ],
    ),
    *checks(
        Word("by hand", Mark.HAND, "°", 0.005),
        [("1.2° and 0.9°", partial(_both_axes_deg, 1.2, 0.9), 1.50)],
    ),
    *checks(
        Word("by hand, 20 kN x tan 1°", Mark.HAND, "N", 0.5),
        [
            (
                "side thrust of a degree",
                lambda: lean.end_thrust_n(20e3, lean.tilt_mm_m(1.0)),
                349.0,
            )
        ],
    ),
]


def _unified(diameter_in, threads):
    area = screw.unified_stress_area_mm2(diameter_in * INCH, INCH / threads)
    return area / INCH**2


def _root_area(diameter, pitch, size_mm=1.0):
    return math.pi / 4 * screw.root_diameter_mm(diameter, pitch) ** 2 / size_mm**2


def _strip_in2():
    thread = screw.StripThread(INCH / 10, 0.75 * INCH, 0.6773 * INCH, 0.663 * INCH)
    return screw.strip_area_mm2(thread) / INCH**2


def _mast_kn(exposed_mm):
    """Euler load of an exposed M30, at the 205 GPa the figures were worked with."""
    root = screw.root_diameter_mm(30, 3.5)
    return screw.screw_euler_n(root, exposed_mm) / 1000 * 205_000 / MODULUS_MPA


# diameter, threads an inch, printed stress area, root area by hand [in, in2]
_UNIFIED = (
    (0.75, 10, "0.334", "0.309"), (0.875, 9, "0.462", "0.429"),
    (1.0, 8, "0.606", "0.563"), (1.25, 8, "1.000", "0.945"),
)  # fmt: skip
# diameter, pitch, printed stress area, unrounded, root area by hand [mm, mm2]
_METRIC = (
    (20, 2.5, "245", "244.8", "225.2"), (24, 3.0, "353", "352.5", "324.3"),
    (30, 3.5, "561", "560.6", "519.0"),
)  # fmt: skip

SCREWS = [
    *checks(
        Word("ASME B1.1, as reproduced", Mark.SEEN, "in²", 0.0006),
        (
            (f"{d:g}-{n}: stress area", partial(_unified, d, n), float(area))
            for d, n, area, _ in _UNIFIED
        ),
    ),
    *checks(
        Word("ASME B1.1", Mark.MEMORY, "in²"),
        [("1.25-7: stress area", partial(_unified, 1.25, 7), "0.969")],
    ),
    *checks(
        Word("ASME B1.1", Mark.HAND, "in²"),
        [
            ("1-8: stress area, finer", partial(_unified, 1.0, 8), "0.6057"),
            (
                "1.25-7: root area",
                partial(_root_area, 1.25 * INCH, INCH / 7, INCH),
                "0.907",
            ),
        ],
    ),
    *checks(
        Word("rounded root, d - 1.226869 P", Mark.HAND, "in²"),
        (
            (
                f"{d:g}-{n}: root area",
                partial(_root_area, d * INCH, INCH / n, INCH),
                root,
            )
            for d, n, _, root in _UNIFIED
        ),
    ),
    *checks(
        Word("ISO 898-1, as reproduced", Mark.SEEN, "mm²"),
        (
            (
                f"M{d}x{p}: stress area",
                partial(screw.metric_stress_area_mm2, d, p),
                area,
            )
            for d, p, area, _, _ in _METRIC
        ),
    ),
    *checks(
        Word("ISO 898-1", Mark.HAND, "mm²", 0.1),
        (
            (
                f"M{d}x{p}: stress area, finer",
                partial(screw.metric_stress_area_mm2, d, p),
                float(area),
            )
            for d, p, _, area, _ in _METRIC
        ),
    ),
    *checks(
        Word("ISO 724 root, d - 1.226869 P", Mark.HAND, "mm²"),
        (
            (f"M{d}x{p}: root area", partial(_root_area, d, p), root)
            for d, p, _, _, root in _METRIC
        ),
    ),
    *checks(
        Word("FED-STD-H28/2B worked example, as reproduced", Mark.SEEN, "in²", 0.002),
        [("3/4-10, 0.75 in engaged: stripping area", _strip_in2, 0.910)],
    ),
    *(
        each
        for exposed, kn in ((150, 482.0), (300, 120.0), (450, 53.5))
        for each in checks(
            Word("Euler, root of M30, K = 2", Mark.HAND, "kN", 0.005 * kn),
            [(f"M30 standing out {exposed} mm", partial(_mast_kn, exposed), kn)],
        )
    ),
    *checks(
        Word("AISC 360 J3", Mark.MEMORY, "kip"),
        [
            (
                "1 in rod, Fu 60: Rn",
                lambda: rod_rupture_n(INCH, 60 * KSI) / KIP,
                "35.3",
            ),
            (
                "1 in rod, Fu 60: φRn",
                lambda: 0.75 * rod_rupture_n(INCH, 60 * KSI) / KIP,
                "26.5",
            ),
        ],
    ),
    *checks(
        Word("EN 12811-1, 25 % or 150 mm", Mark.MEMORY, "mm", 1e-9),
        [
            (
                "overlap to keep of a 320 mm screw",
                partial(screw.least_overlap_mm, 320),
                150,
            ),
            (
                "overlap to keep of an 800 mm screw",
                partial(screw.least_overlap_mm, 800),
                200,
            ),
        ],
    ),
    *checks(
        Word("by hand", Mark.HAND, "mm", 1e-9),
        [
            ("overlap left", partial(screw.overlap_left_mm, 320.0, 176.0), 144.0),
            ("lift of two turns", partial(screw.lift_mm, 2.0, 6.0), 12.0),
        ],
    ),
]


def _kern_ksf(n):
    plate = Plate(6 * FOOT, 14 * FOOT)
    return edge_pressures_kpa(120 * KIP, plate, FOOT)[n] / KSF


def _pad_kpa(e):
    return edge_pressures_kpa(40e3, PAD, e)[0]


def _springs(n):
    mean = settlement.mean_settlement_mm(40e3, 600.0**2, 0.020)
    return (mean, settlement.edge_difference_mm(mean, 50.0, 600.0))[n]


def _limb_n_mm():
    return settlement.limb_stiffness_n_mm(8600.0, 400.0, 6000.0)


def _stout_shed_n():
    stiffness = settlement.limb_stiffness_n_mm(8000.0, 500.0, 5000.0)
    return 20e3 - settlement.load_after_settlement_n(20e3, stiffness, 10.0)


def _slowing(years):
    t = np.array([0.5, 1.0, 2.0, 4.0, 8.0])
    law = settlement.fit_settlement(t, 3.0 + 2.5 * np.log10(t))
    return settlement.settled_mm(law, years)


GROUND = [
    *checks(
        Word(
            "published problem, 120 kip on 6 x 14 ft, 1 ft off", Mark.HAND, "ksf", 0.001
        ),
        [
            ("footing at the kern: most", partial(_kern_ksf, 0), 2.857),
            ("footing at the kern: least", partial(_kern_ksf, 1), 0.0),
        ],
    ),
    *checks(
        Word(
            "eccentric pressure without tension, 40 kN on 0.6 x 0.6 m",
            Mark.HAND,
            "kPa",
            0.1,
        ),
        (
            (f"pad, load {e:g} mm off", partial(_pad_kpa, e), pressure)
            for e, pressure in (
                (0.0, 111.1),
                (50.0, 166.7),
                (100.0, 222.2),
                (200.0, 444.4),
            )
        ),
    ),
    *checks(
        Word("3 (L/2 - e)", Mark.HAND, "mm", 1e-6),
        [
            (
                "pad, load 200 mm off: contact",
                partial(contact_length_mm, PAD, 200.0),
                300.0,
            )
        ],
    ),
    *checks(
        Word("40 kN / (0.5 x 0.4 m)", Mark.HAND, "kPa", 1e-6),
        [
            (
                "pad, effective area",
                partial(effective_pressure_kpa, 40e3, PAD, 50.0, 100.0),
                200.0,
            )
        ],
    ),
    *checks(
        Word("IBC table 1806.2, as reproduced, in kPa", Mark.SEEN, "kPa", 0.1),
        (
            (f"presumed on {soil}", partial(presumed_kpa, soil), pressure)
            for soil, pressure in (
                (Soil.BEDROCK, 574.6),
                (Soil.LAYERED_ROCK, 191.5),
                (Soil.GRAVEL, 143.6),
                (Soil.SAND, 95.8),
                (Soil.CLAY, 71.8),
            )
        ),
    ),
    *checks(
        Word("rigid plate on springs of 20 MN/m³, 40 kN", Mark.HAND, "mm"),
        [
            ("plate on springs: mean settlement", partial(_springs, 0), "5.56"),
            ("plate on springs: edge to edge, 50 mm off", partial(_springs, 1), "5.56"),
        ],
    ),
    *checks(
        Word("rigid circle on elastic half-space", Mark.HAND, "mm"),
        [
            (
                "circle: settlement",
                partial(settlement.circle_settlement_mm, 40e3, 300.0, 20.0),
                "3.03",
            )
        ],
    ),
    *checks(
        Word("rigid circle on elastic half-space", Mark.HAND, "mm/m", 0.005),
        [
            (
                "circle: tilt",
                partial(settlement.circle_tilt_mm_m, 2e6, 300.0, 20.0),
                2.53,
            )
        ],
    ),
    *checks(
        Word("3 E I / a³, 0.4 m limb, 6 m out, 8.6 GPa", Mark.HAND, "N/mm", 0.5),
        [("stiffness of a limb at its post", _limb_n_mm, 150.0)],
    ),
    *checks(
        Word("statics of a settled post", Mark.HAND, "N", 10.0),
        [
            (
                "load left after 10 mm",
                lambda: settlement.load_after_settlement_n(8250.0, _limb_n_mm(), 10.0),
                6750.0,
            ),
            (
                "load on a spring of 2000",
                lambda: settlement.load_on_spring_n(8250.0, _limb_n_mm(), 2000.0),
                7670.0,
            ),
            (
                "load on a spring of 200",
                lambda: settlement.load_on_spring_n(8250.0, _limb_n_mm(), 200.0),
                4710.0,
            ),
        ],
    ),
    *checks(
        Word("3 E I / a³, 0.5 m limb, 5 m out, 8 GPa", Mark.HAND, "N", 20.0),
        [("load shed by a stout limb in 10 mm", _stout_shed_n, 5890.0)],
    ),
    *checks(
        Word("Schmertmann, 1 + 0.2 log10(t / 0.1 y), as reproduced", Mark.SEEN),
        (
            (
                f"creep of sand at {years} y",
                partial(settlement.creep_factor, years),
                factor,
            )
            for years, factor in ((1, "1.20"), (10, "1.40"), (50, "1.54"))
        ),
    ),
    *checks(
        Word("secondary compression, form as reproduced", Mark.HAND, "mm"),
        [
            (
                "two metres, 1 to 50 y",
                partial(settlement.secondary_mm, 0.005, 2000.0, 1.0, 50.0),
                "16.99",
            )
        ],
    ),
    *checks(
        Word("s = 3 + 2.5 log10 t, five readings", Mark.HAND, "mm", 0.005),
        [
            ("slowing settlement at 30 y", partial(_slowing, 30.0), 6.693),
            ("slowing settlement at 100 y", partial(_slowing, 100.0), 8.0),
        ],
    ),
]
