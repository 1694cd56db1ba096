"""What a limb weighs and how much of it rests on a post.

References
----------
.. [1] Propped beam of changing section, unit-load theorem: Gere and Timoshenko,
   Mechanics of Materials; closed forms in `limb_statics`.
.. [2] Share of side branches (1.2 to 1.5) and foliage (5 to 15 %): from memory, no
   usable table was found.
"""

from dataclasses import dataclass

import numpy as np

from monitor.errors import InvalidInput
from monitor.mechanics.guard import Array, not_negative, positive, within
from monitor.mechanics.lean import GRAVITY
from monitor.mechanics.limb_statics import hinge_reaction_n
from monitor.mechanics.screening import Interval, Screening, spread_interval

METHOD = "limb as tapered beam on one post; root as hinge and as fixed, the larger"
BRANCH_FACTOR = 1.35  # middle of 1.2 to 1.5
FOLIAGE_SHARE = 0.10  # middle of 5 to 15 %
_STEPS = 2000


@dataclass(frozen=True, slots=True, eq=False)
class Limb:
    """A limb measured at stations from its root; horizontal distances.

    Parameters
    ----------
    stations_m : distance from the root, the first is 0 and the last is the tip [m]
    diameters_mm : over bark, at the stations [mm]
    density_kg_m3 : green [kg/m3]
    """

    stations_m: Array
    diameters_mm: Array
    density_kg_m3: float


@dataclass(frozen=True, slots=True)
class Crown:
    """What hangs on the main axis.

    Parameters
    ----------
    branch_factor : weight with side branches over weight of the main axis
    foliage_share : leaves over that weight; 0 when leaf-off
    extra_n_m : ice or snow, spread along the limb [N/m]
    """

    branch_factor: float | None = None
    foliage_share: float | None = None
    extra_n_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Demand(Screening):
    """What rests on the post, by two models of the root, and their envelope."""

    weight_n: float
    centroid_m: float
    hinge_n: float
    fixed_n: float
    envelope_n: float
    interval_n: Interval


def prop_demand(
    limb: Limb, post_at_m: float, crown: Crown, spread: float = 0.4
) -> Demand:
    """Return what rests on a post under a limb.

    Parameters
    ----------
    post_at_m : distance of the post from the root [m]
    spread : standard deviation over the value; 0.3 to 0.5 is realistic (own judgement)
    """
    x, load = _line_load(limb, crown)
    if not 0.0 < post_at_m <= x[-1]:
        raise InvalidInput(
            f"The post stands at {post_at_m:g} m, the limb ends at {x[-1]:g} m."
        )
    shear, _ = _outboard(x, load)
    weight = float(shear[0])
    centroid = float(_trapezoid(x, load * x) / weight)
    hinge = hinge_reaction_n(weight, centroid, post_at_m)
    fixed = _fixed_reaction_n(limb, (x, load), post_at_m)
    most = max(float(hinge), fixed)
    assumed, missing = _silent(crown)
    return Demand(
        method=METHOD,
        assumed=assumed,
        missing=missing,
        weight_n=weight,
        centroid_m=centroid,
        hinge_n=float(hinge),
        fixed_n=fixed,
        envelope_n=most,
        interval_n=spread_interval(most, spread),
    )


def simulate_demand_n(
    limb: Limb, post_at_m: float, rng: np.random.Generator, draws: int = 1000
) -> Array:
    """Return draws of the load on the post, by chance of what nobody measured. [N]

    Density 10 %, all diameters together 5 % (normal), branch factor even between 1.2
    and 1.5, foliage 5 to 15 %, the root anywhere between hinge and fixed (own choices).
    """
    bare = prop_demand(limb, post_at_m, Crown(1.0, 0.0))
    density = np.maximum(rng.normal(1.0, 0.10, draws), 0.1)
    girth = np.maximum(rng.normal(1.0, 0.05, draws), 0.1) ** 2
    branches = rng.uniform(1.2, 1.5, draws) * (1.0 + rng.uniform(0.05, 0.15, draws))
    root = rng.uniform(0.0, 1.0, draws)
    held = root * bare.fixed_n + (1.0 - root) * bare.hinge_n
    drawn: Array = density * girth * branches * held
    return drawn


def _line_load(limb: Limb, crown: Crown) -> tuple[Array, Array]:
    """Return fine stations [m] and the load along them [N/m]."""
    at = not_negative("stations", limb.stations_m, "m")
    if at.size < 2 or at[0] != 0.0 or np.any(np.diff(at) <= 0.0):
        raise InvalidInput("Stations start at 0 m and go outwards; two at least.")
    diameters = positive("diameter", limb.diameters_mm, "mm") / 1000.0
    x = np.union1d(np.linspace(0.0, at[-1], _STEPS + 1), at)
    axis = np.pi / 4.0 * np.interp(x, at, diameters) ** 2 * GRAVITY
    density = within("green density", limb.density_kg_m3, "kg/m3", (300.0, 1500.0))
    leaves = FOLIAGE_SHARE if crown.foliage_share is None else crown.foliage_share
    factor = BRANCH_FACTOR if crown.branch_factor is None else crown.branch_factor
    return x, axis * density * factor * (1.0 + leaves) + crown.extra_n_m


def _outboard(x: Array, load: Array) -> tuple[Array, Array]:
    """Return shear and moment at every station from all that lies further out."""
    steps = np.diff(x)
    shear = _from_tip((load[1:] + load[:-1]) / 2.0 * steps)
    return shear, _from_tip((shear[1:] + shear[:-1]) / 2.0 * steps)


def _from_tip(pieces: Array) -> Array:
    return np.append(np.cumsum(pieces[::-1])[::-1], 0.0)


def _trapezoid(x: Array, y: Array) -> float:
    return float(((y[1:] + y[:-1]) / 2.0 * np.diff(x)).sum())


def _fixed_reaction_n(limb: Limb, line: tuple[Array, Array], post_m: float) -> float:
    """Return the load on a rigid post, root fixed, tapered; wood modulus cancels. [N]

    Integral of M (a - x)/I over integral of (a - x)^2/I, both from root to post.
    """
    x, moment = line[0], _outboard(*line)[1]
    inner = np.union1d(x[x < post_m], [post_m])
    diameter = np.interp(inner, limb.stations_m, limb.diameters_mm)
    lever = (post_m - inner) / diameter**4
    bent = np.interp(inner, x, moment)
    return _trapezoid(inner, bent * lever) / _trapezoid(inner, lever * (post_m - inner))


def _silent(crown: Crown) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what is taken for granted and what is missing about the crown."""
    assumed: tuple[str, ...] = ("The post is rigid and the limb near level.",)
    missing: tuple[str, ...] = ()
    if crown.branch_factor is None:
        assumed += (f"Side branches make the limb {BRANCH_FACTOR:g} times as heavy.",)
        missing += ("Needed: an estimate of the side branches (1.2 to 1.5).",)
    if crown.foliage_share is None:
        assumed += (f"Leaves add {FOLIAGE_SHARE:.0%}.",)
        missing += ("Needed: leaf-on or leaf-off, and how dense.",)
    return assumed, missing
