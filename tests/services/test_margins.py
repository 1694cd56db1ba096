"""From what is recorded and read to the margin of a member."""

import math
from dataclasses import replace
from datetime import date
from itertools import pairwise

import numpy as np
import pytest

from monitor.domain.vocabulary import MemberKind
from monitor.mechanics.screening import CAUTION
from monitor.services.margins.case import Basis
from monitor.services.margins.margins import case_of, margins_of
from monitor.services.margins.posts import soil_of
from monitor.services.margins.steel import steel_of
from tests.services.margin_world import (
    SITE,
    TREE,
    a_post,
    a_run,
    given,
    known,
    margin_of,
)


def test_a_new_post_uses_what_a_hand_calculation_says():
    # By hand, AISC 360 E3 with Omega 1.67, K = 1, wall 0.93 x 5 = 4.65 mm, no rust yet.
    # Own weight in a lean of 2 mm/m adds less than 0.1 %.
    inner = 114.3 - 2 * 4.65
    area = math.pi / 4 * (114.3**2 - inner**2)
    slenderness = 3000 / (math.sqrt(114.3**2 + inner**2) / 4)
    elastic = math.pi**2 * 199_948 / slenderness**2
    allowed_n = 0.658 ** (235 / elastic) * 235 * area / 1.67

    margin = margin_of(a_post())

    assert margin.parts[0] == "tube"
    assert margin.use[0] == pytest.approx(20_000 / allowed_n, rel=0.005)
    assert margin.years[0] == pytest.approx(-16.0, abs=0.01)
    assert margin.wall_mm[0] == pytest.approx(4.65)


def test_the_load_grows_with_the_square_of_the_measured_diameter():
    # By hand: 400 mm in 2010, 430 in 2020, 445 in 2025: 3 mm a year, 448 mm in 2026.
    margin = margin_of(a_post({"limb_diameter": (a_run({2020: 430.0, 2025: 445.0}),)}))

    now, ahead = margin.at(0.0), margin.at(20.0)
    assert given(margin, "growth of the limb").basis is Basis.MEASURED
    assert margin.load_kn[now] == pytest.approx(20 * (448 / 400) ** 2, rel=0.002)
    assert margin.load_kn[ahead] == pytest.approx(20 * (508 / 400) ** 2, rel=0.002)
    assert margin.load_kn[0] == pytest.approx(20.0, rel=0.002)


def test_growth_that_nobody_measured_is_called_assumed():
    margin = margin_of(a_post())

    assert given(margin, "growth of the limb").basis is Basis.ASSUMED
    # By hand: 400 mm, sixteen years at 2 mm a year.
    assert margin.load_kn[margin.at(0.0)] == pytest.approx(20 * (432 / 400) ** 2, 0.002)


def test_thickness_readings_beat_the_air_of_the_site():
    unread = margin_of(a_post())
    kept = margin_of(
        a_post({"wall": (a_run(dict.fromkeys((2010, 2015, 2020, 2025), 5.0)),)})
    )
    gone = margin_of(
        a_post({"wall": (a_run({2010: 5.0, 2015: 4.3, 2020: 3.7, 2025: 3.1}),)})
    )

    now = kept.at(0.0)
    assert given(gone, "wall,").basis is Basis.MEASURED
    assert unread.wall_mm[now] < 4.5 < kept.wall_mm[now]
    assert kept.wall_mm[now] == pytest.approx(5.0, abs=0.2)
    assert gone.wall_mm[now] == pytest.approx(3.1, abs=0.25)
    assert any("its own readings rule" in text for text in gone.assumed)
    assert gone.use[now] > 1.2 * kept.use[now]
    assert gone.over_one[-1] > kept.over_one[-1]


def test_where_least_is_left_decides():
    runs = a_run({2024: 3.9}), a_run({2025: 4.9}, mark="above grade")

    assert given(margin_of(a_post({"wall": runs})), "wall, at grade").value == (
        "3.9\u2009mm"
    )


