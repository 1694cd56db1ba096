"""Told stories of pins, cables and slings: what closes, slackens and grows tight."""

from datetime import date

from demo_data import kinds
from demo_data.book import Book, Correction, Entry, Member, Support, Work
from demo_data.courses import Course
from demo_data.draft import Draft, in_round, luck
from demo_data.fleet import support
from demo_data.places import ASH, FIRM, MULBERRY, NEIGHBOUR, SITES, WALNUT, WILLOW
from demo_data.rounds import Day, months_on
from demo_data.typing_habits import plain

_WEEK_OF_ERRORS = date(2016, 5, 10)


def _wound(value: str) -> Entry:
    return Entry("wound_width", value, "mm", "calliper", "T1", "wound")


def ferry_lane_ash() -> Draft:
    """T-07: the hole closes quickly while the tree dies."""
    head = Support(
        "T-07", ASH, "split in the main union", "footpath", "frequent", "significant",
        FIRM,
    )  # fmt: skip
    facts = {
        "diameter_mm": "30", "hole_diameter_mm": "32", "length_mm": "760",
        "washers": "oval 90 x 60 x 8 mm", "nuts": "1", "wood_thickness_mm": "640",
        "material": "steel, grade 8.8", "coating": "hot-dip galvanised",
    }  # fmt: skip
    removed = date(2013, 9, 17)
    note = "limb dead and taken down; the rod stays in the stem at 3.4 m, north side"
    member = Member("T1", "pin", date(2001, 3, 20), facts, "", removed, note)
    draft = Draft(head, [member], [], [])
    draft.tell(date(2001, 3, 20), _wound("32"), _crown(1, "note"), kind="baseline")
    draft.tell(date(2002, 9, 10), _wound("21"), _crown(1, "note"))
    draft.tell(date(2003, 9, 9), _wound("9"))
    draft.tell(date(2004, 9, 14), _wound("2"))
    draft.tell(date(2005, 9, 13), _wound("0"), Entry(note="closed"))
    draft.tell(date(2007, 7, 10), _wound("0"), _crown(2, "watch"))
    draft.tell(date(2009, 7, 14), _crown(3, "watch"))
    conk = Entry(member="T1", finding="conk", grade="act", note="at the union")
    draft.tell(date(2011, 8, 16), conk, _crown(3, "watch"))
    dead = Entry(member="T1", finding="dead limb", grade="act")
    draft.tell(date(2013, 7, 9), dead)
    draft.works.append(Work("T-07", removed, "removal", note, closes="all"))
    return draft


def _crown(density: int, grade: str) -> Entry:
    note = f"crown density class {density}"
    return Entry(member="T1", finding="thin crown", grade=grade, note=note)


def almshouse_mulberry() -> Draft:
    """C-03: a cable that carries less every year, because the tree needs it less."""
    head = Support(
        "C-03", MULBERRY, "old split, reduced crown", "court and benches", "frequent",
        "significant", FIRM,
        note="Need reviewed in 2012: kept as a slack backup, not tightened again.",
    )  # fmt: skip
    facts = {
        "line": "steel strand", "grade": "7-wire", "diameter_mm": "6.4",
        "length_mm": "5.60 m", "terminations": "eye bolts, wedge grips",
        "height_mm": "6.4 m", "breaking_kn": "29.6", "set_tension_kn": "2.9",
    }  # fmt: skip
    removed = date(2019, 10, 15)
    why = (
        "crack still for 25 years, crown reduced: no longer needed; eye bolts cut flush"
    )
    installed = date(1994, 10, 18)
    member = Member("C1", "cable", installed, facts, "", removed, why)
    draft = Draft(head, [member], [], [])
    no_meter = Entry(
        "tension", member="C1", mark="line", answer="not measured", why="no meter yet"
    )
    draft.tell(installed, no_meter, _crack("1.40"), kind="baseline")
    told = ((1996, "2.9"), (1999, "2.7"), (2002, "2.3"), (2005, "1.8"), (2008, "1.2"),
            (2011, "0.6"))  # fmt: skip
    for year, value in told:
        pull = Entry("tension", value, "kN", "tension meter", "C1", "line")
        draft.tell(in_round(date(year, 11, 12)), pull, _crack("1.40"), kind="detailed")
    review = Entry(note="Need reviewed with the foundation: kept as a slack backup.")
    draft.tell(date(2012, 11, 13), _crack("1.40"), review)
    for year in (2014, 2016, 2018):
        draft.tell(in_round(date(year, 11, 12)), _crack("1.40"), kind="detailed")
    draft.works.append(Work("C-03", removed, "removal", why, closes="all"))
    return draft


def _crack(value: str) -> Entry:
    return Entry("crack_width", value, "mm", "calliper", "C1", "union")


