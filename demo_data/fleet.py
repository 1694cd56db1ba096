"""The supports that tell no story of their own: most of them hold."""

import random
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, timedelta

from demo_data import built, kinds
from demo_data.book import Entry, Member, Site, Support, Tree, Work
from demo_data.draft import Draft, in_round, luck
from demo_data.places import BUSY, FIRM, OFTEN, RARELY, SITES, SMITHS, SPECIES
from demo_data.rounds import LAST_ROUND, Day, Series, days_of_life, months_on

# code letter: how many, first number, years of installation
_ORDERS = (
    ("P", 40, 4, (1964, 2024)),
    ("J", 6, 3, (1988, 2022)),
    ("T", 17, 1, (1968, 2023)),
    ("R", 10, 1, (1975, 2021)),
    ("C", 19, 4, (1972, 2023)),
    ("S", 5, 1, (2002, 2019)),
    ("G", 8, 1, (1979, 2020)),
)
_TOLD = frozenset(
    {"P-12", "P-19", "P-24", "P-30", "P-41", "T-07", "T-11", "C-22", "S-05"}
)
"""Codes of the told stories, skipped here. Others lie outside the numbers above."""

_REASONS = {
    "P": ("long level limb", "limb over the path, sound but heavy", "leaning stem",
          "old pruning wound, half hollow", "limb regrown from a break"),
    "J": ("limb that settles slowly, lifted by screw", "low limb over the yard"),
    "T": ("included bark at the fork", "split in the main union", "lightning crack"),
    "R": ("crack along the limb", "hollow stem, two openings", "split fork"),
    "C": ("co-dominant stems", "weak fork high in the crown", "long lever on one side"),
    "S": ("heavy limb in a young union", "fork with included bark"),
    "G": ("shallow roots after a trench", "lean after a gale", "root plate lifted"),
}  # fmt: skip
_TARGETS = {
    "constant": ("entrance steps", "market stalls", "school gate"),
    "frequent": ("footpath", "parked cars and pavement", "benches", "bus stop"),
    "occasional": ("lawn", "garden wall", "service lane"),
    "rare": ("meadow", "storage yard", "bank of the stream"),
}
# longest time between rounds [months], posts | lines | pins and rods, as the office set
_MONTHS = {
    ("constant", "severe"): (6, 6, 12), ("constant", "significant"): (12, 12, 15),
    ("frequent", "severe"): (12, 12, 15), ("frequent", "significant"): (15, 12, 18),
    ("frequent", "minor"): (18, 15, 24), ("occasional", "severe"): (15, 12, 18),
    ("occasional", "significant"): (18, 15, 24), ("occasional", "minor"): (24, 24, 36),
    ("rare", "significant"): (24, 24, 36), ("rare", "minor"): (36, 36, 36),
}  # fmt: skip
_COLUMN = {"P": 0, "J": 0, "C": 1, "S": 1, "G": 1, "T": 2, "R": 2}
_COUNTS = {
    "P": (1, 1, 2, 2, 3), "J": (1, 2, 2), "T": (1, 2, 3, 4), "R": (2, 3, 4, 5),
    "C": (1, 2, 3, 3, 4), "S": (1,), "G": (3, 3, 4),
}  # fmt: skip
_KIND = {"P": "post", "J": "post", "T": "pin", "R": "rod", "C": "cable", "S": "cable",
         "G": "guy"}  # fmt: skip
_SLING_MONTHS = 96
_YEAR = 12
_STRIDE = 11  # without a common divisor with the number of sites: all get their share


def fleet() -> dict[str, Draft]:
    """Every support without a story, by code."""
    sites = sorted(SITES)
    return {
        code: support(code, SITES[sites[place * _STRIDE % len(sites)]], years)
        for place, (code, years) in enumerate(_codes())
    }


def _codes() -> Iterator[tuple[str, tuple[int, int]]]:
    for letter, count, first, (begin, end) in _ORDERS:
        numbers = (n for n in range(first, first + 2 * count))
        codes = [c for n in numbers if (c := f"{letter}-{n:02d}") not in _TOLD][:count]
        for place, code in enumerate(codes):
            middle = begin + (end - begin) * ((place * 7) % count) / max(1, count - 1)
            yield code, (int(middle), begin)


