"""Told stories of the record itself: sixty years of owners, and one night of wind."""

from dataclasses import replace
from datetime import date, timedelta

from demo_data import kinds
from demo_data.book import Book, Correction, Entry, Member, Support, Visit, Work
from demo_data.courses import Course
from demo_data.draft import Draft, in_round, luck
from demo_data.fleet import support
from demo_data.people import leaf_on, on_duty
from demo_data.places import PLANE, SITES, SMITHS
from demo_data.rounds import Day

STORM = date(2017, 2, 3)
_QUARTERS = frozenset({"Old Town", "Harbour", "Weirside", "Tollgate"})
_FIRST_DAY = (
    "P-12", "P-19", "P-41", "J-02", "S-05", "C-22", "P-30", "P-01", "P-02",
)  # fmt: skip
"""Nine that were on watch when the wind came."""
_OVER_PEOPLE, _OTHERS = 31, 21
_SMALL = (
    "twigs on the cradle, brushed off",
    "wire mesh of the fence bent",
    "tag gone, new one fixed",
    "paint scratched at head height",
)

_OWNERS = (
    "Owner: Parish of Quillhaven to 1974, city to 1991, leased to the Lantern Theatre "
    "Trust to 2010, city since. Cards of 1964 to 1978 scanned; none found for 1979 to "
    "1986."
)


def market_square_plane(book: Book) -> list[Draft]:
    """P-02, P-03 and C-01: one tree, four owners, a gap, a claim."""
    drafts = [_square_post("P-02", "north"), _square_post("P-03", "east"), _cable()]
    handover = date(1991, 6, 18)
    passed_on = "open at the hand-over to the trust"
    rust = Entry(member="P1", finding="rust at grade", grade="watch", note=passed_on)
    slip = Entry(member="C1", finding="grip slip", grade="act", note=passed_on)
    drafts[0].look(handover, rust)
    drafts[2].look(handover, slip)
    seen = date(1993, 5, 11)
    for draft in (drafts[0], drafts[2]):
        draft.look(seen, Entry(note="The trust acknowledges the finding of June 1991."))
    drafts[0].mend(
        Work("P-02", date(1993, 9, 14), "repaint", "dug out and repainted at grade",
             closes="rust at grade"), {"coating": 240.0},
    )  # fmt: skip
    drafts[2].mend(
        Work("C-01", date(1993, 9, 14), "adjustment", "grips set anew",
             closes="grip slip"), {},
    )  # fmt: skip
    _claim(book, drafts[1])
    return drafts


def _square_post(code: str, limb: str) -> Draft:
    head = Support(
        code, PLANE, f"long {limb} limb over the stalls", "market stalls", "constant",
        "severe", SMITHS, note=_OWNERS,
    )  # fmt: skip
    facts = {
        "section": "round hollow", "width_mm": '5 1/2"', "wall_mm": '1/4"',
        "length_mm": "13 ft 2 in" if code == "P-02" else "12 ft 9 1/2 in",
        "material": "mild steel", "coating": "red lead and oil paint",
        "coating_um": "190", "plate_length_mm": '16"', "plate_width_mm": '16"',
        "plate_thickness_mm": '5/8"', "footing_depth_mm": "2 ft",
        "stem_distance_mm": "17 ft 6 in", "saddle": "oak yoke, bolted",
        "limb_diameter_mm": '22"', "footing_soil": "unprepared fill",
        "limb_held_sideways": "yes", "set_load_kn": "1600 lbf",
    }  # fmt: skip
    member = Member("P1", "post", date(1964, 5, 12), facts,
                    bearing="10" if limb == "north" else "95")  # fmt: skip
    wall = {**facts, "wall_mm": "6.4"}
    rng = luck(code)
    watched = kinds.post(rng, Member("P1", "post", member.installed, wall))
    return Draft(head, [member], watched, _square_days(member.installed))


def _square_days(installed: date) -> list[Day]:
    """Yearly to 1978, nothing to 1986, yearly to 2010, then twice a year."""
    days = [Day(installed, "baseline", all_read=True)]
    for year in (*range(1965, 1979), *range(1987, 2027)):
        on = date(1991, 6, 18) if year == 1991 else in_round(date(year, 5, 11))
        days.append(Day(on, "routine", all_read=year % 5 == 0))
        if year > 2010:
            days.append(Day(in_round(date(year, 11, 8)), "routine"))
    return days


