"""Expected numbers are by hand from exact factors unless a line says otherwise.

1 in = 25.4 mm and 1 lb = 0.45359237 kg: international yard and pound agreement, 1959.
1 lbf = 0.45359237 × 9.80665 N = 4.4482216152605 N: standard gravity, 3rd CGPM, 1901.
"""

import doctest
import math
import time
from fractions import Fraction

import pint
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from monitor.errors import UnclearNumber
from monitor.units import (
    CANONICAL,
    convert,
    display,
    factors,
    grammar,
    measure,
    parse,
    show,
    slips,
    unit_named,
    unit_slip,
    vocabulary,
)

PINT = pint.UnitRegistry()  # reads only texts that it is known to read well


@pytest.fixture(autouse=True, scope="module")
def _factors_fetched_once():
    convert(1.0, "in", "mm")  # building the registry is no part of any deadline


AS_TYPED = [
    # text, wanted unit, value, resolution
    ("14 ft 7 in", "m", 4.445, 0.0254),
    ("14 ft. 7 in.", "m", 4.445, 0.0254),
    ("14 feet 7 inches", "m", 4.445, 0.0254),
    ("14'7\"", "mm", 4445.0, 25.4),
    ("14'-7\"", "mm", 4445.0, 25.4),
    ("14’ 7”", "mm", 4445.0, 25.4),
    ("14′ 7″", "mm", 4445.0, 25.4),
    ("14' 7''", "mm", 4445.0, 25.4),
    ("14' 7 1/2\"", "mm", 4457.7, 12.7),
    ("14 ft 7½ in", "mm", 4457.7, 12.7),
    ("14' 0.5\"", "mm", 4279.9, 2.54),
    ("-14 ft 7 in", "mm", -4445.0, 25.4),
    ("6'", "m", 1.8288, 0.3048),
    ('4 1/2"', "mm", 114.3, 12.7),
    ("4 1/2 in", "mm", 114.3, 12.7),
    ("4-1/2 in", "mm", 114.3, 12.7),
    ("4½ in", "mm", 114.3, 12.7),
    ("4 ½in", "mm", 114.3, 12.7),
    ("4\u00a01/2 in", "mm", 114.3, 12.7),
    ("½ in", "mm", 12.7, 12.7),
    ("-½ in", "mm", -12.7, 12.7),
    ("1⁄8 in", "mm", 3.175, 3.175),
    ("4/8 in", "mm", 12.7, 3.175),
    ("1/2 mm", "mm", 0.5, 0.5),
    ("0.82 in", "mm", 20.828, 0.254),
    ('0.82"', "mm", 20.828, 0.254),
    ("0,82 in", "mm", 20.828, 0.254),
    (".5 in", "mm", 12.7, 2.54),
    ("175in", "mm", 4445.0, 25.4),
    ("32 mm", "mm", 32.0, 1.0),
    ("32.0mm", "mm", 32.0, 0.1),
    ("32\u2009mm", "mm", 32.0, 1.0),
    ("+3 mm", "mm", 3.0, 1.0),
    ("-3 mm", "mm", -3.0, 1.0),
    ("−3 mm", "mm", -3.0, 1.0),
    ("–3 mm", "mm", -3.0, 1.0),
    ("1,5 cm", "mm", 15.0, 1.0),
    ("1.234 m", "mm", 1234.0, 1.0),
    ("1,234.5 mm", "mm", 1234.5, 0.1),
    ("1.234,5 mm", "mm", 1234.5, 0.1),
    ("1234,567 mm", "mm", 1234.567, 0.001),
    ("0,125 mm", "mm", 0.125, 0.001),
    ("1,234,567 um", "um", 1234567.0, 1.0),
    ("1.234.567 um", "um", 1234567.0, 1.0),
    ("1\u202f234,5 mm", "mm", 1234.5, 0.1),
    ("1e3 mm", "mm", 1000.0, 1000.0),
    ("1.5e-05 m", "mm", 0.015, 0.001),
    ("5 mils", "um", 127.0, 25.4),
    ("85 µm", "um", 85.0, 1.0),
    ("85 \u03bcm", "um", 85.0, 1.0),
    ("85 um", "um", 85.0, 1.0),
    ("3 mm/m", "mm/m", 3.0, 1.0),
    ("1:200", "mm/m", 5.0, 0.025),  # d(1000/n) = 1000/200²
    ("1 in 200", "mm/m", 5.0, 0.025),
    ("-1:200", "mm/m", -5.0, 0.025),
    ("3 in 1000", "mm/m", 3.0, 1.0),
    ("0 in 200", "mm/m", 0.0, 5.0),
    ("12 %", "mm/m", 120.0, 10.0),
    ("1/4 in/ft", "mm/m", 125 / 6, 125 / 6),  # 0.25 in in 12 in
    ("1/4 in. per ft", "mm/m", 125 / 6, 125 / 6),
    ("12 %", "%", 12.0, 1.0),
    ("650 lbf", "kN", 650 * 0.0044482216152605, 0.0044482216152605),
    ("1,250 lbf", "kN", 1250 * 0.0044482216152605, 0.0044482216152605),
    ("3 kip", "kN", 3 * 4.4482216152605, 4.4482216152605),
    ("250 daN", "kN", 2.5, 0.01),
    ("100 kgf", "kN", 0.980665, 0.00980665),
    ("2 t", "kg", 2000.0, 1000.0),
    ("1,250 lb", "kg", 566.9904625, 0.45359237),
    ("300 N/mm²", "MPa", 300.0, 1.0),
    ("1 bar", "kPa", 100.0, 100.0),
    ("20 degC", "degC", 20.0, 1.0),
    ("68 °F", "degC", 20.0, 5 / 9),
    ("36 km/h", "m/s", 10.0, 1 / 3.6),
    ("2 1/4 turns", "turns", 2.25, 0.25),
    ("6 months", "years", 0.5, 1 / 12),
    ("271°", "deg", 271.0, 1.0),
    ("3", "count", 3.0, 1.0),
]


