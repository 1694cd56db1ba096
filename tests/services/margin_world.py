"""A member with the facts that a margin stands on, in memory and in a store."""

from datetime import date

import numpy as np

from monitor.clock import new_id
from monitor.domain.places import Site, Tree
from monitor.domain.supports import Fact, Member
from monitor.domain.vocabulary import Exposure, MemberKind
from monitor.services.margins.case import Known, Run
from monitor.services.margins.margins import case_of, margins_of
from monitor.services.margins.view import HORIZON_YEARS, years_of
from monitor.store import records
from tests.build import LONG_AGO, a_support

BUILT, TODAY = date(2010, 6, 1), date(2026, 6, 1)
POST = {
    "section": "round hollow", "width_mm": 114.3, "wall_mm": 5.0, "length_mm": 3000.0,
    "material": "S235JRH", "coating": "none", "limb_held_sideways": "yes",
    "set_load_kn": 20.0, "limb_diameter_mm": 400.0,
}  # fmt: skip
SITE = Site(
    new_id(), "V-1", "Chapel Row", new_id(), None, "Etc/UTC", Exposure.C3, None, None,
    "", "", "", LONG_AGO,
)  # fmt: skip
TREE = Tree(
    new_id(), SITE.id, "T1", "Platanus × hispanica", True, None, None, "", LONG_AGO
)


def known(kind, facts, runs=None, *, site=SITE, tree=TREE):
    """What is known of a member built in 2010, asked in 2026."""
    member = Member(new_id(), new_id(), "M1", kind, BUILT, None, "", None, LONG_AGO)
    own = {fact.name: fact for fact in _facts(member.id, facts)}
    return Known(member, site, tree, own, runs or {}, {}, TODAY)


def a_post(runs=None, *, site=SITE, **changed):
    """A round tube of S235, held, 20 kN as set; None takes a fact away."""
    return known(MemberKind.POST, POST | changed, runs, site=site)


def a_run(values, *, mark="at grade", since=BUILT, noise=0.15, across=None):
    """One reading on 1 June of each year."""
    return Run(
        mark,
        since,
        tuple(date(year, 6, 1) for year in values),
        tuple(values.values()),
        tuple(across or [np.nan] * len(values)),
        (noise,) * len(values),
    )


def margin_of(one):
    """Its margin from as built to forty years ahead."""
    case = case_of(one)
    return margins_of([case], years_of(case, HORIZON_YEARS))[0]


def given(margin, label):
    """What it stands on, by its label."""
    return next(given for given in margin.inputs if given.label.startswith(label))


def a_stored_post(session, code="S-0142", **changed):
    """The same post in the record."""
    built = a_support(session, code, installed_on=BUILT, mark="face")
    records.FACTS.add(session, _facts(built.member.id, POST | changed))
    return built


def _facts(member_id, facts):
    return [
        Fact(
            new_id(), member_id, name, value if isinstance(value, float) else None,
            str(value), LONG_AGO, None,
        )
        for name, value in facts.items()
        if value is not None
    ]  # fmt: skip
