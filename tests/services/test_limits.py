"""Setting limits through a real database."""

from datetime import UTC, datetime

import pytest

from monitor.domain.vocabulary import LimitBasis
from monitor.errors import InvalidInput
from monitor.services.assessing.limits import set_limit
from monitor.services.recording.commands import LimitCommand
from monitor.store import records
from tests.build import a_support

NOW = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
REASON = "engineer's letter of May"


def set_one(store, *said):
    with store.write_session() as session:
        command = LimitCommand("S-0142", *said)
        return set_limit(session, command, actor="test", now=NOW)


def test_a_limit_is_set_and_a_later_one_takes_its_place(store):
    with store.write_session() as session:
        a_support(session)

    set_one(store, "settlement", "change since the baseline", "0.2 in", "12 mm", REASON)
    set_one(store, "settlement", "change since the baseline", "4 mm", "9 mm", REASON)

    with store.read_session() as session:
        (limit,) = records.LIMIT_OVERRIDES.current(session)
        assert (limit.watch, limit.act) == (4.0, 9.0)
        assert records.LIMIT_OVERRIDES.count(session) == 2


def test_a_fraction_of_the_baseline_is_given_in_per_cent(store):
    with store.write_session() as session:
        a_support(session)

    limit = set_one(
        store, "wall thickness", "fraction of the baseline", "85", "70 %", REASON
    )

    assert limit.basis is LimitBasis.FRACTION
    assert (limit.watch, limit.act) == (pytest.approx(0.85), pytest.approx(0.70))


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        (("settling", "absolute", "1 mm", "2 mm", REASON), "settlement"),
        (("settlement", "relative", "1 mm", "2 mm", REASON), "one of absolute"),
        (("settlement", "absolute", "1 kN", "2 mm", REASON), "measures force"),
        (("settlement", "absolute", "5 mm", "2 mm", REASON), "after the watch level"),
        (("wall", "absolute", "4 mm", "5 mm", REASON), "after the watch level"),
        (("settlement", "absolute", "1 mm", "2 mm", ""), "why these values"),
    ],
)
def test_a_limit_that_can_not_be_is_refused(store, said, sentence):
    with store.write_session() as session:
        a_support(session)

    with pytest.raises(InvalidInput, match=sentence):
        set_one(store, *said)
