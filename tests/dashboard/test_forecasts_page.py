"""How our forecasts did is said in words, failures first."""

from datetime import UTC, datetime

from dashboard.pages.forecasts import headline
from monitor.domain.calibration import Calibration, GroupAudit
from monitor.domain.vocabulary import MemberKind
from monitor.store import records
from tests.dashboard.pressing import page_words


def an_audit(series, held, verdict):
    return GroupAudit(
        series=series, kind=MemberKind.POST, tried=40, held=held, half_tried=40,
        half_held=held, bend_t=0.1, noise_ratio=1.04, ours=4.0, last_value=5.0,
        fleet_mean=4.5, verdict=verdict, sentence="As it was found.",
    )  # fmt: skip


def a_calibration(*audits):
    return Calibration("v", datetime(2026, 6, 1, tzinfo=UTC), 400, {}, audits)


def test_the_headline_counts_what_held_and_what_is_held_back():
    found = a_calibration(
        an_audit("tilt", 37, "trusted"), an_audit("gap", 20, "refused")
    )

    assert headline(found) == (
        "57 of 80 readings fell inside their 90 % forecast; one kind of forecast held "
        "back."
    )


def test_before_the_first_night_the_page_says_so(reader):
    assert "have not been tried yet" in page_words(reader, "/forecasts")


def test_what_failed_stands_first(client, context):
    found = a_calibration(
        an_audit("tilt", 37, "trusted"), an_audit("gap", 20, "refused")
    )
    with context.store.write_session() as session:
        records.CALIBRATIONS.put(session, [found])

    words = page_words(client, "/forecasts")

    assert words.index("gap at the saddle of a post") < words.index("tilt of a post")
    assert "1.0 × as declared" in words
    assert "no dates given" in words
