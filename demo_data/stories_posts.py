"""Told stories of posts: a drain, salt, a screw that runs out, clay that breathes."""

from datetime import date

from demo_data import built, kinds
from demo_data.book import Book, Correction, Entry, Member, Support, Work
from demo_data.courses import Course
from demo_data.draft import Draft, in_round, luck
from demo_data.places import BEECH, CEDAR, CHAPEL_PLANE, FIRM, LIME, OAK, SMITHS
from demo_data.rounds import Day, Series
from demo_data.typing_habits import FEELER, FINE_LEVEL, LEVEL, plain


def tilt(x: str, y: str, method: str = "plumb bob", unit: str = "mm/m") -> list[Entry]:
    """Both axes of one lean reading."""
    return [
        Entry("tilt_x", x, unit, method, "P1", "face"),
        Entry("tilt_y", y, unit, method, "P1", "face"),
    ]


def sunk(value: str, method: str = "level") -> Entry:
    """One settlement reading."""
    return Entry("settlement", value, "mm", method, "P1", "plate")


def daylight(value: str) -> Entry:
    """One reading of the gap at the saddle."""
    return Entry("gap", value, "mm", "feeler", "P1", "saddle")


def tollgate_oak() -> Draft:
    """P-01: a drain is dug beside a post on old cellar fill, and the post follows."""
    head = Support(
        "P-01", OAK, "long south limb over the corner, old cellar beneath",
        "footpath and bus stop", "frequent", "severe", FIRM,
    )  # fmt: skip
    facts = {
        "section": "round hollow", "width_mm": "114.3", "wall_mm": "5",
        "length_mm": "3.65 m", "material": "mild steel",
        "coating": "hot-dip galvanised, painted", "plate_length_mm": "400",
        "plate_width_mm": "400", "plate_thickness_mm": "16",
        "footing_soil": "unprepared fill", "footing_depth_mm": "450",
        "stem_distance_mm": "5.1 m", "saddle": "steel cradle with rubber pad",
        "limb_held_sideways": "yes", "limb_diameter_mm": "520", "set_load_kn": "9",
    }  # fmt: skip
    member = Member("P1", "post", date(1988, 4, 12), facts, bearing="90")
    draft = Draft(head, [member], [], [])
    before = (
        (1988, "0.4", "0.0", "0"), (1989, "0.5", "0.3", "0"), (1992, "0.8", "0.4", "1"),
        (1997, "0.9", "0.6", "1"), (2003, "1.1", "0.9", "2"),
    )  # fmt: skip
    for year, x, y, settled in before:
        kind = "baseline" if year == 1988 else "routine"
        draft.tell(date(year, 4, 12), *tilt(x, y), sunk(settled), kind=kind)
    trench = Entry(
        member="P1", finding="works nearby", grade="watch",
        note="drain dug 2.5 m from the plate in August 2005, on the south-east side",
    )  # fmt: skip
    after = (
        (date(2005, 11, 15), "1.9", "2.6", "3"),
        (date(2006, 4, 11), "2.9", "3.9", "11"),
        (date(2006, 10, 10), "3.7", "4.9", "14"),
    )  # fmt: skip
    for on, x, y, settled in after:
        draft.tell(on, *tilt(x, y), sunk(settled))
    draft.look(date(2005, 11, 15), trench)
    rebuilt = date(2007, 3, 14)
    draft.works.append(
        Work("P-01", rebuilt, "repair", "base rebuilt on a deeper pad, post set plumb",
             closes="works nearby")
    )  # fmt: skip
    draft.tell(rebuilt, *tilt("0.1", "0.0"), sunk("0"), kind="after work")
    for year in range(2008, 2027):
        lean = plain(0.3 + 0.6 * (year - 2008) / 16.0, 0.1)
        draft.tell(
            in_round(date(year, 10, 8)), *tilt(lean, "0.0", "frame level"),
            sunk("0" if year < 2016 else "0.5"), daylight("0"),
        )  # fmt: skip
    for year in (2008, 2014, 2020, 2025):
        draft.look(in_round(date(year, 10, 8)), _wall("4.9"))
    return draft


