"""`underprop account`."""

import json

import pytest
from click.testing import CliRunner

from monitor.cli.account import account
from monitor.cli.context import CliContext
from monitor.errors import InvalidInput, NotFound
from monitor.services import access
from monitor.settings import Settings
from tests.quick_hash import quicken

PASSWORD = "oak beam and rope"


@pytest.fixture
def run(sqlite_store, clock, tmp_path, monkeypatch):
    quicken(monkeypatch)
    settings = Settings(data_folder=tmp_path, database_url=sqlite_store.url)
    context = CliContext(clock=clock, given_settings=settings)

    def call(*words: str, typed: str = ""):
        return CliRunner().invoke(
            account, words, obj=context, input=typed, catch_exceptions=True
        )

    yield call
    if "store" in vars(context):
        context.store.close()


def test_an_account_is_made_and_may_sign_in(run, sqlite_store):
    answer = run("add", "Ines", "--role", "manager", "--password", PASSWORD)

    assert answer.output == "Ines may sign in now, as manager.\n"
    with sqlite_store.read_session() as session:
        assert access.check_password(session, "Ines", PASSWORD).email == ""


def test_the_password_is_asked_for_twice_and_not_shown(run):
    answer = run("add", "Ines", typed=f"{PASSWORD}\n{PASSWORD}\n")

    assert answer.exit_code == 0
    assert PASSWORD not in answer.output


def test_accounts_are_listed_for_people_and_programs(run):
    run("add", "Ines", "--email", "ines@example.org", "--password", PASSWORD)
    run("disable", "Ines")

    assert run("list").output == "Ines: inspector, disabled\n"
    assert json.loads(run("list", "--json").output) == [
        {
            "name": "Ines",
            "email": "ines@example.org",
            "role": "inspector",
            "is_active": False,
        }
    ]


def test_an_empty_list_says_what_to_do(run):
    assert "underprop account add NAME" in run("list").output


def test_a_new_password_replaces_the_old_one(run, sqlite_store):
    run("add", "Ines", "--password", PASSWORD)
    answer = run("password", "Ines", "--password", "a longer rope and beam")

    assert "sign in again everywhere" in answer.output
    with sqlite_store.read_session() as session:
        assert access.check_password(session, "Ines", "a longer rope and beam")


def test_a_short_password_is_refused_in_words(run):
    answer = run("add", "Ines", "--password", "short")

    assert isinstance(answer.exception, InvalidInput)
    assert "12 to 128 are expected" in answer.exception.message


def test_an_unknown_name_is_not_found(run):
    assert isinstance(run("disable", "Nobody").exception, NotFound)