def weir_willow() -> Draft:
    """S-05: a limb grows into its sling while the rope grows old."""
    head = Support(
        "S-05", WILLOW, "heavy limb over the weir path", "footpath", "occasional",
        "significant", FIRM,
    )  # fmt: skip
    rope = {
        "line": "synthetic rope", "grade": "hollow braid, 4 t", "diameter_mm": "18",
        "length_mm": "6.2 m", "terminations": "spliced eyes in slings",
        "height_mm": "8.1 m", "breaking_kn": "39",
    }  # fmt: skip
    first, second = date(2008, 4, 15), date(2017, 4, 11)
    ends = {on: months_on(on, months).isoformat() for on, months in
            ((first, 96), (second, 120))}  # fmt: skip
    members = [
        Member("S1", "cable", first, rope | {"replace_by": ends[first]}, "", second,
               "tight, nine years old, bark bulged"),
        Member("S2", "cable", second, rope | {"replace_by": ends[second]}),
    ]  # fmt: skip
    draft = Draft(head, members, [], [])
    told = ((2008, "160", "420"), (2010, "120", "434"), (2012, "74", "448"),
            (2014, "31", "462"), (2016, "5", "476"))  # fmt: skip
    for year, spare, limb in told:
        kind = "baseline" if year == 2008 else "detailed"
        draft.tell(in_round(date(year, 4, 15)), *_sling("S1", spare, limb), kind=kind)
    tight = Entry(member="S1", finding="no slack", grade="act", note="bark bulging")
    draft.look(in_round(date(2016, 4, 15)), tight)
    draft.works.append(
        Work(
            "S-05", second, "replacement", "loosened late, sling replaced", closes="all"
        )
    )
    draft.tell(second, *_sling("S2", "240", "483"), kind="baseline")
    for year in range(2018, 2027, 2):
        age = year - 2017
        spare = plain(240.0 - 8.0 * age, 1.0)
        limb = plain(483.0 + 2.5 * age, 1.0)
        on = in_round(date(year, 4, 14))
        draft.tell(on, *_sling("S2", spare, limb), kind="detailed")
    return draft


def _sling(member: str, spare: str, limb: str) -> list[Entry]:
    return [
        Entry("slack", spare, "mm", "tape", member, "sling"),
        Entry("limb_diameter", limb, "mm", "tape", member, "limb"),
    ]


def orchard_walnut(book: Book) -> list[Draft]:
    """T-11 and P-24: one tired inspector, one week, two wrong units."""
    head = Support(
        "T-11", WALNUT, "split fork, pinned low", "garden wall", "frequent",
        "significant", FIRM,
    )  # fmt: skip
    facts = {
        "diameter_mm": "24", "hole_diameter_mm": "27", "length_mm": "620",
        "washers": "round 80 mm", "nuts": "2", "wood_thickness_mm": "510",
        "side_mm": "12", "service_load_kn": "4.2",
        "material": "steel, grade 8.8", "coating": "hot-dip galvanised",
    }  # fmt: skip
    installed = date(2014, 4, 8)
    pin = Draft(head, [Member("T1", "pin", installed, facts)], [], [])
    told = ((2014, "48"), (2015, "46"), (2016, "1.7"), (2017, "41"))
    for year, value in told:
        on = _WEEK_OF_ERRORS if year == 2016 else in_round(date(year, 5, 9))
        kind = "baseline" if year == 2014 else "routine"
        pin.tell(installed if year == 2014 else on, _wound(value), kind=kind)
    for year in range(2018, 2027):
        value = plain(41.0 - 2.4 * (year - 2017), 0.5)
        pin.tell(in_round(date(year, 5, 9)), _wound(value))
    book.correct(
        Correction("T-11", "T1", "wound", _WEEK_OF_ERRORS, "wound_width", "43.2", "mm",
                   "1.7 was in inches; asked the inspector, who agrees",
                   date(2017, 6, 14))
    )  # fmt: skip
    return [pin, _orchard_post(book)]


def _orchard_post(book: Book) -> Draft:
    post = support("P-24", SITES["OR2"], (2008, 2008))
    post.course("tilt_x", Course(post.members[0].installed, 5.2))
    week = date(2016, 5, 12)
    post.tell(
        week, Entry("tilt_x", "0.3", "mm/m", "inclinometer reversed", "P1", "face")
    )
    book.correct(
        Correction("P-24", "P1", "face", week, "tilt_x", "0.3", "deg",
                   "0.3 was in degrees, written in the mm/m column", date(2017, 6, 14))
    )  # fmt: skip
    return post


def beacon_hornbeam() -> Draft:
    """G-09: a guy beside the beech, whose anchor tree is felled next door in 2022."""
    head = Support(
        "G-09", NEIGHBOUR, "lean after a gale, guyed to the hornbeam across the path",
        "footpath", "occasional", "significant", FIRM,
    )  # fmt: skip
    installed = date(2010, 6, 15)
    facts = {
        "line": "steel strand", "grade": "7-wire, extra high strength",
        "diameter_mm": "9.5", "length_mm": "11.2 m", "terminations": "dead-end grips",
        "height_mm": "7.4 m", "breaking_kn": "68.5", "set_tension_kn": "5",
        "ground_angle_deg": "45", "anchor": "anchor tree, from 2022 a helical anchor",
        "anchor_depth_mm": "1500", "anchor_rod_mm": "24", "proof_load_kn": "10",
    }  # fmt: skip
    member = Member("G1", "guy", installed, facts, bearing="120")
    days = [Day(installed, "baseline", all_read=True)]
    days += [Day(in_round(date(y, 6, 14)), "routine") for y in range(2011, 2027)]
    draft = Draft(head, [member], kinds.guy(luck("G-09"), member), days)
    felled = Entry(
        member="G1", finding="anchor moved", grade="act",
        note="anchor tree felled by the neighbour, line hangs loose",
    )  # fmt: skip
    draft.tell(date(2022, 10, 11), felled, kind="after event")
    draft.mend(
        Work("G-09", date(2022, 10, 25), "repair", "helical anchor set, line set anew",
             closes="anchor moved")
    )  # fmt: skip
    return draft
