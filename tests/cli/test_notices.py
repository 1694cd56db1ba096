"""Who is told, by command: chosen, tried, listed, stopped."""

import json

import pytest
from click.testing import CliRunner

from monitor.cli.__main__ import cli
from monitor.cli.context import CliContext
from monitor.errors import InvalidInput, MonitorError, NotFound
from monitor.settings import Settings
from tests.build import a_support
from tests.notify.wire import mail_server


@pytest.fixture
def box():
    with mail_server() as box:
        yield box


@pytest.fixture
def run(store, clock, tmp_path, box):
    settings = Settings(
        data_folder=tmp_path, database_url=store.url, smtp_host="127.0.0.1",
        smtp_port=box.port, smtp_security="plain", smtp_from="watch@trees.example",
    )  # fmt: skip
    context = CliContext(clock=clock, given_settings=settings)

    def go(*words):
        return CliRunner().invoke(cli, words, obj=context)

    return go


def test_a_person_is_chosen_tried_listed_and_stopped(run, store, box):
    with store.write_session() as session:
        site = a_support(session).site.code
    told = run(
        "notices", "tell", "Ines", "--email", "ines@trees.example", "--site", site,
        "--digest", "friday", "--at", "6:30", "--zone", "Europe/Berlin",
        "--quiet", "22:00-06:00",
    )  # fmt: skip
    assert told.output.startswith("Ines is told by e-mail. Digests begin once")

    assert run("notices", "test", "Ines").output == "It was taken for Ines.\n"
    assert {message["To"] for message in box.messages} == {"ines@trees.example"}
    (person,) = json.loads(run("notices", "people", "--json").output)
    assert (person["digest"], person["at"], person["sites"]) == (
        "friday",
        "06:30",
        [site],
    )
    listed = json.loads(run("notices", "list", "--json").output)
    assert {one["kind"] for one in listed} == {"trial", "confirmation"}
    assert {(one["to"], one["state"]) for one in listed} == {("Ines", "sent")}

    run("notices", "stop", "Ines")
    assert "digest never" in run("notices", "people").output


def test_what_failed_is_listed_and_can_be_tried_again(run, box):
    run("notices", "tell", "Ines", "--email", "ines@trees.example")
    run("notices", "send")  # the letter that wants an answer
    box.messages.clear()
    box.answers.append("550 no such box")
    assert "550" in str(run("notices", "test", "Ines").exception)

    (failed,) = json.loads(run("notices", "list", "--failed", "--json").output)
    run("notices", "again", failed["id"])
    run("notices", "send")

    assert len(box.messages) == 1
    assert json.loads(run("notices", "list", "--failed", "--json").output) == []
    assert isinstance(run("notices", "again", failed["id"]).exception, NotFound)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--email", "no"], "is no e-mail address"),
        (["--email", "a@b.example\r\nBcc: evil@example.com"], "is no e-mail address"),
        (["--webhook", "http://hook.example/"], "https://"),
        (["--email", "a@b.example", "--webhook", "https://b.example"], "either"),
        ([], "either"),
        (["--email", "a@b.example", "--at", "25:00"], "expected a time"),
        (["--email", "a@b.example", "--quiet", "21:00"], "expected hours"),
        (["--email", "a@b.example", "--zone", "Mars/Base"], "is no time zone"),
    ],
)
def test_what_can_not_be_taken_is_named(run, words, says):
    error = run("notices", "tell", "Ines", *words).exception

    assert isinstance(error, InvalidInput)
    assert says in str(error)


def test_an_unknown_site_or_person_is_named(run):
    words = ["notices", "tell", "Ines", "--email", "a@b.example", "--site", "V-0"]

    assert isinstance(run(*words).exception, NotFound)
    assert isinstance(run("notices", "test", "Nobody").exception, NotFound)


def test_a_trial_that_has_no_way_to_go_says_so(run):
    run("notices", "tell", "Ines", "--webhook", "https://hook.example/in")

    error = run("notices", "test", "Ines").exception

    assert isinstance(error, MonitorError)
    assert "no secret for webhooks" in str(error)
