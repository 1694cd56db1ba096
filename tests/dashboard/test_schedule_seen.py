"""Pages of the schedule: owners see their own sites and nothing to press."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from dashboard.calendar_feed import links
from monitor.clock import new_id
from monitor.domain.notices import Channel
from monitor.domain.places import Party
from monitor.domain.vocabulary import Role
from monitor.schedule.round_task import Arranged
from monitor.services import access
from monitor.services.access import NewAccount
from monitor.services.notices.raising import raise_notices
from monitor.services.notices.recipients import active_recipients
from monitor.services.planning.agreed import standing_rounds, take_back
from monitor.services.planning.agreeing import agree
from monitor.services.planning.calendar import entries_of, feeds
from monitor.services.planning.deferrals import DeferralCommand, defer
from monitor.services.planning.events import EventCommand, enter_event
from monitor.services.planning.plan import plan_all
from monitor.services.planning.round_words import parse_people
from monitor.services.planning.rounds import RoundWish, plan_of
from monitor.services.planning.site_days import ClosureCommand, close_site
from monitor.store import records
from tests.build import LONG_AGO
from tests.conftest import NOON
from tests.dashboard.conftest import NAME, OWN, PASSWORD, signed_in_client
from tests.dashboard.pressing import page_words, show, words_of
from tests.quick_hash import quicken
from tests.services.notice_world import a_person

BY = {"actor": "test", "now": NOON}
OWNER, OTHER = "Ada of Velmarsh", "Abbot"
SECRETS = ("Hiddenham", "Abbey Yard", "S-0106", "hidden closure", "hidden deferral")
PAGES = (
    ("/due", ""), ("/due/days", ""), ("/plan", ""), ("/plan", "?visits=0"),
    ("/plan/calendar", ""), ("/rounds", ""), ("/rounds", "?people=Edda&days=5"),
    ("/events", ""), ("/policy", ""), ("/policy", "?version=1"), ("/notices", ""),
)  # fmt: skip
ACTIONS = (
    "Record it", "put it off", "Put it off", "Plan", "Agree these rounds", "Enter it",
    "Who would be called?", "It is over", "Withdraw it", "Close it", "Keep these",
    "Keep them", "Wish it", "Adopt it", "What would it change?", "Save",
    "Check and keep", "Take this round back", "Take it on the phone",
    "Plan it anew; what is pinned stays", "Plan this day anew",
)  # fmt: skip

YEARS = {"/plan": {"Plan"}}
"""A question that changes nothing, so it is open to everybody."""


@pytest.fixture
def shared(context, monkeypatch):
    """Two owners, an event over both, an agreed round through both."""
    quicken(monkeypatch)
    with context.store.write_session() as session:
        other = Party(new_id(), "Abbey Yard", "", LONG_AGO)
        records.PARTIES.add(session, [other])
        support = records.SUPPORTS.find(session, code="S-0106")
        tree = records.TREES.get(session, support.tree_id)
        site = records.SITES.get(session, tree.site_id)
        hidden = replace(site, owner_id=other.id, name="Hiddenham")
        records.SITES.change(session, hidden)
        for name, owner in ((OWNER, "City of Velmarsh"), (OTHER, "Abbey Yard")):
            new = NewAccount(name, "", Role.OWNER, PASSWORD, owner)
            access.add_account(session, new, **BY)
        plan_all(session, now=NOON)
        due = records.DUES.find(session, support_id=support.id)
        until = due.serious_on - timedelta(days=1)
        put_off = DeferralCommand("S-0106", until, "hidden deferral", "Mira")
        defer(session, put_off, **BY)
        storm = EventCommand(
            kind="storm", happened_on=date(2026, 5, 30), around="V-S-0101",
            radius="3", size="95 km/h",
        )  # fmt: skip
        enter_event(session, storm, **BY)
        days = date(2026, 7, 1), date(2026, 7, 3)
        close_site(session, ClosureCommand(site.code, *days, "hidden closure"), **BY)
    with context.store.read_session() as session:
        wish = RoundWish(parse_people("Edda"), 5, start=site.code)
        made = plan_of(session, wish, today=NOON.date())
    with context.store.write_session() as session:
        agree(session, made, today=NOON.date(), **BY)
    return context


@pytest.fixture
def owner(app, shared):
    return signed_in_client(app, shared, OWNER)


def rounds_of(context):
    with context.store.read_session() as session:
        return standing_rounds(session, NOON.date())


def test_an_owner_sees_nothing_of_others_on_any_page(app, owner, client, shared):
    other = signed_in_client(app, shared, OTHER)
    owners, others, inspectors = (
        {page: str(show(one, *page)) for page in PAGES}
        for one in (owner, other, client)
    )

    told = "".join(inspectors.values())
    assert [secret for secret in SECRETS[:1] + SECRETS[2:] if secret not in told] == []
    for page in PAGES:
        assert [secret for secret in SECRETS if secret in owners[page]] == [], page
        assert "S-0101" not in others[page], page
        assert "No page" not in owners[page], page
    assert "S-0101" in owners["/due", ""]
    assert "S-0106" in others["/due", ""]


def test_an_owner_is_offered_nothing_to_do(owner):
    for page in PAGES:
        offered = set(_pressed(show(owner, *page)))
        assert offered.intersection(ACTIONS) <= {"Plan"} & YEARS.get(page[0], set())


def _pressed(tree):
    """Words of every button and link."""
    if isinstance(tree, list):
        for part in tree:
            yield from _pressed(part)
    elif isinstance(tree, dict):
        if tree.get("type") in {"Button", "Link", "A", "Summary"}:
            yield words_of(tree).strip()
        for part in tree.values():
            yield from _pressed(part)


def test_an_inspector_is_offered_what_the_role_may_do(client, shared):
    offered = {label for page in PAGES for label in _pressed(show(client, *page))}

    of_a_round = {"Take this round back", "Take it on the phone",
                  "Plan it anew; what is pinned stays"}  # fmt: skip
    assert set(ACTIONS) - offered <= of_a_round | {"Agree these rounds"}


def test_an_owner_sees_only_the_own_stops_of_an_agreed_round(owner, client, shared):
    every = [f"/rounds/{one.round.root_id}" for one in rounds_of(shared)]

    owners = "".join(page_words(owner, path) for path in every)
    inspectors = "".join(page_words(client, path) for path in every)

    assert "S-0101" in owners
    assert [secret for secret in SECRETS if secret in owners] == []
    assert "V-S-0106" not in owners  # where the day begins
    assert "S-0106" in inspectors
    assert not any(word in owners for word in ("Record it", "on the phone", "anew"))
    assert "Take it on the phone" in inspectors


def test_a_round_through_foreign_sites_only_is_not_there_for_an_owner(
    client, owner, shared
):
    day = NOON.date() + timedelta(days=1)
    alone = Arranged("Perran", day, ("S-0106",))
    wish = RoundWish(parse_people("Perran"), 1, arranged=(alone,))
    with shared.store.write_session() as session:
        for one in standing_rounds(session, NOON.date()):
            take_back(session, one.round.root_id, reason="Ice.", **BY)
        made = plan_of(session, wish, today=NOON.date())
        agree(session, made, today=NOON.date(), **BY)
    (one,) = rounds_of(shared)
    assert one.codes == ("S-0106",)

    path = f"/rounds/{one.round.root_id}"
    assert "No round" in page_words(owner, path)
    assert "Perran" not in page_words(owner, "/rounds")
    assert "Perran" in page_words(client, path)


def test_forms_that_an_owner_sends_all_the_same_are_refused(owner, shared):
    one = rounds_of(shared)[0].round

    for path in ("/rounds/agree", f"/rounds/{one.root_id}/take-back",
                 "/rounds/travel", "/rounds/travel/drop"):  # fmt: skip
        assert owner.post(path, data={"reason": "x"}, headers=OWN).status_code == 403
    assert one in [other.round for other in rounds_of(shared)]


def test_an_owner_who_is_told_of_all_sites_is_told_of_the_own_ones(shared):
    with shared.store.write_session() as session:
        sites = {site.code: str(site.id) for site in records.SITES.all(session)}
        a_person(session, OWNER, address="ada@trees.example")
        a_person(session, OTHER, address="abbot@trees.example",
                 sites=(sites["V-S-0101"], sites["V-S-0106"]))  # fmt: skip
        a_person(session, "Nobody's account", address="n@trees.example")
        raise_notices(session, now=NOON)

        told = {one.name: one for one in active_recipients(session)}
        names = {one.id: one.name for one in told.values()}
        said = dict.fromkeys(told, "")
        for notice in records.NOTICES.all(session):
            said[names[notice.recipient_id]] += f"{notice.subject} {notice.lines}"

    assert sites["V-S-0106"] not in told[OWNER].sites
    assert told[OTHER].sites == (sites["V-S-0106"],)
    assert told["Nobody's account"].sites == ()
    assert "S-0101" in said[OWNER]
    assert "S-0106" not in said[OWNER]
    assert "S-0101" not in said[OTHER]


def test_the_calendar_of_an_owner_who_is_told_holds_the_own_sites_only(shared):
    with shared.store.write_session() as session:
        a_person(session, OWNER, channel=Channel.EMAIL, address="ada@trees.example")
    with shared.store.read_session() as session:
        feed = next(one for one in feeds(session) if one.person == OWNER)
        entries = entries_of(session, feed, "https://x.example/", today=NOON.date())

    said = " ".join(f"{one.summary} {one.description}" for one in entries)
    assert "S-0101" in said
    assert "S-0106" not in said


def test_an_owner_without_sites_is_told_nothing(shared):
    with shared.store.write_session() as session:
        records.PARTIES.add(session, [Party(new_id(), "Landless", "", LONG_AGO)])
        new = NewAccount("Lea", "", Role.OWNER, PASSWORD, "Landless")
        access.add_account(session, new, **BY)
        a_person(session, "Lea", address="lea@trees.example")
        (lea,) = [one for one in active_recipients(session) if one.name == "Lea"]
        raise_notices(session, now=NOON)
        told = [n for n in records.NOTICES.all(session) if n.recipient_id == lea.id]

    assert not any("S-0" in str(notice.lines) for notice in told)


def test_an_owner_hands_out_no_calendar_of_others(app, shared, owner):
    assert "all inspections" not in page_words(owner, "/due")
    assert NAME not in page_words(owner, "/due")
    assert links(shared)  # outside of a request there are some
