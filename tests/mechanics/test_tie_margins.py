"""Margins of cables and pins against the single relations and by hand."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.errors import InsufficientData
from monitor.mechanics.cable_margin import Cables, cable_margin
from monitor.mechanics.cables import Grade, breaking_n
from monitor.mechanics.margin import Course, governing_part, reasons, require
from monitor.mechanics.pin_margin import Pins, pin_margin
from monitor.mechanics.pins import (
    PinJoint,
    bearing_across_mpa,
    bearing_along_mpa,
    hankinson_mpa,
    shear_allowable_n,
    wet_lateral_n,
)
from monitor.mechanics.screening import CAUTION

YEARS = np.array([0.0, 20.0, 40.0])


def course(load=3000.0, loss=(0.0, 0.0, 0.0), loss_sd=0.0, log_sd=0.0):
    flat = np.zeros((1, 3))
    return Course(
        YEARS,
        np.array([loss], dtype=float),
        flat + loss_sd,
        flat + load,
        np.array([log_sd]),
        flat,
        flat,
    )


def cables(**changed):
    """Quarter-inch extra high strength strand, factor 5."""
    facts = {
        "breaking_n": breaking_n("1/4", Grade.EXTRA_HIGH),
        "working_factor": 5.0,
        "wire_mm": 2.1,
        "whole_share": 1.0,
        "anchor_n": np.nan,
    } | changed
    return Cables(**{name: np.array([value]) for name, value in facts.items()})


def pins(**changed):
    facts = {
        "diameter_mm": 19.05,
        "sound_mm": 355.6,
        "side_mm": 12.0,
        "gravity": 0.5,
        "angle_deg": 90.0,
        "tensile_mpa": 400.0,
        "bending_mpa": 310.0,
    } | changed
    return Pins(**{name: np.array([value]) for name, value in facts.items()})


def test_a_cable_at_half_its_working_load():
    # by hand: 29.58 kN / 5 = 5.916 kN
    result = cable_margin(cables(), course(load=2958.0))

    assert result.use[0, 0] == pytest.approx(0.5, abs=0.001)
    assert result.caution == CAUTION
    assert "anchors" in result.missing[0]


def test_a_broken_wire_takes_a_seventh():
    whole = cable_margin(cables(), course()).use[0, 0]

    broken = cable_margin(cables(whole_share=6 / 7), course()).use[0, 0]

    assert broken / whole == pytest.approx(7 / 6)


def test_rust_on_thin_wires_tells():
    # by hand: 0.1 mm off a 2.1 mm wire leaves (1.9 / 2.1)^2 = 0.819
    result = cable_margin(cables(), course(loss=(0.0, 0.1, 2.0)))

    assert result.use[0, 1] / result.use[0, 0] == pytest.approx(1 / 0.8186, rel=1e-3)
    assert result.use[0, 2] == 99.0


def test_the_weaker_anchor_governs():
    result = cable_margin(cables(anchor_n=2000.0), course())

    assert governing_part(result, 0, 0) == "anchor"
    assert result.use[0, 0] == pytest.approx(1.5)


def test_load_alone_uncertain_gives_its_own_interval():
    # by hand: a lognormal pull carries straight through; exp(1.645 x 0.3) = 1.638
    result = cable_margin(cables(), course(load=4000.0, log_sd=0.3))

    assert result.high[0, 0] / result.use[0, 0] == pytest.approx(1.638, abs=0.001)
    assert result.use[0, 0] / result.low[0, 0] == pytest.approx(1.638, abs=0.001)


@pytest.mark.parametrize(
    ("facts", "way", "words"),
    [
        ({"breaking_n": np.nan}, {}, "size and grade"),
        ({"wire_mm": 0.0}, {}, "Wire diameter"),
        ({"whole_share": 1.2}, {}, "broken wires"),
        ({}, {"load": np.nan}, "Pull is missing"),
        ({}, {"loss_sd": np.nan}, "Loss of metal"),
    ],
)
def test_a_cable_without_its_facts_is_refused(facts, way, words):
    result = cable_margin(cables(**facts), course(**way))

    assert np.isnan(result.use).all()
    with pytest.raises(InsufficientData, match=words):
        require(result, 0)


def test_a_pin_uses_the_weakest_of_its_ways():
    wood = hankinson_mpa(bearing_along_mpa(0.5), bearing_across_mpa(0.5, 19.05), 90.0)
    joint = PinJoint(19.05, 355.6, 12.0, wood, 600.0, 310.0, 90.0)

    result = pin_margin(pins(), course(load=6000.0))

    weakest = min(wet_lateral_n(joint), shear_allowable_n(19.05, 400.0))
    assert result.use[0, 0] == pytest.approx(6000.0 / weakest)
    assert governing_part(result, 0, 0) == "wood and bending of the pin"
    assert "ASD" in result.method


def test_a_pin_rusted_below_the_known_formula_can_not_stand():
    result = pin_margin(pins(), course(loss=(0.0, 1.0, 7.0)))

    assert result.use[0, 1] > result.use[0, 0]
    assert result.use[0, 2] == 99.0


@given(st.floats(20.0, 500.0), st.floats(0.1, 1.0))
def test_less_sound_wood_is_never_safer(sound, share):
    whole = pin_margin(pins(sound_mm=sound), course()).use[0, 0]

    assert pin_margin(pins(sound_mm=max(sound * share, 10.0)), course()).use[0, 0] >= (
        whole * (1 - 1e-12)
    )


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"diameter_mm": 0.820}, "6.35 to 60 mm"),  # inches in a field of mm
        ({"sound_mm": 0.0}, "sound wood"),
        ({"gravity": np.nan}, "species"),
        ({"angle_deg": 120.0}, "grain"),
        ({"tensile_mpa": np.nan}, "Steel of the pin"),
    ],
)
def test_a_pin_without_its_facts_is_refused(facts, words):
    result = pin_margin(pins(**facts), course())

    assert any(words in sentence for sentence in reasons(result, 0))
    assert np.isnan(result.high).all()


def test_a_slightly_negative_loss_counts_as_none():
    way = replace(course(), loss_mm=np.array([[-0.05, 0.0, 0.0]]))

    assert pin_margin(pins(), way).use[0, 0] == pin_margin(pins(), course()).use[0, 0]