def support(code: str, site: Site, years: tuple[int, int]) -> Draft:
    """A support of the ordinary run, standing still.

    Parameters
    ----------
    years : of its installation, and the first of its kind
    """
    rng = luck(code)
    letter = code[0]
    installed = _installed(rng, years)
    use = _occupancy(site)
    harm = _consequence(rng, use)
    head = Support(
        code, _tree(rng, site, installed), rng.choice(_REASONS[letter]),
        rng.choice(_TARGETS[use]), use, harm,
        installer=FIRM if installed.year >= 1986 else SMITHS,
    )  # fmt: skip
    months = _MONTHS[use, harm][_COLUMN[letter]]
    members = _members(rng, letter, installed, site)
    if months < _YEAR:
        members = members[:2]
    watched = [s for member in members for s in _series(rng, letter, member)]
    detailed_every = max(1, 24 // months) if letter in "CS" else 3
    days = days_of_life(rng, installed, months, detailed_every)
    draft = Draft(head, members, watched, days)
    _small_things(rng, draft)
    return draft


def _installed(rng: random.Random, years: tuple[int, int]) -> date:
    year = max(years[1], years[0] + rng.choice((-1, 0, 0, 1)))
    month = rng.choice((2, 3, 4, 5, 6, 9, 10, 11))
    return in_round(date(year, month, rng.randrange(1, 26)))


def _occupancy(site: Site) -> str:
    if site.code in BUSY:
        return "constant"
    if site.code in OFTEN:
        return "frequent"
    return "rare" if site.code in RARELY else "occasional"


def _consequence(rng: random.Random, use: str) -> str:
    choices = [harm for occupancy, harm in _MONTHS if occupancy == use]
    return rng.choice(choices)


def _tree(rng: random.Random, site: Site, installed: date) -> Tree:
    name, species = rng.choice(SPECIES)
    stem = rng.randrange(420, 1480, 10)
    text = rng.choice((str(stem), f"{stem / 10:.0f} cm", f"{stem / 1000:.2f} m"))
    code = f"{name} {rng.randrange(1000, 9999)}"
    heritage = rng.random() < 0.6
    return Tree(code, species, site, heritage, text, installed.isoformat())


def _members(
    rng: random.Random, letter: str, installed: date, site: Site
) -> list[Member]:
    if letter == "S":
        return _slings(rng, installed)
    names = {"J": "P"}.get(letter, letter)
    bearing = rng.randrange(0, 360, 5)
    return [
        Member(
            f"{names}{number}", _KIND[letter], installed,
            _facts(rng, letter, installed, site),
            bearing=str((bearing + 40 * number) % 360) if letter in "PJG" else "",
        )
        for number in range(1, rng.choice(_COUNTS[letter]) + 1)
    ]  # fmt: skip


def _facts(
    rng: random.Random, letter: str, installed: date, site: Site
) -> dict[str, str]:
    if letter == "P":
        return built.post(rng, installed, site.soil)
    if letter == "J":
        return built.post(rng, installed, site.soil) | built.screw(rng)
    drawn: dict[str, Callable[[random.Random, date], dict[str, str]]] = {
        "T": built.pin, "R": built.through, "C": built.cable, "G": built.guy,
    }  # fmt: skip
    return drawn[letter](rng, installed)


def _slings(rng: random.Random, installed: date) -> list[Member]:
    """A sling, and those that came after it every eight years or a little more."""
    members: list[Member] = []
    on = installed
    while on < date(2025, 1, 1):
        members.append(Member(f"S{len(members) + 1}", "cable", on, built.rope(rng, on)))
        on = in_round(on + timedelta(days=round(_SLING_MONTHS * 30.44)))
    ends = [member.installed for member in members[1:]]
    worn = [
        replace(member, removed=end, removal_note="end of the maker's time")
        for member, end in zip(members, ends, strict=False)
    ]
    return [*worn, members[-1]]


def _series(rng: random.Random, letter: str, member: Member) -> list[Series]:
    match letter:
        case "P" | "J":
            return kinds.post(rng, member, has_screw=letter == "J")
        case "C":
            return kinds.cable(rng, member)
        case "S":
            watched = kinds.sling(rng, member)
            return [replace(series, until=member.removed) for series in watched]
        case "G":
            return kinds.guy(rng, member)
        case _:
            return kinds.through(rng, member)


# what is seen and mended in the ordinary run: finding, grade, work, what was done
_SEEN = {
    "P": (
        ("coating damage", "watch", "repaint", "bare patch cleaned and repainted"),
        (
            "rust at grade",
            "watch",
            "repaint",
            "dug out, blasted and repainted at grade",
        ),
        ("crushed bark", "watch", "adjustment", "pad renewed, saddle eased"),
        ("works nearby", "watch", "", ""),
    ),
    "T": (("loose nut", "act", "adjustment", "nut drawn up, lock nut added"),),
    "C": (
        ("grip slip", "act", "adjustment", "grip set anew and marked with paint"),
        ("buried nut", "watch", "", ""),
    ),
    "G": (("anchor moved", "act", "adjustment", "soil packed, line set anew"),),
}


def _small_things(rng: random.Random, draft: Draft) -> None:
    """A sling renewed, and perhaps one thing seen once and set right."""
    is_sling = draft.support.code[0] == "S"
    for member in draft.members[1:] if is_sling else ():
        draft.works.append(
            Work(draft.support.code, member.installed, "replacement",
                 "worn sling replaced at the end of its time", member=member.code)
        )  # fmt: skip
        draft.days.append(Day(member.installed, "after work", all_read=True))
        draft.days += [
            Day(on, "detailed", all_read=True)
            for months in (12, 24, 36)
            if (on := in_round(months_on(member.installed, months))) < LAST_ROUND
        ]
    choices = _SEEN.get(draft.support.code[0], ())
    middle = draft.days[4:-4]
    if not choices or not middle or rng.random() > 0.45:
        return
    code, grade, work, done = rng.choice(choices)
    member = rng.choice(draft.members)
    seen = rng.choice(middle)
    draft.look(seen.on, Entry(member=member.code, finding=code, grade=grade))
    if work:
        on = in_round(seen.on + timedelta(days=rng.randrange(12, 120)))
        draft.mend(
            Work(draft.support.code, on, work, done, member=member.code, closes=code),
            {"coating": 260.0} if work == "repaint" else {},
        )
    else:
        on = in_round(seen.on + timedelta(days=rng.randrange(60, 160)))
        draft.mend(
            Work(draft.support.code, on, "new datum", "works over, levels taken anew"
                 if code == "works nearby" else "nut cut free and packed out",
                 member=member.code, closes=code),
        )  # fmt: skip