def test_zinc_comes_before_steel_and_paint_is_not_counted_on():
    # By hand: 70 um at 4.2 um a year (C4, one worse than the site's C3) lasts 16.7 y.
    zinc = margin_of(a_post(coating="hot-dip galvanised", coating_um=70.0))
    paint = margin_of(a_post(coating="red lead and oil paint"))

    assert zinc.wall_mm[zinc.at(0.0)] == pytest.approx(4.65)
    assert zinc.wall_mm[-1] < 4.65
    assert paint.wall_mm[paint.at(0.0)] < 4.5
    assert any("gone after 17 years" in text for text in zinc.assumed)


def test_metal_that_is_gone_ends_the_trust_in_zinc():
    runs = {"wall": (a_run({2015: 4.2, 2025: 3.2}),)}

    margin = margin_of(a_post(runs, coating="hot-dip galvanised", coating_um=300.0))

    assert margin.wall_mm[-1] < margin.wall_mm[margin.at(0.0)] - 0.3


def test_after_a_repair_the_first_reading_is_the_wall_as_new():
    since = date(2020, 5, 1)
    runs = {"wall": (a_run({2020: 7.9, 2025: 7.8}, since=since),)}

    margin = margin_of(a_post(runs))

    assert margin.wall_mm[margin.at(0.0)] == pytest.approx(7.8, abs=0.2)
    assert margin.years[0] == pytest.approx(-6.08, abs=0.01)
    assert any("Since the work of 1 May 2020" in text for text in margin.assumed)


def test_a_reading_thicker_than_new_is_left_out_and_named():
    margin = margin_of(a_post({"wall": (a_run({2015: 4.8, 2024: 7.5}),)}))

    assert any("thicker than new" in text for text in margin.missing)
    assert margin.wall_mm[margin.at(0.0)] < 5.0


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"material": "best iron"}, "“best iron” is not in the table"),
        ({"material": None}, "grade is not recorded; needed: one of"),
        ({"set_load_kn": None}, "needed: the load as set, or its length"),
        ({"section": "timber"}, "sound section at grade, by drilling resistance"),
        ({"section": "solid"}, "A solid post is not worked out here"),
        ({"section": None}, "Needed: square, rectangular or round hollow"),
        ({"length_mm": None}, "needed: plate to saddle"),
        ({"wall_mm": None}, "needed in millimetres"),
        ({"wall_mm": 0.5}, "impossible"),
        ({"length_mm": 15_000.0}, "check length, size and their units"),
    ],
)
def test_what_is_missing_is_refused_in_words(changed, said):
    margin = margin_of(a_post(**changed))

    assert margin.use == ()
    assert said in " ".join(margin.refused)
    assert margin.early_on is None
    assert margin.caution == CAUTION


def test_a_site_without_exposure_is_refused_until_two_readings_tell():
    silent = replace(SITE, exposure=None)
    runs = {"wall": (a_run({2012: 5.0, 2025: 4.6}),)}

    assert "needed: the exposure of the site" in " ".join(
        margin_of(a_post(site=silent)).refused
    )
    assert margin_of(a_post(runs, site=silent)).use


def test_measures_of_the_limb_stand_in_for_a_load_that_was_not_set():
    limb = {
        "set_load_kn": None, "stem_distance_mm": 5000.0, "limb_length_mm": 9000.0,
        "limb_base_diameter_mm": 500.0,
    }  # fmt: skip

    thin = margin_of(a_post(**limb))
    thick = margin_of(a_post(**(limb | {"limb_base_diameter_mm": 650.0})))

    # By hand: an even limb of 0.5 m, 1000 kg/m3 and twice its weight with branches and
    # leaves is heavier than what one post can bear of this one.
    weight_kn = math.pi / 4 * 0.5**2 * 9.0 * 9.81 * 1.35 * 1.1
    now = thin.at(0.0)
    assert 0 < thin.load_kn[now] < weight_kn
    assert thick.load_kn[now] > thin.load_kn[now]
    assert given(thin, "green wood").basis is Basis.ASSUMED
    assert any("Side branches" in text for text in thin.assumed)


def test_an_unrecorded_head_counts_as_free_to_sway():
    silent = margin_of(a_post(limb_held_sideways=None))

    assert given(silent, "head").basis is Basis.ASSUMED
    assert silent.use[0] > 2 * margin_of(a_post()).use[0]