def harbour_cedar(book: Book) -> Draft:
    """P-12: salt eats a post at grade; on rust a gauge reads metal that is gone."""
    head = Support(
        "P-12", CEDAR, "lowest limb, 9 m long, over Salt Road", "cars and pavement",
        "frequent", "severe", SMITHS, note="Salted every winter since 1975.",
    )  # fmt: skip
    facts = {
        "section": "round hollow", "width_mm": "139.7", "wall_mm": "6.3",
        "length_mm": "4.1 m", "material": "mild steel",
        "coating": "red lead, oil paint",
        "coating_um": "210",
        "plate_length_mm": "450", "plate_width_mm": "450", "plate_thickness_mm": "20",
        "footing_depth_mm": "600", "stem_distance_mm": "6.2 m",
        "saddle": "oak yoke, bolted", "limb_diameter_mm": "610", "drain_hole": "no",
        "limb_held_sideways": "yes", "set_load_kn": "7",
    }  # fmt: skip
    installed = date(1975, 5, 6)
    member = Member("P1", "post", installed, facts, bearing="205")
    rng = luck("P-12")
    still = [
        s for s in kinds.post(rng, member) if s.mark in ("face", "plate", "saddle")
    ]
    draft = Draft(head, [member], still, [Day(installed, "baseline", all_read=True)])
    draft.days += [Day(in_round(date(y, 5, 9)), "routine") for y in range(1977, 2027)]
    told = (
        (1985, "6.2"), (1995, "5.9"), (2003, "5.4"), (2009, "4.8"), (2012, "6.1"),
    )  # fmt: skip
    draft.look(installed, _wall("6.3"))
    for year, value in told:
        draft.look(in_round(date(year, 5, 9)), _wall(value))
    draft.look(
        in_round(date(2009, 5, 9)),
        Entry(member="P1", finding="rust at grade", grade="watch",
              note="24 % of the wall gone at grade"),
    )  # fmt: skip
    draft.tell(
        date(2012, 6, 19), _wall("4.6"), _wall("6.1", "100 mm above grade"),
        Entry(note="Measured again on cleaned steel: 27 % gone, act."), kind="detailed",
    )  # fmt: skip
    book.correct(
        Correction(
            "P-12", "P1", "at grade", in_round(date(2012, 5, 9)), "wall", "withdrawn",
            "", "read on rust, measured again on clean steel: 4.6", date(2013, 1, 22),
        )
    )  # fmt: skip
    draft.mend(
        Work("P-12", date(2013, 4, 16), "repair", "sleeve welded on and recoated",
             closes="rust at grade")
    )  # fmt: skip
    draft.look(date(2013, 4, 16), _wall("8.0"), _wall("6.1", "100 mm above grade"))
    for year, value in ((2016, "8.0"), (2019, "7.9"), (2022, "8.0"), (2025, "7.9")):
        above = _wall("6.1", "100 mm above grade")
        draft.look(in_round(date(year, 5, 9)), _wall(value), above)
    return draft


def _wall(value: str, mark: str = "at grade") -> Entry:
    return Entry("wall", value, "mm", "ultrasonic", "P1", mark)


def schoolyard_lime() -> Draft:
    """J-02: a screw is turned out step by step until too little of it is held."""
    head = Support(
        "J-02", LIME, "low limb over the yard, sinking slowly", "school gate",
        "constant", "significant", FIRM,
    )  # fmt: skip
    installed = date(1999, 5, 11)
    facts = {
        "section": "square hollow", "width_mm": "90", "wall_mm": "5",
        "length_mm": "2.85 m", "material": "S235", "coating": "hot-dip galvanised",
        "screw_diameter_mm": "42", "screw_pitch_mm": "6", "screw_length_mm": "320",
        "screw_extension_mm": "140", "plate_length_mm": "350", "plate_width_mm": "350",
        "plate_thickness_mm": "15", "footing_soil": "sandy gravel or gravel",
        "stem_distance_mm": "4.3 m", "saddle": "padded saddle", "set_load_kn": "5",
        "limb_held_sideways": "yes", "limb_diameter_mm": "430",
    }  # fmt: skip
    member = Member("P1", "post", installed, facts, bearing="310")
    draft = Draft(head, [member], [], [])
    draft.tell(installed, *_screw(140), daylight("0"), kind="baseline")
    draft.tell(date(2000, 11, 14), *_screw(140), daylight("0"))
    draft.tell(date(2002, 11, 12), *_screw(140), daylight("2"),
               Entry(note="limb light without leaves"))  # fmt: skip
    steps = (
        (date(2004, 5, 11), "4", 140, 146, "one turn of 6 mm"),
        (date(2009, 5, 12), "5", 146, 158, "two turns of 6 mm"),
        (date(2013, 5, 14), "4", 158, 164, "one turn of 6 mm"),
        (date(2018, 5, 15), "6", 164, 176, "two turns of 6 mm"),
    )
    for on, gap, out, then, turned in steps:
        draft.tell(on, *_screw(out), daylight(gap))
        draft.works.append(Work("J-02", on, "adjustment", f"screw out by {turned}"))
        draft.tell(on, *_screw(then), daylight("0"), kind="after work")
    spacer = date(2018, 9, 18)
    draft.works.append(
        Work("J-02", spacer, "new datum",
             "spacer of 40 mm fitted, screw turned back; counted anew from here")
    )  # fmt: skip
    draft.tell(spacer, *_screw(136), daylight("0"), kind="after work")
    for year in (2001, 2003, 2005, 2006, 2007, 2008, 2010, 2011, 2012, 2014, 2015, 2016,
                 2017, 2019, 2020, 2021, 2022, 2023, 2024, 2025, 2026):  # fmt: skip
        out = _out(year)
        draft.tell(in_round(date(year, 5, 13)), *_screw(out), daylight("0"))
    return draft


