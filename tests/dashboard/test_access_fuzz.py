"""What no page would ask is refused, and is never an error of ours."""

from dashboard.fuzz import fuzz, served


def test_some_hundred_odd_calls_meet_no_error_of_ours(tmp_path):
    app, client, store = served(tmp_path)

    tally = fuzz(app, client, 300, seed=20_261_125)
    store.close()

    assert tally.calls == 300
    assert tally.statuses[400]
    assert tally.statuses[200]
    assert tally.failed == []
