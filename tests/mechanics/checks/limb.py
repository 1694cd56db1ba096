"""What a limb weighs and what of it rests on a post."""

from functools import partial

import numpy as np

from monitor.mechanics.limb import Crown, Limb, prop_demand
from monitor.mechanics.limb_statics import (
    axial_in_leaning_post_n,
    fixed_reaction_even_n,
    fixed_reaction_point_n,
    frustum_centroid_m,
    frustum_volume_m3,
    growth_factor,
    hinge_reaction_n,
    ice_kg_m,
    wind_pressure_pa,
)
from monitor.mechanics.species import (
    at_moisture,
    green_density_kg_m3,
    oven_dry_gravity,
    species_density_kg_m3,
)
from tests.mechanics.checks.case import Mark, Word, checks

TAPERED = Limb(np.array([0.0, 8.0]), np.array([500.0, 100.0]), 1020.0)
BARE = Crown(1.0, 0.0)
_TAPER = "taper 0.5 to 0.1 m over 8 m, 1020 kg/m³"
_PSF = 47.88026  # Pa
_MPH = 0.44704  # m/s


def _tapered_kn(name, post_m):
    return getattr(prop_demand(TAPERED, post_m, BARE), name) / 1000.0


def _even_end_moment(post_m):
    """Moment at the fixed root of an even limb, 1 N/m over 10 m. [N m]"""
    return 10.0**2 / 2.0 - fixed_reaction_even_n(1.0, 10.0, post_m) * post_m


_SPECIES = (
    ("white ash", "797.5"),
    ("sugar maple", "943.6"),
    ("northern red oak", "977.2"),
    ("white oak", "1026.0"),
    ("Douglas-fir, coast", "792.0"),
    ("ponderosa pine", "737.2"),
    ("eastern hemlock", "790.4"),
    ("American beech", "915.6"),
    ("yellow-poplar", "778.0"),
)

