"""A page that reads everything is made anew when something changed, and only then."""

from datetime import timedelta
from types import SimpleNamespace

import pytest
from dash import html
from flask import Flask, g

from dashboard.context import AppContext
from dashboard.remembered import remembered
from monitor.clock import FixedClock, new_id
from monitor.domain.vocabulary import Role
from monitor.settings import Settings
from monitor.store import ledger
from monitor.store.reach import Reach
from tests.conftest import NOON

EVERYTHING = Reach(role=Role.MANAGER)


@pytest.fixture
def made():
    return []


@pytest.fixture
def page(made):
    @remembered
    def layout(_context, **asked):
        made.append(asked)
        return html.P("a page")

    return layout


@pytest.fixture
def context(store, tmp_path):
    return AppContext(Settings(data_folder=tmp_path), store, FixedClock(NOON))


@pytest.fixture
def seen_by():
    """Looking at a page as somebody whose view reaches so far."""
    flask = Flask("pages")

    def look(reach, page, context, **asked):
        with flask.test_request_context():
            g.viewer = SimpleNamespace(reach=reach)
            return page(context, **asked)

    return look


def test_what_has_not_changed_is_made_once(made, page, context, seen_by):
    first = seen_by(EVERYTHING, page, context, by="kind")
    second = seen_by(EVERYTHING, page, context, by="kind")

    assert second is first
    assert made == [{"by": "kind"}]


def test_another_question_or_another_right_has_its_own_page(
    made, page, context, seen_by
):
    seen_by(EVERYTHING, page, context, by="kind")
    seen_by(EVERYTHING, page, context, by="site")
    seen_by(Reach(role=Role.INSPECTOR), page, context, by="site")

    assert len(made) == 3


def test_a_change_of_the_record_makes_it_anew(made, page, context, seen_by):
    seen_by(EVERYTHING, page, context)

    with context.store.write_session() as session:
        changes = [("site changed", "site Chapel Row", {"name": "Chapel Row"})]
        ledger.append(session, changes, actor="Ines", now=NOON)
    seen_by(EVERYTHING, page, context)

    assert len(made) == 2


def test_it_is_no_older_than_a_quarter_of_an_hour(made, page, context, seen_by):
    seen_by(EVERYTHING, page, context)

    context.clock.at = NOON + timedelta(minutes=15)
    seen_by(EVERYTHING, page, context)

    assert len(made) == 2


def test_who_sees_a_part_never_gets_the_page_of_another(made, page, context, seen_by):
    owner = Reach(owner_id=new_id(), role=Role.OWNER)

    seen_by(EVERYTHING, page, context)
    seen_by(owner, page, context)
    seen_by(owner, page, context)

    assert len(made) == 3
