"""The catalogues hang together."""

import pytest

from monitor.domain.facts import FACTS
from monitor.domain.findings import FINDINGS
from monitor.domain.limits import DEFAULT_LIMITS, Limits
from monitor.domain.methods import METHODS, noise_of, noise_with
from monitor.domain.quantities import QUANTITIES, SERIES, quantity
from monitor.domain.vocabulary import Harm, LimitBasis, MemberKind
from monitor.errors import NotFound
from monitor.units import CANONICAL


@pytest.mark.parametrize("name", QUANTITIES)
def test_a_quantity_is_whole(name):
    item = QUANTITIES[name]

    assert item.unit in CANONICAL
    assert item.low < item.high
    assert item.noise.repeatability > 0
    assert item.kinds
    assert item.sign
    if item.floor is not None:
        assert item.low <= item.floor


def test_both_axes_of_tilt_make_one_series():
    assert [part.name for part in SERIES["tilt"]] == ["tilt_x", "tilt_y"]
    assert all(len(parts) == 1 for name, parts in SERIES.items() if name != "tilt")


@pytest.mark.parametrize("name", DEFAULT_LIMITS)
def test_act_lies_on_the_harmful_side_of_watch_and_has_a_source(name):
    limits, harm = DEFAULT_LIMITS[name], SERIES[name][0].harm
    watch, act = limits.levels(100.0, harm)

    assert limits.source
    assert (act < watch) if harm is Harm.DOWN else (act > watch)


def test_a_limit_of_change_is_counted_from_the_baseline():
    limits = Limits("settlement", LimitBasis.CHANGE, 3.0, 8.0, "by hand")

    assert limits.levels(1.5, Harm.UP) == (4.5, 9.5)
    assert limits.levels(1.5, Harm.DOWN) == (-1.5, -6.5)
    assert limits.levels(1.5, Harm.AWAY) == (3.0, 8.0)


def test_a_quarter_of_the_wall_gone_is_an_act_limit():
    """5 mm tube: watch at 4.5 mm (10 % gone), act at 3.75 mm (25 % gone). By hand."""
    assert DEFAULT_LIMITS["wall"].levels(5.0, Harm.DOWN) == pytest.approx((4.5, 3.75))


def test_an_unknown_quantity_is_answered_with_the_known_ones():
    with pytest.raises(NotFound, match="settlement"):
        quantity("setlement")


@pytest.mark.parametrize("method", METHODS)
def test_every_method_gives_noise_for_every_quantity(method):
    for name in QUANTITIES:
        assert noise_of(name, method).repeatability > 0


def test_relative_noise_grows_with_the_value():
    noise = noise_of("tension", "tension meter").at(-4.0)

    assert noise.repeatability == pytest.approx(0.2)
    assert not noise.relative


def test_names_of_facts_carry_the_unit_of_their_numbers():
    ends = {"mm": "_mm", "um": "_um", "kN": "_kn", "deg": "_deg", "count": ""}
    for kind in MemberKind:
        for spec in FACTS[kind]:
            if spec.is_number:
                assert spec.name.endswith(ends[spec.unit])
                assert spec.low < spec.high


def test_findings_have_words():
    assert all(code == item.code and item.label for code, item in FINDINGS.items())


def test_what_a_photograph_works_out_takes_the_place_of_the_usual_noise():
    noise = noise_with("wound_width", "photo", 50.0, 3.2)

    assert (noise.repeatability, noise.placement) == (3.2, 0.0)
    assert noise.resolution == noise_of("wound_width", "photo").resolution


def test_a_spread_comes_on_top_of_what_the_instrument_is_known_for():
    usual = noise_of("tilt_x", "inclinometer reversed")

    noise = noise_with("tilt_x", "inclinometer reversed", 8.0, 1.2)

    # By hand: √(0.9² + 1.2²) = 1.5.
    assert usual.repeatability == 0.9
    assert noise.repeatability == pytest.approx(1.5)
    assert noise.placement == usual.placement
    assert noise_with("tilt_x", "inclinometer reversed", 8.0, None) == usual
