"""The policy a new installation starts with: proposals, each with its source.

These are starting points to be edited by whoever holds the duty. Local law, a qualified
arborist and a licensed engineer decide.
"""

from monitor.domain.vocabulary import (
    Consequence,
    Grade,
    MemberKind,
    Occupancy,
    WorkKind,
)
from monitor.schedule.policy import Cell, FindingRule, Key, Policy, WindowRule

MEDIUM_PAINT_YEARS = 15
"""End of the durability class “medium” (ISO 12944-1:2017): a starting value."""

_COMMON = "common practice, no source"
_LIFTING = (
    "like lifting gear over people, every 6 months (UK Lifting Operations and Lifting "
    "Equipment Regulations 1998, reg. 9), by analogy"
)
_COUNCIL = (
    "UK councils look at trees over high use every 15 or 18 months, so that the "
    "seasons alternate"
)
_ROADSIDE = (
    "[2018] EWCA Civ 2232: a large tree in a high-risk place at least every 2 years, "
    "ideally every 18 months"
)
_TREE_CONTROL = (
    "FLL tree control guidelines: yearly to every 2 years for ageing trees, by "
    "safety expected"
)
_MASTS = "guyed masts every 3 years (ANSI/TIA-222), by analogy"
_WITHIN_REACH = (
    "ZTV-Baumpflege: installed crown supports every 2 to 5 years by going up to them"
)

_ROUTINE_POST = (
    (6, _LIFTING), (12, _COMMON), (15, _COUNCIL),
    (12, _COMMON), (15, _COUNCIL), (18, _COUNCIL),
    (15, _COMMON), (18, _ROADSIDE), (24, _TREE_CONTROL),
    (24, _TREE_CONTROL), (24, _TREE_CONTROL), (36, _MASTS),
)  # fmt: skip
_ROUTINE_LINE = (
    (6, _LIFTING), (12, _COMMON), (12, _COMMON),
    (12, _COMMON), (12, _COMMON), (15, _COUNCIL),
    (12, _TREE_CONTROL), (15, _COMMON), (24, _TREE_CONTROL),
    (24, _TREE_CONTROL), (24, _TREE_CONTROL), (36, _MASTS),
)  # fmt: skip
_ROUTINE_THROUGH = (
    (12, _COMMON), (15, _COUNCIL), (18, _COUNCIL),
    (15, _COUNCIL), (18, _COUNCIL), (24, _TREE_CONTROL),
    (18, _ROADSIDE), (24, _TREE_CONTROL), (36, _COMMON),
    (24, _TREE_CONTROL), (36, _COMMON), (36, _MASTS),
)  # fmt: skip
_DETAILED_ALOFT = (
    (24, _WITHIN_REACH), (24, _WITHIN_REACH), (36, _WITHIN_REACH),
    (24, _WITHIN_REACH), (36, _WITHIN_REACH), (36, _WITHIN_REACH),
    (36, _WITHIN_REACH), (36, _WITHIN_REACH), (60, _WITHIN_REACH),
    (60, _WITHIN_REACH), (60, _WITHIN_REACH), (60, _WITHIN_REACH),
)  # fmt: skip

_CELLS = tuple((use, harm) for use in Occupancy for harm in Consequence)


def default_policy() -> Policy:
    """The proposal: intervals by kind, use beneath and consequence, with sources."""
    return Policy(
        name="proposal",
        version=1,
        routine=_table(
            {
                MemberKind.POST: _ROUTINE_POST,
                MemberKind.CABLE: _ROUTINE_LINE,
                MemberKind.GUY: _ROUTINE_LINE,
                MemberKind.PIN: _ROUTINE_THROUGH,
                MemberKind.ROD: _ROUTINE_THROUGH,
            }
        ),
        detailed=_table({MemberKind.CABLE: _DETAILED_ALOFT}),
        window=WindowRule(),
        findings=dict(_FINDINGS),
        after_work_months=dict(_AFTER_WORK),
        coating_life_years=MEDIUM_PAINT_YEARS,
        sources=dict(_SOURCES),
    )


_FINDINGS = {
    Grade.ACT: FindingRule(
        90,
        90,
        "pin-and-hanger details of bridges every 3 months until replaced (Texas "
        "Department of Transportation, special inspections), by analogy",
    ),
    Grade.MAKE_SAFE: FindingRule(1, 7, _COMMON),
}

_AFTER_WORK: dict[WorkKind, tuple[int, ...]] = {
    WorkKind.ADJUSTMENT: (1,),
    WorkKind.REPAIR: (3,),
    WorkKind.REPLACEMENT: (1, 3, 6, 12),
    WorkKind.REPAINT: (),
    WorkKind.NEW_DATUM: (),
}

_SOURCES = {
    "coating-life": (
        "years to the first major renewal by ISO 12944-1:2017: low up to 7, medium 7 "
        "to 15, high 15 to 25, very high above 25; planning figures and no guarantee. "
        "15 is the end of medium, a starting value to be set to the paint in use; 0 "
        "plans none"
    ),
    "baseline": (
        "bridges in New York are inspected within 60 days of acceptance "
        "(17 NYCRR 165.4), by analogy"
    ),
    "first-year": _COMMON,
    "first-gaps": (
        "own simulation of supports that start to move late: short first gaps and a "
        "ceiling of 3 years kept limits reached unseen near 1 in 100"
    ),
    "look-again": (
        "inspect at no more than half of the time from first sign to failure "
        "(reliability-centred maintenance)"
    ),
    "unconfirmed": _COMMON,
    "after-work": _COMMON,
    "after-event": "the rule of the event, see there",
    "service-life": (
        "ZTV-Baumpflege: synthetic crown supports must work for at least 8 years; "
        "the look 6 months ahead is common practice, no source"
    ),
}


def _table(
    by_kind: dict[MemberKind, tuple[tuple[int, str], ...]],
) -> dict[Key, Cell]:
    return {
        (kind, use, harm): Cell(months, source)
        for kind, row in by_kind.items()
        for (use, harm), (months, source) in zip(_CELLS, row, strict=True)
    }