def _cable() -> Draft:
    head = Support(
        "C-01", PLANE, "two great stems, weak fork", "market stalls", "constant",
        "severe", SMITHS, note=_OWNERS,
    )  # fmt: skip
    facts = {
        "line": "wire rope", "grade": "galvanised", "diameter_mm": '3/8"',
        "length_mm": "21 ft 4 in", "terminations": "clips", "height_mm": "29 ft",
        "breaking_kn": "13000 lbf", "set_tension_kn": "700 lbf",
    }  # fmt: skip
    member = Member("C1", "cable", date(1964, 5, 12), facts)
    metric = {**facts, "set_tension_kn": "3.1", "diameter_mm": "9.5"}
    rng = luck("C-01")
    watched = kinds.cable(rng, Member("C1", "cable", member.installed, metric))
    days = [
        replace(day, kind="detailed") if day.on.year % 2 else day
        for day in _square_days(member.installed)
    ]
    return Draft(head, [member], watched, days)


def _claim(book: Book, post: Draft) -> None:
    """A number read off the wrong face in 2012, set right in 2014; a claim in 2015."""
    on = date(2012, 11, 20)
    post.course("tilt_x", Course(post.members[0].installed, 2.3))
    post.tell(on, Entry("tilt_x", "0.6", "mm/m", "frame level", "P1", "face"))
    book.correct(
        Correction("P-03", "P1", "face", on, "tilt_x", "2.4", "mm/m",
                   "read on the west face; the card shows 2.4 on the marked face",
                   date(2014, 3, 18))
    )  # fmt: skip


def struck_post() -> Draft:
    """P-19: hit by a branch in the storm, set straight in March."""
    post = support("P-19", SITES["TG3"], (1998, 1998))
    post.mend(
        Work("P-19", date(2017, 3, 14), "repair", "post straightened, bolts renewed",
             closes="struck")
    )  # fmt: skip
    return post


def slipped_cable() -> Draft:
    """C-22: a grip slipped in the storm and was set anew."""
    cable = support("C-22", SITES["WS5"], (2003, 2003))
    cable.mend(
        Work("C-22", date(2017, 2, 21), "adjustment", "grip set anew and marked",
             closes="grip slip"), {},
    )  # fmt: skip
    return cable


def storm(book: Book) -> None:
    """Sixty-one looks after the gust of 104 km/h: 9, 31 by day 3, 21 by day 11."""
    there = [code for code in sorted(book.supports) if _stood(book, code)]
    rest = [code for code in there if code not in _FIRST_DAY]
    busy = [code for code in rest if _is_over_people(book, code)][:_OVER_PEOPLE]
    quiet = [code for code in rest if not _is_over_people(book, code)]
    others = quiet + [c for c in rest if _is_over_people(book, c)][_OVER_PEOPLE:]
    turns = [(code, 1) for code in _FIRST_DAY]
    turns += [(code, 2 + place % 2) for place, code in enumerate(busy)]
    turns += [(code, 4 + place % 8) for place, code in enumerate(others[:_OTHERS])]
    noted = dict(zip(busy[5:25:5], _SMALL, strict=True))
    for code, day in turns:
        _look(book, code, STORM + timedelta(days=day), noted.get(code, ""))


def _stood(book: Book, code: str) -> bool:
    members = book.members[code]
    stood = any(
        m.installed <= STORM and (m.removed is None or m.removed > STORM)
        for m in members
    )
    return stood and book.supports[code].tree.site.district in _QUARTERS


def _is_over_people(book: Book, code: str) -> bool:
    return book.supports[code].occupancy in ("constant", "frequent")


def _look(book: Book, code: str, on: date, small: str) -> None:
    rng = luck(f"{code}/storm")
    visit = Visit(code, on, on_duty(rng, on).name, "after event", "6", leaf_on(on))
    book.visit(visit, _seen(code, small, f"{rng.randrange(4, 8)} min"))


def _seen(code: str, small: str, minutes: str) -> Entry:
    if code == "P-19":
        note = "struck by a fallen branch, post dented at 1.2 m"
        return Entry(member="P1", finding="struck", grade="act", note=note)
    if code == "C-22":
        note = "lower grip slipped 14 mm past the paint mark"
        return Entry(member="C1", finding="grip slip", grade="act", note=note)
    if small:
        return Entry(finding="other", grade="note", note=small)
    return Entry(note=f"no change, {minutes}")