@pytest.mark.parametrize(("text", "unit", "value", "resolution"), AS_TYPED)
def test_a_measurement_is_read_as_it_was_meant(text, unit, value, resolution):
    found = parse(f"  {text} ", unit)

    assert found.value == pytest.approx(value, rel=1e-14, abs=1e-300)
    assert found.resolution == pytest.approx(resolution, rel=1e-14)
    assert (found.unit, found.text, found.relation) == (unit, text, "=")


@pytest.mark.parametrize(
    ("text", "relation", "value_mm"),
    [
        ("<0.1 mm", "<", 0.1),
        ("< 0,1 mm", "<", 0.1),
        ("<=0.1 mm", "<", 0.1),
        ("≤ 0.1 mm", "<", 0.1),
        (">4 in", ">", 101.6),
        ("≥4 in", ">", 101.6),
        ("<-3 mm", "<", -3.0),
    ],
)
def test_a_reading_known_only_from_one_side_keeps_its_side(text, relation, value_mm):
    found = parse(text, "mm")

    assert (found.relation, found.value) == (relation, pytest.approx(value_mm))


@pytest.mark.parametrize(
    ("text", "heading", "unit", "value"),
    [
        ("5/8", "in", "mm", 15.875),
        ("4 1/2", "inches", "mm", 114.3),
        ("1/4", "in/ft", "mm/m", 125 / 6),
        ("2.5", "turns", "turns", 2.5),
        ("1,250", "lbf", "kN", 5.560277019075625),
        ("1.2", "°", "mm/m", 20.947014),  # x + x³/3 with x = 1.2π/180
        ("32 mm", "in", "mm", 32.0),
    ],
)
def test_the_heading_names_the_unit_when_the_text_does_not(text, heading, unit, value):
    found = parse(text, unit, given_unit=heading)

    assert found.value == pytest.approx(value, rel=1e-7)


@pytest.mark.parametrize(
    ("text", "mm_m"),
    [
        ("1:500", 2.000),
        ("1:150", 6.667),
        ("0.25 %", 2.5),
        ("1:400", 2.5),
        ("0.1°", 1.745),
        ("0.5°", 8.727),
        ("1°", 17.455),  # the small-angle rule would say 17.453
        ("45°", 1000.0),
    ],
)
def test_slopes_agree_however_they_are_written(text, mm_m):
    assert parse(text, "mm/m").value == pytest.approx(mm_m, abs=5e-4)