LIMB = [
    *checks(
        Word(_TAPER, Mark.HAND, "m³"),
        [
            (
                "tapered limb: volume",
                partial(frustum_volume_m3, 500.0, 100.0, 8.0),
                "0.6493",
            )
        ],
    ),
    *checks(
        Word(_TAPER, Mark.HAND, "m"),
        [
            (
                "tapered limb: centre",
                partial(frustum_centroid_m, 500.0, 100.0, 8.0),
                "2.4516",
            )
        ],
    ),
    *checks(
        Word("schoolbook: L/4 of a cone, L/2 of a cylinder", Mark.SEEN, "m", 1e-9),
        [
            ("cone: centre", partial(frustum_centroid_m, 400.0, 0.0, 8.0), 2.0),
            ("cylinder: centre", partial(frustum_centroid_m, 400.0, 400.0, 8.0), 4.0),
        ],
    ),
    *checks(
        Word(_TAPER, Mark.HAND, "kN", 0.006),
        [("tapered limb: weight", partial(_tapered_kn, "weight_n", 5.0), 6.49)],
    ),
    *(
        each
        for post, name, kn in (
            (3.0, "fixed_n", 5.51),
            (5.0, "fixed_n", 2.329),
            (6.0, "fixed_n", 1.53),
            (3.0, "hinge_n", 5.31),
            (5.0, "hinge_n", 3.18),
            (6.0, "hinge_n", 2.65),
        )
        for each in checks(
            Word(_TAPER, Mark.HAND, "kN", 0.005 * kn),
            [
                (
                    f"tapered limb, post at {post:g} m, root {name[:5]}",
                    partial(_tapered_kn, name, post),
                    kn,
                )
            ],
        )
    ),
    *checks(
        Word("even load of 1 N/m over 10 m", Mark.HAND, "N"),
        (
            (f"even limb, post at {post:g} m, root {root}", got, value)
            for post, fixed, hinge in (
                (10.0, "3.750", "5.000"),
                (6.0, "8.250", "8.333"),
                (5.0, "10.625", "10.000"),
            )
            for root, got, value in (
                ("fixed", partial(fixed_reaction_even_n, 1.0, 10.0, post), fixed),
                ("hinged", partial(hinge_reaction_n, 10.0, 5.0, post), hinge),
            )
        ),
    ),
    *checks(
        Word("even load of 1 N/m over 10 m, post at 6 m", Mark.HAND, "N m", 1e-6),
        [("even limb: moment at the root", partial(_even_end_moment, 6.0), 0.5)],
    ),
    *checks(
        Word("propped cantilever, 3 w L / 8", Mark.SEEN, "N", 1e-9),
        [
            (
                "post at the tip of an even limb",
                partial(fixed_reaction_even_n, 1.0, 6.0, 6.0),
                2.25,
            )
        ],
    ),
    *checks(
        Word("P b² (3a - b) / 2a³ and P (3b - a) / 2a", Mark.HAND, "N", 1e-6),
        [
            (
                "point load inside the post",
                partial(fixed_reaction_point_n, 1000.0, 3.0, 6.0),
                312.5,
            ),
            (
                "point load beyond the post",
                partial(fixed_reaction_point_n, 1000.0, 8.0, 6.0),
                1500.0,
            ),
        ],
    ),
    *checks(
        Word("0.5 m thick, 4 mm a year, 20 years", Mark.HAND, "×"),
        (
            (
                f"growth at power {power:.2f}",
                partial(growth_factor, 500.0, 4.0, 20.0, power),
                factor,
            )
            for power, factor in ((2.0, "1.3456"), (8 / 3, "1.486"), (10 / 3, "1.640"))
        ),
    ),
    *checks(
        Word("dW/W = 2 dD/D", Mark.HAND, "×"),
        [
            ("weight in one year", partial(growth_factor, 500.0, 4.0, 1.0), "1.016"),
            (
                "weight in 51.8 years, (√2 - 1) D / 4 mm",
                partial(growth_factor, 500.0, 4.0, 51.8),
                "2.00",
            ),
        ],
    ),
    *checks(
        Word(
            "π t (D + t) ρ; density of ice by ASCE 7, as reproduced",
            Mark.HAND,
            "kg/m",
            0.002,
        ),
        [("ice of half an inch on 50 mm", partial(ice_kg_m, 50.0, 12.7), 2.244)],
    ),
    *checks(
        Word("q = 0.613 V²", Mark.MEMORY, "Pa", 1.0),
        [("wind of 40 m/s", partial(wind_pressure_pa, 40.0), 981.0)],
    ),
    *checks(
        Word("q = 0.00256 V² psf", Mark.MEMORY, "psf"),
        [("wind of 90 mph", lambda: wind_pressure_pa(90 * _MPH) / _PSF, "20.7")],
    ),
    *checks(
        Word("R / cos of the lean; 3, 4, 5", Mark.HAND, "N", 1e-6),
        [
            (
                "a raking post along its axis",
                partial(axial_in_leaning_post_n, 1000.0, 750.0),
                1250.0,
            )
        ],
    ),
    *checks(
        Word(
            "Wood Handbook FPL-GTR-282 tables 5-3a and 4-1, 1000 G (1 + mean moisture)",
            Mark.HAND,
            "kg/m³",
            0.1,
        ),
        (
            (
                f"green {species}",
                partial(species_density_kg_m3, species),
                float(density),
            )
            for species, density in _SPECIES
        ),
    ),
    *checks(
        Word("1000 G (1 + M)", Mark.HAND, "kg/m³", 1e-9),
        [
            (
                "wood of gravity 0.5 at 100 %",
                partial(green_density_kg_m3, 0.5, 100.0),
                1000.0,
            )
        ],
    ),
    *checks(
        Word(
            "Wood Handbook, example to equation 5-3, as reproduced",
            Mark.SEEN,
            "kPa",
            100,
        ),
        [
            (
                "bending strength at 8 %",
                partial(at_moisture, 103_000.0, 66_000.0, 8.0, 24.0),
                119_500.0,
            )
        ],
    ),
    *checks(
        Word("G / (1 - S), shrinkage from memory", Mark.MEMORY),
        [
            (
                "red oak on oven-dry volume",
                partial(oven_dry_gravity, 0.56, 0.138),
                "0.65",
            ),
            (
                "white oak on oven-dry volume",
                partial(oven_dry_gravity, 0.60, 0.167),
                "0.72",
            ),
        ],
    ),
]
