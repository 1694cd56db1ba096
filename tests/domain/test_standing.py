"""How a support stands: the gravest of what readings and findings say."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from monitor.clock import new_id
from monitor.domain.conclusions import Dates, Outlook
from monitor.domain.standing import OpenFinding, standing_of
from monitor.domain.vocabulary import Grade, Standing

TODAY = date(2026, 6, 1)
NEVER = Dates(None, None, None)

CALM = Outlook(
    mark_id=new_id(), series="settlement", support_id=new_id(), computed_for=TODAY,
    readings=5, level=1.0, level_sd=0.4, rate=0.02, rate_low=-0.05, rate_high=0.1,
    evidence=0.4, watch_level=3.0, act_level=8.0, watch_on=NEVER, act_on=NEVER,
    p_beyond_watch=0.0, p_beyond_act=0.0, expected_on=TODAY, expected=1.0,
    expected_low=0.0, expected_high=2.0, unconfirmed=False, look_again_on=None,
    look_rule="", refusal="", sentence="", method_version="", input_version="",
    details={}, computed_at=datetime(2026, 6, 1, tzinfo=UTC),
)  # fmt: skip
MOVING = replace(CALM, rate=0.9, rate_low=0.6, rate_high=1.2, evidence=500.0)


def stand(*outlooks, findings=()):
    return standing_of(tuple(outlooks), tuple(findings), TODAY)


def test_calm_readings_hold():
    assert stand(CALM).standing is Standing.HOLDING


def test_nothing_measured_is_not_called_holding():
    verdict = stand()

    assert verdict.standing is Standing.WATCH
    assert "baseline" in verdict.reasons[0]


@pytest.mark.parametrize(
    ("outlook", "standing"),
    [
        (replace(CALM, p_beyond_watch=0.6), Standing.WATCH),
        (replace(CALM, unconfirmed=True), Standing.WATCH),
        (replace(CALM, unconfirmed=True, details={"newest": 8.1}), Standing.ACT),
        (replace(CALM, unconfirmed=True, details={"newest": 7.9}), Standing.WATCH),
        (
            replace(
                CALM, unconfirmed=True, p_beyond_watch=0.9, details={"newest": 8.1}
            ),
            Standing.ACT,
        ),
        (replace(CALM, details={"newest": 8.1}), Standing.HOLDING),
        (replace(CALM, act_on=Dates(date(2030, 1, 1), None, None)), Standing.WATCH),
        (replace(CALM, act_on=Dates(date(2040, 1, 1), None, None)), Standing.HOLDING),
        (replace(CALM, act_on=Dates(date(2027, 5, 1), None, None)), Standing.ACT),
        (replace(CALM, p_beyond_act=0.6), Standing.ACT),
        (replace(MOVING, p_beyond_act=0.6), Standing.MAKE_SAFE),
        (MOVING, Standing.WATCH),
    ],
)
def test_readings_speak(outlook, standing):
    verdict = stand(outlook)

    assert verdict.standing is standing
    assert all(reason.endswith(".") for reason in verdict.reasons)


def test_a_wall_that_grows_thinner_is_worsening_and_one_that_does_not_is_not():
    thinning = replace(
        MOVING, series="wall", watch_level=4.5, act_level=3.75, p_beyond_act=0.9,
        rate=-0.1, rate_low=-0.15, rate_high=-0.05,
    )  # fmt: skip

    assert stand(thinning).standing is Standing.MAKE_SAFE
    assert stand(replace(thinning, rate_high=0.01)).standing is Standing.ACT


@pytest.mark.parametrize(
    ("grade", "standing"),
    [
        (Grade.NOTE, Standing.HOLDING),
        (Grade.WATCH, Standing.WATCH),
        (Grade.ACT, Standing.ACT),
        (Grade.MAKE_SAFE, Standing.MAKE_SAFE),
    ],
)
def test_findings_speak(grade, standing):
    finding = OpenFinding("cracked weld", grade, date(2026, 5, 14))

    assert stand(CALM, findings=[finding]).standing is standing


def test_the_gravest_reason_comes_first():
    finding = OpenFinding("cracked weld", Grade.MAKE_SAFE, date(2026, 5, 14))

    verdict = stand(replace(CALM, unconfirmed=True), findings=[finding])

    assert verdict.reasons == (
        "Found on 14 May 2026: cracked weld.",
        "The newest settlement reading is doubtful: repeat it.",
    )