def test_a_tenth_of_a_degree_is_worth_more_on_a_steeper_slope():
    level, steep = parse("0.0°", "mm/m"), parse("45.0°", "mm/m")

    assert level.resolution == pytest.approx(1.745329, abs=1e-6)
    assert steep.resolution == pytest.approx(2 * level.resolution)


REFUSED = [
    # text, wanted unit, words that must be in the refusal
    ("", "mm", "no number"),
    ("   ", "mm", "no number"),
    ("NaN", "mm", "one number"),
    ("Infinity", "mm", "one number"),
    ("-inf mm", "mm", "one number"),
    ("1e400 mm", "mm", "one number"),
    pytest.param("9" * 5000, "mm", "one number", id="5,000 digits"),
    ("true", "mm", "one number"),
    ("[]", "mm", "one number"),
    ("null", "mm", "one number"),
    ("the gap is about 3 mm on the north side", "mm", "one number"),
    ("3 mm or 4 mm", "mm", "one number"),
    ("3-5 mm", "mm", "one number"),
    ("3 ± 1 mm", "mm", "one number"),
    ("- 3 mm", "mm", "one number"),
    ("--3 mm", "mm", "one number"),
    ("=3 mm", "mm", "one number"),
    ("1 234 mm", "mm", "one number"),
    ("٣ mm", "mm", "one number"),
    ("½2 in", "mm", "one number"),
    ("14 ft 7", "m", "one number"),
    ("5\x00 mm", "mm", "one number"),
    ("5", "mm", "no unit"),
    ("1,234 mm", "mm", "thousands or decimals"),
    ("12,345 in", "mm", "thousands or decimals"),
    ("1:1,000", "mm/m", "thousands or decimals"),
    ("1,250e3 lbf", "kN", "thousands or decimals"),
    ("1,23,456 mm", "mm", "do not make one number"),
    ("1.2.3 mm", "mm", "do not make one number"),
    ("5. mm", "mm", "do not make one number"),
    ("12/05 in", "mm", "may be a date"),
    ("8/8 in", "mm", "may be a date"),
    ("1/0 in", "mm", "below the line"),
    ("0/0 in", "mm", "below the line"),
    ("14 ft 13 in", "m", "less than 12"),
    ("14 ft 12 in", "m", "less than 12"),
    ("2 t", "kN", "mass"),
    ("650 lb", "kN", "mass"),
    ("3 mm", "mm/m", "slope is expected"),
    ("3 mm/m", "%", "share is expected"),
    ("1:200", "mm", "length is expected"),
    ("1 in 200", "%", "share is expected"),
    ('5"', "deg", "angle is expected"),
    ("2:1", "mm/m", "smaller rise"),
    ("1:0", "mm/m", "smaller rise"),
    ("90°", "mm/m", "less than 90°"),
    ("2.5", "count", "whole number"),
    ("5 furlongs", "mm", "not known"),
    ("5 kn", "kN", "knots"),
    ("5 mil", "um", "mils"),
    ("3.5 tons", "kg", "metric"),
    ("5 mPa", "MPa", "0.001 Pa"),
    ("9999999999 mm", "mm", "that large"),
]


@pytest.mark.parametrize(("text", "unit", "words"), REFUSED)
def test_an_unclear_number_is_refused_in_words_that_name_its_field(text, unit, words):
    with pytest.raises(UnclearNumber) as refusal:
        parse(text, unit, field="gap at saddle")

    assert refusal.value.field == "gap at saddle"
    assert refusal.value.message.startswith("gap at saddle: found “")
    assert words in refusal.value.message


@pytest.mark.parametrize(
    "given_text", [True, None, 5, 5.0, [], b"5 mm", pytest.param(10**5000, id="long")]
)
def test_what_is_not_text_is_refused(given_text):
    with pytest.raises(UnclearNumber, match="Expected text"):
        parse(given_text, "mm")


@pytest.mark.parametrize(
    ("text", "heading", "unit"),
    [("5/8", "mm", "mm"), ("1/200", "mm/m", "mm/m"), ("1/2", None, "count")],
)
def test_a_bare_fraction_is_no_metric_number(text, heading, unit):
    with pytest.raises(UnclearNumber, match="bare fraction"):
        parse(text, unit, given_unit=heading)


