"""Closed forms of a limb on a post: weight, reactions, growth, ice, wind.

References
----------
.. [1] Frustum volume and centroid, propped beams: statics, derived by hand; Gere and
   Timoshenko, Mechanics of Materials (propped cantilever).
.. [2] Ice density 897 kg/m3 (56 pcf), ASCE 7 chapter 10, as reproduced.
"""

import numpy as np

from monitor.mechanics.guard import Array, Floats, not_negative, plain, positive, within

ICE_KG_M3 = 897.0


def frustum_volume_m3(big_mm: Floats, small_mm: Floats, length_m: Floats) -> Floats:
    """Return the volume of a tapered length, pi L/12 (D1^2 + D1 D2 + D2^2). [m3]"""
    big, small = _ends(big_mm, small_mm)
    squares = big**2 + big * small + small**2
    return plain(np.pi / 12.0 * positive("length", length_m, "m") * squares)


def frustum_centroid_m(big_mm: Floats, small_mm: Floats, length_m: Floats) -> Floats:
    """Return the centroid from the big end: L/2 of a cylinder, L/4 of a cone. [m]"""
    big, small = _ends(big_mm, small_mm)
    upper = big**2 + 2.0 * big * small + 3.0 * small**2
    lower = big**2 + big * small + small**2
    return plain(positive("length", length_m, "m") / 4.0 * upper / lower)


def hinge_reaction_n(weight_n: Floats, centroid_m: Floats, post_m: Floats) -> Floats:
    """Return the load on the post when the root gives no hold, W x / a. [N]"""
    weight = not_negative("weight", weight_n, "N")
    lever = not_negative("centroid", centroid_m, "m")
    return plain(weight * lever / positive("post distance", post_m, "m"))


def fixed_reaction_even_n(line_n_m: Floats, length_m: Floats, post_m: Floats) -> Floats:
    """Return the load on a rigid post, root fixed, even load and section. [N]

    w(6 L^2 - 4 L a + a^2) / (8 a), overhang included.
    """
    w, length = not_negative("load", line_n_m, "N/m"), positive("length", length_m, "m")
    a = positive("post distance", post_m, "m")
    return plain(w * (6.0 * length**2 - 4.0 * length * a + a**2) / (8.0 * a))


def fixed_reaction_point_n(load_n: Floats, at_m: Floats, post_m: Floats) -> Floats:
    """Return the load on a rigid post from one weight, root fixed, even section. [N]"""
    load, b = not_negative("load", load_n, "N"), not_negative("place", at_m, "m")
    a = positive("post distance", post_m, "m")
    inboard = load * b**2 * (3.0 * a - b) / (2.0 * a**3)
    return plain(np.where(b <= a, inboard, load * (3.0 * b - a) / (2.0 * a)))


def axial_in_leaning_post_n(vertical_n: Floats, lean_mm_m: Floats) -> Floats:
    """Return the force along a leaning post for a vertical load, R / cos(t). [N]"""
    lean = not_negative("lean", lean_mm_m, "mm/m") / 1000.0
    return plain(not_negative("load", vertical_n, "N") * np.hypot(1.0, lean))


def growth_factor(
    diameter_mm: Floats, gain_mm_year: Floats, years: Floats, power: Floats = 2.0
) -> Floats:
    """Return how many times heavier after growth, ((D + g t)/D)^n.

    Parameters
    ----------
    gain_mm_year : measured growth of the diameter [mm/y]
    power : 2 weight at fixed length; 2.67 weight with length ~ D^(2/3); 3.33 the load
        on a post at a fixed place with it (the 2/3 power from memory)
    """
    n = within("power", power, "", (2.0, 10.0 / 3.0 + 0.01))
    start = positive("diameter", diameter_mm, "mm")
    gained = np.asarray(gain_mm_year) * not_negative("years", years, "y")
    return plain(positive("diameter then", start + gained, "mm") ** n / start**n)


def ice_kg_m(
    diameter_mm: Floats, ice_mm: Floats, density_kg_m3: float = ICE_KG_M3
) -> Floats:
    """Return the ice on a metre of limb, pi t (D + t) rho; twigs come on top. [kg/m]"""
    t = not_negative("ice thickness", ice_mm, "mm")
    ring = np.pi * t * (positive("diameter", diameter_mm, "mm") + t)
    return plain(ring * 1e-6 * density_kg_m3)


def wind_pressure_pa(speed_m_s: Floats) -> Floats:
    """Return the pressure of the wind, 0.613 V^2 (ASCE 7, from memory). [Pa]"""
    return plain(0.613 * not_negative("wind speed", speed_m_s, "m/s") ** 2)


def _ends(big_mm: Floats, small_mm: Floats) -> tuple[Array, Array]:
    big = positive("big end", big_mm, "mm") / 1000.0
    return big, not_negative("small end", small_mm, "mm") / 1000.0
