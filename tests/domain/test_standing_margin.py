"""What a margin says of the standing: screening only, and never alone the gravest."""

from dataclasses import replace
from datetime import date

import pytest

from monitor.domain.standing import MarginWord, OpenFinding, standing_of
from monitor.domain.vocabulary import Grade, Standing

TODAY = date(2026, 6, 1)
CALM = MarginWord("post P1", "tube", 0.4, 0.001, None)


def stand(*margins, findings=()):
    return standing_of((), tuple(findings), TODAY, tuple(margins))


@pytest.mark.parametrize(
    ("changed", "standing"),
    [
        ({"early_on": date(2036, 5, 1)}, Standing.WATCH),
        ({"early_on": date(2037, 1, 1)}, None),
        ({"over_today": 0.06, "early_on": TODAY}, Standing.ACT),
        ({"over_today": 0.05, "early_on": TODAY}, Standing.WATCH),
        ({"use": 1.01, "over_today": 0.51}, Standing.ACT),
    ],
)
def test_a_margin_moves_the_standing_by_its_chance(changed, standing):
    reasons = stand(replace(CALM, **changed))

    said = [why for why in reasons.reasons if why.startswith("By the screening")]
    assert bool(said) == (standing is not None)
    if standing is not None:
        assert reasons.standing is standing


def test_a_grave_finding_comes_first():
    finding = OpenFinding("cracked weld", Grade.MAKE_SAFE, TODAY)

    found = stand(replace(CALM, use=1.2, over_today=0.8), findings=[finding])

    assert found.standing is Standing.MAKE_SAFE
    assert "cracked weld" in found.reasons[0]
    assert "carries 120\u202f% of what is allowed" in found.reasons[1]


def test_what_can_not_stand_is_not_counted_in_percent():
    found = stand(replace(CALM, use=99.0, over_today=1.0))

    assert "more than 10 times of what is allowed" in found.reasons[0]