def test_a_heading_of_the_wrong_kind_is_refused():
    with pytest.raises(UnclearNumber, match="“kg” measures mass"):
        parse("5", "kN", given_unit="kg")


def test_minus_nothing_is_nothing():
    found = parse("-0 mm", "mm")

    assert math.copysign(1.0, found.value) == 1.0


def test_the_physical_range_includes_its_ends_and_is_named_when_passed():
    assert parse("300 mm", "mm", low=-5, high=300).value == 300.0
    assert parse("-5 mm", "mm", low=-5, high=300).value == -5.0

    with pytest.raises(UnclearNumber, match="−6\u2009mm; expected −5 to 300"):
        parse("-6 mm", "mm", low=-5, high=300)
    with pytest.raises(UnclearNumber, match="7620\u2009mm; expected 300 or less"):
        parse("300 in", "mm", high=300)
    with pytest.raises(UnclearNumber, match="expected 0 or more"):
        parse("<-1 mm", "mm", low=0)


def test_a_wanted_unit_that_is_not_canonical_is_a_mistake_of_the_caller():
    with pytest.raises(ValueError, match="not a canonical unit"):
        parse("5 in", "in")


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("1.2 m", "mm"), ("7/16 in", "mm"), ("4.5 in", "m"), ("175 in", "mm"),
        ("32mm", "m"), ("12 thou", "um"), ("5 kN", "kN"), ("500 lbf", "kN"),
        ("60 psi", "kPa"), ("0.3 bar", "MPa"), ("40 MPa", "kPa"), ("3.5 kg", "kg"),
        ("12 lb", "kg"), ("9 m/s", "m/s"), ("2 weeks", "days"), ("12 deg", "deg"),
    ],
)  # fmt: skip
def test_simple_texts_read_as_an_independent_reader_reads_them(text, unit):
    expected = PINT(text).to(unit).magnitude

    assert parse(text, unit).value == pytest.approx(expected, rel=1e-12)


@given(
    whole=st.integers(0, 11),
    under=st.sampled_from([2, 4, 8, 16, 32, 64]),
    data=st.data(),
)
def test_inches_with_a_fraction_read_alike_in_every_style(whole, under, data):
    over = data.draw(st.integers(1, under - 1))
    exact_mm = (whole + Fraction(over, under)) * Fraction(127, 5)

    styles = ["{0} {1}/{2} in", "{0}-{1}/{2}in", '{0} {1}⁄{2}"', "0' {0} {1}/{2}\""]
    found = {parse(style.format(whole, over, under), "mm").value for style in styles}

    assert found == {float(exact_mm)}


@given(
    typed=st.decimals(-99_999, 99_999, places=4, allow_nan=False),
    places=st.sampled_from([0, 1, 2, 4]),
)
def test_decimals_read_alike_with_point_comma_and_either_minus(typed, places):
    text = f"{typed:.{places}f}"
    expected = float(Fraction(text))

    spellings = (text, text.replace(".", ","), text.replace("-", "−"), f"{text}\u2009")

    assert {parse(f"{s}mm", "mm").value for s in spellings} == {expected}


@given(
    value=st.floats(-50_000, 50_000),
    unit=st.sampled_from(sorted(CANONICAL)),
    system=st.sampled_from(["metric", "us"]),
)
def test_what_is_shown_reads_back_to_the_last_digit_shown(value, unit, system):
    found = parse(show(value, unit, system=system), unit)

    assert abs(found.value - value) <= 0.5 * found.resolution + 1e-12 * abs(value)


@given(
    text=st.one_of(
        st.text(max_size=60),
        st.text("0123456789 .,:/-−–'\"½¾<>≤%°einftmk²\u2009\u00a0", max_size=45),
        st.from_regex(r"[<-]?[0-9]{1,3}[ .,/'\-:][0-9]{1,3}[ /e\"][0-9a-z%]{1,4}"),
    ),
    unit=st.sampled_from(sorted(CANONICAL)),
    heading=st.sampled_from([None, "mm", "in", "deg", "lbf", "nonsense"]),
)
def test_any_text_gives_a_finite_number_or_a_refusal(text, unit, heading):
    try:
        found = parse(text, unit, given_unit=heading)
    except UnclearNumber as refusal:
        words = refusal.message
    else:
        words = ""
        assert math.isfinite(found.value)
        assert math.isfinite(found.resolution)
        assert found.resolution > 0

    assert words.replace("\u2009", " ").isprintable()


