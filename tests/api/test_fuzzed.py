"""Requests that nobody would think of: none is answered with a failure of ours."""

import schemathesis
from hypothesis import HealthCheck, given, settings

from dashboard.api.page import EXAMPLE

MOST = 15


def test_no_request_made_from_the_description_makes_us_fail(server, program):
    """Bounded: some fifteen cases an operation."""
    schema = schemathesis.openapi.from_wsgi(
        "/api/v1/openapi.json", server, headers=program.head
    )
    answers = []

    for found in schema.get_all_operations():
        strategy = found.ok().as_strategy()

        @settings(
            max_examples=MOST, deadline=None, database=None,
            suppress_health_check=list(HealthCheck),
        )  # fmt: skip
        @given(case=strategy)
        def ask(case):
            answer = case.call(headers=program.head)
            answers.append(answer.status_code)
            assert answer.status_code < 500, answer.text

        ask()

    assert len(answers) > 100


def test_the_example_of_the_page_runs_as_it_stands(server, program, address):
    token = program.head["Authorization"].removeprefix("Bearer ")
    world = {"base": address, "token": token, "today": "2026-06-01"}

    exec(EXAMPLE, world)

    assert {due["support_id"] for due in world["late"]}
    assert all(due["late_on"] < "2026-06-01" for due in world["late"])
