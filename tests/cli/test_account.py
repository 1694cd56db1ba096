"""`underprop account`."""

import json

import pytest
from click.testing import CliRunner

from monitor.cli.context import CliContext
from monitor.cli.entry import account
from monitor.domain.vocabulary import Role
from monitor.errors import Conflict, InvalidInput, NotFound
from monitor.services import access
from monitor.services.entry import keys
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


def test_an_invitation_prints_a_link_that_works_once(run, sqlite_store, clock):
    answer = run("invite", "Bo", "--role", "planner")

    secret = answer.output.split("/welcome/")[1].split()[0]
    with sqlite_store.write_session() as session:
        keys.choose_password(session, secret, PASSWORD, clock.now())
        assert access.check_password(session, "Bo", PASSWORD).role is Role.PLANNER


def test_a_role_is_given_and_the_last_administrator_stays(run):
    run("add", "Ada", "--role", "administrator", "--password", PASSWORD)
    run("add", "Ines", "--password", PASSWORD)

    assert "Ines is auditor now" in run("role", "Ines", "auditor").output
    assert isinstance(run("role", "Ada", "auditor").exception, Conflict)


def test_a_disabled_account_is_enabled_again(run, sqlite_store):
    run("add", "Ines", "--password", PASSWORD)
    run("disable", "Ines")
    run("enable", "Ines")

    with sqlite_store.read_session() as session:
        assert access.check_password(session, "Ines", PASSWORD).is_active


def test_a_reset_leaves_the_old_password_until_a_new_one_is_chosen(run, sqlite_store):
    run("add", "Ines", "--password", PASSWORD)

    assert "/welcome/" in run("reset", "Ines").output
    with sqlite_store.read_session() as session:
        assert access.check_password(session, "Ines", PASSWORD)


def test_a_second_factor_can_be_taken_off_from_the_machine(run):
    run("add", "Ines", "--password", PASSWORD)

    answer = run("without-second-factor", "Ines")
    assert "with the password only" in answer.output