def _out(year: int) -> int:
    steps = ((2004, 140), (2009, 146), (2013, 158), (2018, 164))
    return next((out for before, out in steps if year < before), 136)


def _screw(out: int) -> list[Entry]:
    return [
        Entry("jack_extension", str(out), "mm", "tape", "P1", "screw"),
        Entry("jack_engagement", str(320 - out), "mm", "tape", "P1", "screw"),
    ]


def beacon_beech() -> Draft:
    """P-30: a post on stiff clay rides up and down with the seasons."""
    head = Support(
        "P-30", BEECH, "great west limb over the path", "benches", "frequent",
        "significant", FIRM, note="Levelled twice a year, late winter and late summer.",
    )  # fmt: skip
    installed = date(2010, 6, 15)
    facts = built.post(luck("P-30"), installed, "clay, sandy or silty clay, silt")
    member = Member("P1", "post", installed, facts, bearing="260")
    drift = Course(installed, 0.0, rate=0.2, season=4.5)
    watched = [
        Series("P1", "plate", "settlement", (drift,), ((0, LEVEL), (2014, FINE_LEVEL))),
        Series("P1", "saddle", "gap", (Course(installed, 0.0, floor=0.0),),
               ((0, FEELER),), every=2),
    ]  # fmt: skip
    draft = Draft(head, [member], watched, [Day(installed, "baseline", all_read=True)])
    told = {2018: "11.0", 2019: "4.0", 2023: "7.4"}
    for year in range(2010, 2027):
        if year > 2010:
            draft.days.append(Day(in_round(date(year, 3, 8)), "routine"))
        late = in_round(date(year, 9, 6))
        if year in told:
            draft.tell(late, sunk(told[year], "digital level"), daylight("0"))
        else:
            draft.days.append(Day(late, "routine"))
    draft.look(in_round(date(2018, 9, 6)), Entry(note="driest summer known"))
    plate = in_round(date(2023, 9, 6))
    draft.works.append(Work("P-30", plate, "replacement", "plate renewed"))
    draft.renew("settlement", Course(plate, 0.0, rate=0.2, season=4.5))
    draft.tell(plate, sunk("0.0", "digital level"), daylight("0"), kind="after work")
    draft.tell(
        date(2022, 10, 11),
        Entry(member="P1", finding="works nearby", grade="note",
              note="the hornbeam that anchored the neighbouring guy was felled"),
        kind="after event",
    )  # fmt: skip
    return draft


def chapel_row_plane() -> Draft:
    """P-41: the post under the north limb leans, and leans faster."""
    head = Support(
        "P-41", CHAPEL_PLANE, "north limb, hollow at the base", "footpath and pews",
        "frequent", "severe", FIRM,
    )  # fmt: skip
    installed = date(1996, 5, 14)
    facts = built.post(luck("P-41"), installed, "sandy gravel or gravel")
    member = Member("P1", "post", installed, facts, bearing="0")
    draft = Draft(head, [member], [], [])
    for year in range(1996, 2026):
        kind = "baseline" if year == 1996 else "routine"
        lean = "0.05°" if year % 3 else "0.1°"
        draft.tell(
            in_round(date(year, 5, 14)),
            *tilt(lean, "0.0°", "inclinometer reversed", ""),
            sunk("0"), daylight("0"), kind=kind,
        )  # fmt: skip
    growing = (
        (date(2025, 11, 11), "0.4°", "0.1°", "1"),
        (date(2026, 3, 17), "0.8°", "0.2°", "1.5"),
        (date(2026, 5, 19), "1.1°", "0.2°", "2"),
        (date(2026, 8, 18), "1.6°", "0.3°", "3"),
        (date(2026, 11, 17), "2.0°", "0.4°", "3.5"),
        (date(2026, 11, 24), "2.1°", "0.4°", "3.5"),
    )  # fmt: skip
    for on, x, y, settled in growing:
        lean_now = tilt(x, y, "inclinometer reversed", "")
        draft.tell(on, *lean_now, sunk(settled), daylight("0"))
    gully = "gully overflows, gravel gone under the north edge of the plate"
    closed = "Path closed the same afternoon; engineer asked to come."
    for on, grade, note in (
        (date(2026, 8, 18), "watch", gully), (date(2026, 11, 17), "make safe", closed),
    ):  # fmt: skip
        draft.look(on, Entry(member="P1", finding="washed out", grade=grade, note=note))
    return draft