def test_soft_ground_has_no_footing_number_and_says_so():
    margin = margin_of(
        a_post(plate_length_mm=500.0, footing_soil="topsoil over rubble")
    )

    assert any("No code presumes a bearing value" in t for t in margin.missing)
    assert set(margin.parts) == {"tube"}


def test_a_small_plate_on_clay_governs():
    # By hand: 20 kN on 300 x 300 mm is 222 kPa; clay is presumed to carry 71.8 kPa
    # (IBC 1806.2, 1500 psf).
    margin = margin_of(
        a_post(plate_length_mm=300.0, plate_width_mm=300.0, footing_soil="clay")
    )

    assert margin.parts[0] == "footing"
    assert margin.use[0] == pytest.approx(222.2 / 71.8, rel=0.01)


def test_a_free_post_that_leans_uses_more():
    lean = {"tilt": (a_run({2025: 30.0}, across=[0.0], noise=1.0),)}

    plumb = margin_of(a_post(limb_held_sideways="no"))
    leaning = margin_of(a_post(lean, limb_held_sideways="no"))

    now = plumb.at(0.0)
    assert given(leaning, "lean").basis is Basis.MEASURED
    assert leaning.lean_mm_m[now] == pytest.approx(30.0)
    assert leaning.use[now] > 1.2 * plumb.use[now]


def test_a_head_that_moved_far_is_not_counted_as_held():
    moved = a_run({2012: 1.0, 2025: 12.0}, across=[0.0, 0.0], noise=1.0)
    still = a_run({2012: 12.0, 2025: 12.0}, across=[0.0, 0.0], noise=1.0)

    raked = margin_of(a_post({"tilt": (still,)}))
    adrift = margin_of(a_post({"tilt": (moved,)}))

    assert given(raked, "head").value == "held sideways by the limb"
    assert given(adrift, "head").basis is Basis.ASSUMED
    assert adrift.use[adrift.at(0.0)] > 2 * raked.use[raked.at(0.0)]


def test_a_lean_that_runs_away_still_has_an_answer():
    run = a_run({2025: 40.0}, across=[0.0], noise=1.0)
    case = case_of(a_post({"tilt": (run,)}))
    wild = replace(case, lean=replace(case.lean, pace_mm_m=20.0, pace_sd_mm_m=15.0))

    margin = margins_of([wild], np.arange(0.0, 41.0, 5.0))[0]

    assert margin.use
    assert max(margin.lean_mm_m) == 268.0  # 15 degrees, where the method ends
    assert all(a <= b for a, b in pairwise(margin.use))


@pytest.mark.parametrize("diameter_mm", [16.0, 30.0])
def test_rods_of_every_trade_size_have_an_answer(diameter_mm):
    facts = {"diameter_mm": diameter_mm, "material": "8.8", "service_load_kn": 10.0}

    assert margin_of(known(MemberKind.ROD, facts)).use


STRAND = {
    "line": "steel strand", "grade": "7-wire, extra high strength",
    "diameter_mm": 7.9, "breaking_kn": 49.8, "set_tension_kn": 3.0,
}  # fmt: skip


def test_a_cable_carries_over_its_working_strength():
    # By hand: 3 kN of 49.8 kN over a working factor of 5 is 0.30.
    margin = margin_of(known(MemberKind.CABLE, STRAND))

    assert margin.use[0] == pytest.approx(3.0 / (49.8 / 5), rel=0.02)
    assert "breaking strength over working factor" in margin.method


def test_strand_without_strength_takes_it_from_size_and_grade():
    # ASTM A475, 1/4 in extra high strength: 6650 lbf = 29.58 kN.
    facts = STRAND | {"breaking_kn": None, "diameter_mm": 6.35}

    margin = margin_of(known(MemberKind.CABLE, facts))

    assert given(margin, "breaking strength").value.startswith("29.58")


def test_a_cable_without_any_pull_says_what_is_needed():
    margin = margin_of(known(MemberKind.CABLE, STRAND | {"set_tension_kn": None}))

    assert margin.refused == (
        "No pull is known; needed: a tension reading, or the tension as set.",
    )


