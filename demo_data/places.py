"""Velmarsh: a small street grid in the open ocean, its owners, its named trees."""

from demo_data.book import Site, Tree

CITY = "City of Velmarsh"
PARISH = "Parish of Quillhaven"
THEATRE = "Lantern Theatre Trust"
HARBOUR = "Velmarsh Harbour Board"
ALMSHOUSE = "Almshouse Foundation of Velmarsh"
SCHOOLS = "Velmarsh School Board"
MILL = "Weir Mill Company"
RESIDENTS = "Orchard Close Residents"
FIRM = "Corbel & Fern Supports"
SMITHS = "Hobb & Daughters, smiths"

_SOUTH, _WEST = 47.4900, -20.0150
_STEP_NORTH, _STEP_EAST = 0.0009, 0.00135  # about 100 m each way

_NESTING = "03-01/08-31 nesting"
_MARKET = "12-01/01-06 winter market"
_TERM = "06-10/07-05 examinations"

_SAND = "sand, silty or clayey sand, silty or clayey gravel"
_CLAY = "clay, sandy or silty clay, silt"
_GRAVEL = "sandy gravel or gravel"
_FILL = "unprepared fill"

# code, name, owner, exposure, blocks east, blocks north, soil, access, quiet seasons
_OLD_TOWN = (
    ("OT1", "Market Square", CITY, "C3", 11, 12, _FILL, "stalls on Saturdays", _MARKET),
    ("OT2", "Chapel Row", CITY, "C3", 13, 12, _GRAVEL, "key at the chapel house", ""),
    ("OT3", "Almshouse Court", ALMSHOUSE, "C2", 10, 13, _CLAY, "ring first", ""),
    ("OT4", "Lantern Walk", THEATRE, "C3", 12, 13, _GRAVEL, "not on show days", ""),
    ("OT5", "Bell Passage", PARISH, "C2", 14, 13, _FILL, "narrow, no lift", ""),
    ("OT6", "Cooper's Yard", CITY, "C3", 11, 14, _FILL, "", ""),
    ("OT7", "Library Steps", CITY, "C3", 13, 14, _GRAVEL, "", ""),
    ("OT8", "Old Ramparts", CITY, "C2", 10, 15, _GRAVEL, "steps only", _NESTING),
)
_HARBOUR = (
    ("HB1", "Salt Road", HARBOUR, "C4", 20, 8, _SAND, "salted in winter", ""),
    ("HB2", "Quay Gardens", HARBOUR, "C4", 22, 9, _SAND, "", ""),
    ("HB3", "Ropewalk", CITY, "C4", 21, 10, _SAND, "", ""),
    ("HB4", "Customs Green", HARBOUR, "C3", 23, 10, _SAND, "gate code", ""),
    ("HB5", "Breakwater Lane", CITY, "C5", 24, 8, _SAND, "not at spring tide", ""),
    ("HB6", "Sailmaker Street", CITY, "C4", 20, 11, _FILL, "", ""),
    ("HB7", "Beacon Hill", CITY, "C3", 25, 12, _CLAY, "stiff clay, steep", ""),
)
_WEIRSIDE = (
    ("WS1", "Weir Meadow", MILL, "C3", 3, 5, _SAND, "wet in spring", ""),
    ("WS2", "Mill Race", MILL, "C3", 4, 6, _FILL, "railings, helmet", ""),
    ("WS3", "Ferry Lane", CITY, "C3", 2, 7, _SAND, "", ""),
    ("WS4", "Fuller's Bank", CITY, "C2", 5, 7, _CLAY, "", _NESTING),
    ("WS5", "Reed Street", CITY, "C3", 4, 8, _SAND, "", ""),
    ("WS6", "Osier Path", CITY, "C3", 2, 9, _CLAY, "on foot only", ""),
    ("WS7", "Bridge End", CITY, "C3", 6, 9, _FILL, "", ""),
)
_TOLLGATE = (
    ("TG1", "Tollgate Corner", CITY, "C3", 12, 20, _FILL, "old cellars beneath", ""),
    ("TG2", "Schoolyard", SCHOOLS, "C3", 14, 20, _GRAVEL, "report at the desk", _TERM),
    ("TG3", "Drover's Way", CITY, "C3", 10, 21, _GRAVEL, "", ""),
    ("TG4", "Infirmary Garden", CITY, "C2", 15, 21, _GRAVEL, "", ""),
    ("TG5", "Tannery Row", CITY, "C3", 11, 22, _FILL, "", ""),
    ("TG6", "Cattle Market", CITY, "C3", 13, 22, _FILL, "not on Thursdays", ""),
    ("TG7", "North Gate", CITY, "C3", 12, 24, _GRAVEL, "", ""),
    ("TG8", "Cemetery Avenue", PARISH, "C2", 15, 24, _CLAY, "", ""),
)
_ORCHARDS = (
    ("OR1", "Orchard Close", RESIDENTS, "C2", 4, 16, _CLAY, "", ""),
    ("OR2", "Walnut Court", RESIDENTS, "C2", 5, 17, _GRAVEL, "dog", ""),
    ("OR3", "Perry Lane", CITY, "C2", 3, 18, _CLAY, "", ""),
    ("OR4", "Beehive Green", CITY, "C2", 5, 19, _CLAY, "hives on the south side", ""),
    ("OR5", "Hopfield", CITY, "C2", 2, 20, _CLAY, "", _NESTING),
    ("OR6", "Glebe Walk", PARISH, "C2", 4, 21, _GRAVEL, "", ""),
    ("OR7", "Stile End", CITY, "C2", 6, 22, _CLAY, "two stiles, no lift", ""),
)
_DISTRICTS = {
    "Old Town": _OLD_TOWN,
    "Harbour": _HARBOUR,
    "Weirside": _WEIRSIDE,
    "Tollgate": _TOLLGATE,
    "Orchards": _ORCHARDS,
}

