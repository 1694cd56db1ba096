"""The as-built review blocks nothing; the guard names what is wrong."""

from dataclasses import replace

import numpy as np
import pytest

from monitor.errors import InsufficientData, InvalidInput
from monitor.mechanics.as_built import AsBuilt, Part
from monitor.mechanics.footing import Soil
from monitor.mechanics.guard import known, plain, positive, within
from monitor.mechanics.lean import Restraint
from monitor.mechanics.review import Standing, review
from monitor.mechanics.screening import CAUTION

INCH = 25.4
ALL = frozenset(Part)

# common practice, no source: the post of a careful crew
GOOD = AsBuilt(
    parts=ALL,
    length_mm=175 * INCH,
    radius_mm=1.52 * INCH,
    restraint=Restraint.HELD,
    tilt_mm_m=0.5,
    coating="hot-dip galvanised",
    zinc_um=80.0,
    steel_mm=6.35,
    plate_below_mulch_mm=30.0,
    soil=Soil.CLAY,
    materials=("firm clay",),
    screw_length_mm=500.0,
    screw_exposed_mm=120.0,
    saddle_clearance_mm=30.0,
    radial_mm_year=3.0,
    preload="two turns past contact",
    pin_mm=0.820 * INCH,
    hole_mm=0.820 * INCH,
    nuts_per_end=2,
)


def standing_of(built, what):
    return next(line for line in review(built).lines if line.what == what)


def test_a_careful_crew_finds_everything_in_order():
    result = review(GOOD)

    assert {line.standing for line in result.lines} == {Standing.IN_ORDER}
    assert len(result.lines) == 11
    assert result.missing == ()
    assert result.caution == CAUTION
    assert all(line.reason and line.source for line in result.lines)


@pytest.mark.parametrize(
    ("changed", "what"),
    [
        ({"restraint": Restraint.FREE}, "slenderness"),
        ({"tilt_mm_m": 2.5}, "plumb"),
        ({"tilt_mm_m": -2.5}, "plumb"),
        ({"coating": ""}, "coating"),
        ({"zinc_um": 40.0}, "coating"),
        ({"plate_below_mulch_mm": -20.0}, "plate below the mulch"),
        ({"soil": Soil.MULCH}, "firm soil under the plate"),
        ({"materials": ("clay", "paving")}, "one material under the whole plate"),
        ({"screw_exposed_mm": 360.0}, "screw overlap"),
        ({"saddle_clearance_mm": 5.0}, "room for growth in the saddle"),
        ({"hole_mm": 24.0}, "hole on size with the pin"),
        ({"hole_mm": 18.0}, "hole on size with the pin"),
        ({"nuts_per_end": 1}, "nuts doubled"),
        ({"length_mm": -1.0}, "slenderness"),
        ({"screw_length_mm": 0.0}, "screw overlap"),
        ({"hole_mm": float("nan")}, "hole on size with the pin"),
    ],
)
def test_one_fault_makes_one_line_look_again(changed, what):
    result = review(replace(GOOD, **changed))

    faults = [
        line.what for line in result.lines if line.standing is not Standing.IN_ORDER
    ]
    assert faults == [what]
    assert standing_of(replace(GOOD, **changed), what).standing is Standing.LOOK_AGAIN


def test_an_empty_record_blocks_nothing_and_asks_for_everything():
    result = review(AsBuilt(parts=ALL))

    assert {line.standing for line in result.lines} == {Standing.NOT_RECORDED}
    assert len(result.missing) == 11
    assert all("Needed:" in sentence for sentence in result.missing)


def test_only_the_parts_a_support_has_are_looked_at():
    result = review(AsBuilt(parts=frozenset({Part.PIN})))

    assert [line.what for line in result.lines] == [
        "hole on size with the pin",
        "nuts doubled",
    ]


def test_restraint_that_is_not_recorded_is_told():
    line = standing_of(replace(GOOD, restraint=None), "slenderness")

    assert "not recorded" in line.reason
    assert line.standing is Standing.LOOK_AGAIN


def test_growth_not_known_asks_only_for_some_room():
    line = standing_of(
        replace(GOOD, radial_mm_year=None), "room for growth in the saddle"
    )

    assert line.standing is Standing.IN_ORDER
    assert "growth is not known" in line.reason


@pytest.mark.parametrize(
    ("found", "hint"),
    [(12.0, "In feet"), (144.0, "In inches"), (3.6, "in metres")],
)
def test_a_length_in_another_unit_is_asked_about(found, hint):
    with pytest.raises(InvalidInput, match=hint):
        within("height", found, "mm", (900.0, 8000.0))


def test_a_missing_number_is_missing_and_a_wrong_one_wrong():
    with pytest.raises(InsufficientData, match="height is missing"):
        positive("height", float("nan"), "mm")
    with pytest.raises(InvalidInput, match="more than 0 mm"):
        positive("height", np.array([3.0, -1.0]), "mm")
    with pytest.raises(InvalidInput, match="known: a, b"):
        known("grade", "c", {"a": 1, "b": 2})


def test_one_value_comes_back_as_one_value():
    assert isinstance(plain(np.float64(3.0) * np.ones(())), float)
    assert plain(np.ones(3)).shape == (3,)
