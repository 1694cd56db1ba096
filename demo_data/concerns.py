"""What is not still: old movements set right, and what needs someone today."""

from datetime import date

from demo_data.book import Entry, Work
from demo_data.courses import Course
from demo_data.draft import Draft, in_round

Drafts = dict[str, Draft]

# support, quantity, rate [unit per year], moves from, base rebuilt on
_SET_RIGHT = (
    ("P-10", "settlement", 0.55, date(1978, 3, 1), date(1991, 9, 17)),
    ("P-18", "tilt_x", 0.45, date(1986, 6, 1), date(1999, 4, 13)),
    ("P-26", "settlement", 0.9, date(1996, 8, 1), date(2006, 6, 20)),
    ("P-34", "tilt_y", -0.8, date(2003, 10, 1), date(2012, 3, 20)),
    ("P-38", "settlement", 1.6, date(2008, 5, 1), date(2014, 9, 9)),
    ("P-40", "tilt_x", 0.6, date(2005, 4, 1), date(2016, 10, 18)),
    ("P-20", "settlement", 0.4, date(1995, 2, 1), date(2013, 5, 14)),
)
_TAKEN_DOWN = (
    ("P-31", date(2009, 10, 6), "limb died back and was taken off; post lifted out"),
    (
        "P-47",
        date(2019, 3, 12),
        "limb broke above the saddle in snow; no longer needed",
    ),
    ("T-10", date(2018, 11, 13), "tree felled after decay at the base; pins cut out"),
    ("C-08", date(2016, 9, 20), "crown reduced, fork no longer loaded"),
    ("R-09", date(2021, 10, 12), "stem removed above the rods; rods left in the stump"),
)
_SEEN_LATELY = (
    ("J-04", date(2026, 10, 13)), ("J-05", date(2026, 9, 15)),
    ("P-22", date(2026, 10, 13)), ("P-25", date(2026, 9, 22)),
    ("P-33", date(2026, 11, 10)), ("P-45", date(2026, 9, 17)),
    ("P-46", date(2026, 10, 20)), ("R-06", date(2026, 10, 27)),
    ("R-08", date(2026, 10, 27)), ("S-02", date(2026, 10, 6)),
    ("S-03", date(2026, 11, 3)),
    ("T-08", date(2026, 9, 17)),
)  # fmt: skip
"""Those on watch are looked at more often than the rhythm asks."""
_OPEN = (
    (
        "C-14",
        date(2026, 10, 20),
        "broken wire",
        "act",
        "one of seven, at the lower grip",
    ),
    ("T-05", date(2026, 9, 22), "conk", "act", "a hand wide, below the pin"),
    (
        "P-28",
        date(2026, 9, 8),
        "rust at grade",
        "watch",
        "ring of rust under the paint",
    ),
    ("T-13", date(2026, 4, 29), "ooze", "watch", "second summer"),
    ("P-36", date(2026, 10, 6), "works nearby", "watch", "kerb being relaid, 4 m away"),
    ("C-09", date(2026, 4, 16), "buried nut", "watch", "half grown over, east stem"),
)


def trouble(drafts: Drafts) -> None:
    """Bend the lives of those that do not simply hold."""
    for code, quantity, rate, moves_from, rebuilt in _SET_RIGHT:
        drafts[code].moves(quantity, rate, moves_from)
        drafts[code].mend(Work(code, rebuilt, "repair", "base rebuilt, post set plumb"))
    for code, on, note in _TAKEN_DOWN:
        drafts[code].remove(on, note)
    _lean_and_level(drafts)
    _metal_and_wood(drafts)
    _screws(drafts)
    _slings(drafts)
    for code, on in _SEEN_LATELY:
        drafts[code].look(on, kind="detailed")
    for code, on, finding, grade, note in _OPEN:
        member = drafts[code].members[0].code
        drafts[code].look(
            on, Entry(member=member, finding=finding, grade=grade, note=note)
        )


def _lean_and_level(drafts: Drafts) -> None:
    drafts["P-22"].moves("settlement", 0.35, date(2014, 9, 1))
    drafts["P-45"].moves("tilt_x", 0.17, date(2002, 9, 1))
    drafts["P-33"].moves("tilt_y", 0.75, date(2022, 5, 1))


def _metal_and_wood(drafts: Drafts) -> None:
    drafts["P-46"].course(
        "wall", Course(date(1993, 4, 8), 5.05, -0.05, date(2003, 6, 1))
    )
    drafts["P-25"].course(
        "wall", Course(date(1983, 3, 25), 6.3, -0.031, date(1996, 6, 1))
    )
    bolt = drafts["T-08"]
    bolt.watch("nut", "projection", Course(bolt.members[0].installed, 40.0, -0.95))
    crack = Course(date(2001, 5, 14), 1.1, 0.036, date(2004, 6, 1), season=0.03)
    drafts["R-06"].course("crack_width", crack)


def _screws(drafts: Drafts) -> None:
    """Turned out step by step: one is nearly run out, one has little left."""
    steps = {
        "J-04": (date(2003, 6, 10), date(2012, 6, 12), date(2020, 6, 9)),
        "J-05": (date(2010, 3, 16), date(2019, 3, 12)),
    }
    held = {"J-04": (96.0, 44.0), "J-05": (139.0, 28.0)}
    for code, days in steps.items():
        draft, (left, turned) = drafts[code], held[code]
        length = float(draft.members[0].facts["screw_length_mm"])
        start = left + turned * len(days)
        on = draft.members[0].installed
        draft.course("jack_engagement", Course(on, start))
        draft.course("jack_extension", Course(on, length - start))
        for day in days:
            start -= turned
            draft.mend(
                Work(
                    code, in_round(day), "adjustment", f"screw out by {turned:.0f} mm"
                ),
                {
                    "jack_engagement": start,
                    "jack_extension": length - start,
                    "gap": 0.0,
                },
            )


def _slings(drafts: Drafts) -> None:
    """One limb has nearly used up its sling, another has used half."""
    for code, start, rate in (("S-03", 200.0, -25.0), ("S-02", 205.0, -13.5)):
        draft = drafts[code]
        member = draft.members[-1]
        spare = Course(member.installed, start, rate, floor=0.0)
        draft.course("slack", spare, member=member.code)