SITES = {
    row[0]: Site(
        code=row[0],
        name=row[1],
        district=district,
        owner=row[2],
        exposure=row[3],
        latitude=_SOUTH + row[5] * _STEP_NORTH,
        longitude=_WEST + row[4] * _STEP_EAST,
        soil=row[6],
        access=row[7],
        quiet_seasons=row[8],
    )
    for district, rows in _DISTRICTS.items()
    for row in rows
}

# where people pass all day, where they pass often; elsewhere now and then or rarely
BUSY = frozenset({"OT1", "OT4", "TG2", "TG4", "HB2"})
OFTEN = frozenset(
    {"OT2", "OT3", "OT5", "OT6", "OT7", "HB1", "HB4", "HB6", "WS3", "WS5", "WS7", "TG1",
     "TG5", "TG6", "TG7", "OR1", "OR2"}
)  # fmt: skip
RARELY = frozenset({"OT8", "HB5", "WS4", "WS6", "OR5", "OR7"})

OAK = Tree("Tollgate Oak", "pedunculate oak", SITES["TG1"], True, "1420", "1988-04-12")
ASH = Tree("Ferry Lane Ash", "common ash", SITES["WS3"], True, "980", "2001-03-20")
CEDAR = Tree("Harbour Cedar", "cedar", SITES["HB1"], True, "52 in", "1975-05-06")
MULBERRY = Tree(
    "Almshouse Mulberry", "black mulberry", SITES["OT3"], True, "71 cm", "1994-10-18"
)
LIME = Tree(
    "Schoolyard Lime", "large-leaved lime", SITES["TG2"], True, "1150", "1999-05-11"
)
WILLOW = Tree(
    "Weir Willow", "white willow", SITES["WS1"], False, "124,5 cm", "2008-04-15"
)
PLANE = Tree(
    "Market Square Plane", "hybrid plane", SITES["OT1"], True, "4 ft 2 in", "1964-05-12"
)
WALNUT = Tree(
    "Orchard Walnut", "common walnut", SITES["OR2"], True, "830", "2014-04-08"
)
BEECH = Tree("Beacon Beech", "common beech", SITES["HB7"], True, "1360", "2010-06-15")
NEIGHBOUR = Tree(
    "Beacon Hornbeam", "hornbeam", SITES["HB7"], False, "540", "2010-06-15"
)
CHAPEL_PLANE = Tree(
    "Chapel Row Plane", "hybrid plane", SITES["OT2"], True, "1510", "1996-05-14"
)

SPECIES = (
    ("Oak", "pedunculate oak"), ("Lime", "small-leaved lime"),
    ("Beech", "common beech"),
    ("Plane", "hybrid plane"), ("Ash", "common ash"), ("Maple", "field maple"),
    ("Chestnut", "horse chestnut"), ("Yew", "yew"), ("Pear", "pear"),
    ("Willow", "white willow"), ("Cedar", "cedar"), ("Hornbeam", "hornbeam"),
)  # fmt: skip