@pytest.mark.parametrize(
    "text",
    [
        "1\u2009" * 20,
        "9," * 20,
        "1 " * 20,
        "1/" * 20,
        "1'" * 20,
        "1 ft" + " " * 30 + "x",
    ],
)
def test_a_text_made_to_be_slow_is_answered_at_once(text):
    started_s = time.process_time()

    with pytest.raises(UnclearNumber):
        parse(text, "mm")

    assert time.process_time() - started_s < 0.1


def test_a_hundred_thousand_cells_take_less_than_twenty_seconds():
    texts = ("14 ft 7 in", "4½ in", "<0,5 cm", "1.234,5 mm", "−3 mm")
    started_s = time.process_time()
    for _ in range(400):
        for text in texts:
            parse(text, "mm", low=-5000, high=5000)
    took_s = time.process_time() - started_s

    assert took_s * 50 < 20.0


# --- names and conversion ---


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("inches", "in"), ("in.", "in"), ('"', "in"), ("″", "in"), ("''", "in"),
        ("Millimetres", "mm"), ("MM", "mm"), ("mm / m", "mm/m"), ("deg", "deg"),
        ("°", "deg"), ("ft.", "ft"), ("µm", "um"), ("KN", "kN"),
        ("in. per ft", "in/ft"), ("per cent", "%"), ("deg C", "degC"),
        ("Mpa", "MPa"), ("lbs", "lb"),
    ],
)  # fmt: skip
def test_a_unit_is_known_by_its_usual_spellings(text, name):
    assert unit_named(text) == name


def test_no_spelling_names_two_units():
    for row in vocabulary.UNITS:
        for spelling in (row.name, *row.spellings.split("|")):
            assert unit_named(spelling) == row.name


def test_every_canonical_unit_is_known_and_has_both_styles():
    for name in CANONICAL:
        assert unit_named(name) == name
        assert name in display.METRIC
        assert name in display.US


@pytest.mark.parametrize("text", ["", "furlong", "mil", "tons", "kn", "5", "\x00"])
def test_an_unclear_unit_is_refused(text):
    with pytest.raises(UnclearNumber, match="The unit “"):
        unit_named(text)


@pytest.mark.parametrize(
    ("value", "source", "target", "expected"),
    [
        (1.0, "in", "mm", 25.4),
        (1.0, "lbf", "N", 4.4482216152605),
        (6650.0, "lbf", "kN", 29.580673741482325),
        (1.0, "psi", "kPa", 6.894757293168361),  # 4.4482216152605 / 0.0254² / 1000
        (2.0, "mm/m", "deg", 0.1145914),  # arctan 0.002
        (20.0 / 3.0, "mm/m", "deg", 0.3819662),  # arctan 1/150
        (5.0, "mm/m", "deg", 0.2864765),  # arctan 0.005
        (1.0, "deg", "%", 1.745506),  # 100 tan 1°
        (10.0, "%", "deg", 5.710593),  # arctan 0.1
        (-40.0, "degF", "degC", -40.0),
        (1.0, "years", "days", 365.25),
    ],
)
def test_conversion_follows_the_exact_factor(value, source, target, expected):
    assert convert(value, source, target) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(
    ("source", "target"), [("kg", "kN"), ("turns", "deg"), ("mm", "mm/m"), ("%", "mm")]
)
def test_conversion_between_kinds_is_refused(source, target):
    with pytest.raises(UnclearNumber, match="can not be turned into"):
        convert(1.0, source, target)


def test_a_slope_of_ninety_degrees_or_more_can_not_be_converted():
    with pytest.raises(UnclearNumber, match="less than 90°"):
        convert(-90.0, "deg", "mm/m")