@pytest.mark.parametrize(
    ("maker", "said"),
    [
        # ZTV-Baumpflege: eight years from 1 June 2010
        (None, "serves until 1 June 2018 (8 years after installation"),
        ("2027-05-14", "serves until 14 May 2027 (the maker's date)"),
        ("next spring", "its date “next spring” can not be used"),
        ("2001-01-01", "its date “2001-01-01” can not be used"),
    ],
)
def test_synthetic_rope_is_left_to_its_service_life(maker, said):
    facts = STRAND | {"line": "synthetic rope", "replace_by": maker}

    margin = margin_of(known(MemberKind.CABLE, facts))

    assert len(margin.refused) == 1
    assert said in margin.refused[0]
    assert "needed: the " in margin.refused[0]


def test_a_rod_pulls_with_what_a_thread_may():
    # By hand, AISC 360 J3: 0.75 x 400 MPa x pi/4 x 20^2 / 2.0 = 47.1 kN.
    facts = {"diameter_mm": 20.0, "material": "grade 4.6", "service_load_kn": 10.0}

    margin = margin_of(known(MemberKind.ROD, facts))

    assert margin.use[0] == pytest.approx(10 / 47.12, rel=0.01)
    assert "threaded rod" in margin.method


def test_a_pin_wants_its_wood_and_its_load():
    facts = {
        "material": "4.6", "diameter_mm": 20.0, "wood_thickness_mm": 400.0,
        "side_mm": 10.0, "service_load_kn": 4.0,
    }  # fmt: skip
    no_wood = replace(TREE, species="triffid")

    silent = margin_of(known(MemberKind.PIN, facts, tree=no_wood))
    told = margin_of(known(MemberKind.PIN, facts))

    assert "gravity of green wood was found for triffid" in " ".join(silent.refused)
    assert "needed: its oven-dry mass" in " ".join(silent.refused)
    assert 0 < told.use[0] < 1
    assert given(told, "angle of load").basis is Basis.ASSUMED
    # 0.48 green, Zanne et al. 2009; by hand 0.48 / (1 - 0.10) = 0.53
    wood = given(told, "gravity of the wood")
    assert wood.value == "0.53, oven dry"
    assert "Platanus orientalis, Zanne et al. 2009" in wood.why


def test_a_pin_without_its_plates_says_so():
    facts = {
        "material": "4.6", "diameter_mm": 20.0, "wood_thickness_mm": 400.0,
        "service_load_kn": 8.0,
    }  # fmt: skip

    margin = margin_of(known(MemberKind.PIN, facts))

    assert "thickness of the sides is missing; needed in mm" in margin.refused[0]


def test_a_member_is_answered_the_same_alone_and_among_others():
    others = [
        a_post({"wall": (a_run({2015: 4.5, 2025: 4.0}),)}),
        a_post(material="tin"),
        known(MemberKind.CABLE, STRAND),
        a_post(limb_held_sideways="no"),
    ]
    cases = [case_of(one) for one in others]
    years = np.arange(0.0, 41.0, 5.0)

    together = margins_of(cases, years)

    for case, among in zip(cases, together, strict=True):
        alone = margins_of([case], years)[0]
        assert among.case is case
        assert among.use == pytest.approx(alone.use, rel=1e-12)
        assert among.refused == alone.refused
        assert among.missing == alone.missing


@pytest.mark.parametrize(
    ("words", "yield_mpa"),
    [
        ("S235", 235.0),  # EN 10025-2
        ("s 355 j2h", 355.0),  # EN 10025-2
        ("ASTM A500 grade B", 290.0),  # ASTM A500, 42 ksi
        ("steel, grade 8.8", 640.0),  # ISO 898-1
        ("A53 Grade B", 241.0),  # ASTM A53, 35 ksi
    ],
)
def test_named_grades_have_their_least_strength(words, yield_mpa):
    assert steel_of(words).yield_mpa == yield_mpa


@pytest.mark.parametrize("words", ["", "steel", "oak", "grade B", "S2350"])
def test_words_without_a_grade_name_none(words):
    assert steel_of(words) is None


def test_of_two_soils_the_softer_one_decides():
    assert soil_of("gravel over peat").value == "peat"
    assert soil_of("asphalt") is None
