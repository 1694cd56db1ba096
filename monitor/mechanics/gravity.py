"""Basic gravity of green wood by the name of a species: oven-dry mass, green volume.

More species than `monitor.mechanics.species` knows the strength of; enough for the
bearing of a pin, which timber codes take from gravity alone. Of several published
values the lowest European one is kept, the safe side. A species that is not named here
has none.

References
----------
.. [1] Wood Handbook, FPL-GTR-282 (2021), table 5-3a, green; as reproduced.
.. [2] Zanne et al. 2009, Global wood density database (Dryad), as reproduced.
.. [3] IPCC 2006 Guidelines, volume 4, table 4.14, basic wood density by genus; as
   reproduced.
"""

from dataclasses import dataclass

from monitor.mechanics.species import WOODS

SHRINKAGE = 0.10
"""Of volume, green to oven dry, for any species: the low end, which is the safe side;
most lie between 0.10 and 0.17 (Wood Handbook table 4-3, from memory)."""


@dataclass(frozen=True, slots=True)
class Gravity:
    """A published basic gravity.

    Parameters
    ----------
    basic : oven-dry mass over green volume
    source : whose value it is, and for which species
    """

    basic: float
    source: str


_ZANNE = "Zanne et al. 2009, global wood density database"
_IPCC = "IPCC 2006 table 4.14, by genus"
_NAMED = (
    (("field maple", "acer campestre"), 0.525, f"Acer campestre, {_ZANNE}"),
    (("common ash", "european ash", "fraxinus excelsior"), 0.57, f"Fraxinus, {_IPCC}"),
    (("common beech", "european beech", "fagus sylvatica"), 0.58, f"Fagus, {_IPCC}"),
    (("hornbeam", "carpinus betulus"), 0.68, f"Carpinus betulus, {_ZANNE}"),
    (
        ("horse chestnut", "aesculus hippocastanum"),
        0.50,
        f"Aesculus hippocastanum, {_ZANNE}",
    ),
    (
        (
            "hybrid plane",
            "oriental plane",
            "platanus orientalis",
            "platanus × hispanica",
        ),
        0.48,
        f"Platanus orientalis, {_ZANNE}; hybrids were heavier",
    ),
    (
        ("pedunculate oak", "sessile oak", "quercus robur", "quercus petraea"),
        0.56,
        f"Quercus robur, {_ZANNE}",
    ),
    (("pear", "pyrus communis"), 0.603, f"Pyrus communis, {_ZANNE}"),
    (("yew", "taxus baccata"), 0.551, f"Taxus baccata, {_ZANNE}"),
    (
        ("cedar", "atlas cedar", "cedrus atlantica"),
        0.44,
        f"Cedrus atlantica, {_ZANNE}; the bare word is read as a true cedar",
    ),
    (
        (
            "small-leaved lime",
            "large-leaved lime",
            "tilia cordata",
            "tilia platyphyllos",
        ),
        0.43,
        f"Tilia, {_IPCC}",
    ),
    (
        ("white willow", "salix alba"),
        0.36,
        "black willow, Wood Handbook FPL-GTR-282, from memory; below the 0.45 that "
        "IPCC 2006 gives for all willows",
    ),
)


def gravity_of(species: str) -> Gravity | None:
    """Return the basic gravity of a species, None where none was found.

    Examples
    --------
    >>> gravity_of("Common ash").basic, gravity_of("mountain ash")
    (0.57, None)
    """
    row = WOODS.get(species)
    if row is not None:
        return Gravity(row.gravity, f"{species}, Wood Handbook FPL-GTR-282")
    name = species.strip().casefold()
    return next(
        (Gravity(basic, source) for names, basic, source in _NAMED if name in names),
        None,
    )