@given(
    value=st.floats(-1e6, 1e6),
    pair=st.sampled_from(
        [("in", "mm"), ("lbf", "kN"), ("degF", "degC"), ("mm/m", "deg"), ("%", "mm/m")]
    ),
)
def test_conversion_there_and_back_changes_nothing(value, pair):
    there = convert(value, *pair)
    assume(pair[1] != "deg" or abs(there) < 89)

    assert convert(there, *pair[::-1]) == pytest.approx(value, rel=1e-9, abs=1e-9)


# --- numbers for people ---


@pytest.mark.parametrize(
    ("value", "unit", "metric", "us"),
    [
        (14.24, "mm", "14.2\u2009mm", "0.56\u2009in"),
        (-3.0, "mm", "−3.0\u2009mm", "−0.12\u2009in"),
        (-0.04, "mm", "0.0\u2009mm", "0.00\u2009in"),
        (4.445, "m", "4.45\u2009m", "14\u2009ft 7.0\u2009in"),
        (-1.21919, "m", "−1.22\u2009m", "−4\u2009ft 0.0\u2009in"),
        (127.0, "um", "127\u2009µm", "5.0\u2009mils"),
        (5.0, "mm/m", "5.0\u2009mm/m", "0.060\u2009in/ft"),
        (2.8913, "kN", "2.89\u2009kN", "650\u2009lbf"),
        (1.0, "days", "1\u2009day", "1\u2009day"),
        (2.0, "days", "2\u2009days", "2\u2009days"),
        (271.0, "deg", "271.0°", "271.0°"),
        (20.0, "degC", "20.0\u2009°C", "68\u2009°F"),
        (3.0, "count", "3", "3"),
    ],
)
def test_a_value_is_shown_with_its_unit_in_both_systems(value, unit, metric, us):
    assert show(value, unit) == metric
    assert show(value, unit, system="us") == us


def test_the_decimals_can_be_chosen():
    assert show(14.246, "mm", digits=2) == "14.25\u2009mm"
    assert show(4.445, "m", digits=0, system="us") == "14\u2009ft 7\u2009in"


def test_what_can_not_be_shown_is_refused():
    with pytest.raises(UnclearNumber, match="no number"):
        show(math.nan, "mm")
    with pytest.raises(UnclearNumber, match="unit system"):
        show(1.0, "mm", system="imperial")


# --- mistaken units ---


@pytest.mark.parametrize(
    ("value", "expected", "words"),
    [
        (1.7, 43.0, "1/25.4 of the expected value: were inches"),
        (1092.0, 43.0, "25.4 times the expected value: were mm entered as inches"),
        (430.0, 43.0, "10 times"),
        (4.3, 43.0, "1/10 of"),
        (109.0, 43.0, "2.54 times"),
        (17.0, 43.0, "1/2.54 of"),
        (0.3, 5.2, "1/17.455 of the expected value: were degrees entered as mm/m"),
        (90.0, 5.2, "17.455 times"),
        (942.0, 300.0, "girth instead of the diameter"),
        (3.28, 1.0, "feet entered as metres"),
        (95.5, 300.0, "diameter instead of the girth"),
        (304.8, 1.0, "304.8 times"),
        (4.45, 1.0, "4.448 times"),
        (650.0, 2.9, "were lbf entered as kN"),
        (-25.4, -1.0, "25.4 times"),
    ],
)
def test_a_ratio_that_a_mistaken_unit_gives_raises_its_question(value, expected, words):
    assert words in unit_slip(value, expected)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (43.0, 43.0), (55.0, 43.0), (31.0, 43.0), (86.0, 43.0), (0.0, 43.0), (5.0, 0.0),
        (-25.4, 1.0), (27.6, 1.0), (23.2, 1.0), (math.nan, 1.0), (math.inf, 1.0),
        (1e308, 1e-308),
    ],
)  # fmt: skip
def test_other_ratios_raise_no_question(value, expected):
    assert unit_slip(value, expected) is None


@given(expected=st.floats(0.01, 1e4), ratio=st.floats(0.7001, 1.2999))
def test_a_value_near_the_expected_never_raises_a_question(expected, ratio):
    assert unit_slip(expected * ratio, expected) is None


@pytest.mark.parametrize(
    "module", [vocabulary, factors, grammar, measure, display, slips]
)
def test_the_examples_in_the_docstrings_are_true(module):
    assert doctest.testmod(module).failed == 0
