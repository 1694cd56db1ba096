"""What no page would ask is refused, and is never an error of ours."""

from dashboard.fuzz import fuzz, told
from dashboard.fuzz_world import HIDDEN, served
from tests.dashboard.conftest import OWN


def test_some_hundred_odd_calls_meet_no_error_of_ours_and_tell_no_owner_of_another(
    tmp_path,
):
    world = served(tmp_path)

    tally = fuzz(world, 300, seed=20_261_125)
    seen = world.administrator.get("/api/v1/supports", headers=OWN).text
    holds = world.verify()
    world.store.close()

    assert tally.kinds == {"callbacks": 150, "addresses": 150}
    assert tally.statuses[400]
    assert tally.statuses[200]
    assert (tally.failed, tally.leaks, holds) == ([], [], True)
    assert HIDDEN[2] in seen  # there was something to tell
    assert told(tally, holds)[-1] == "the record holds afterwards"
