"""The documents name everything that exists, and nothing that does not."""

import re
from dataclasses import fields
from pathlib import Path

import pytest

from monitor.cli.__main__ import COMMANDS
from monitor.jobs.catalogue import JOBS
from monitor.settings import PREFIX, Settings

ROOT = Path(__file__).parents[2]
REFERENCE = (ROOT / "dashboard/guides/reference.md").read_text()
README = (ROOT / "README.md").read_text() + REFERENCE
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text()


@pytest.mark.parametrize("name", [field.name for field in fields(Settings)])
def test_every_setting_is_in_the_reference(name):
    assert f"`{PREFIX}{name.upper()}`" in REFERENCE


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_is_in_the_reference(name):
    assert f"`underprop {name}" in REFERENCE


def test_the_readme_names_no_setting_or_command_that_is_not_there():
    settings = {f"{PREFIX}{field.name.upper()}" for field in fields(Settings)}
    named = set(re.findall(PREFIX + r"[A-Z_]+", README))
    commands = set(re.findall(r"`underprop (\w+)", README))

    assert named <= settings | {PREFIX + "SETTINGS"}
    assert commands <= set(COMMANDS)


def test_every_path_in_the_developers_guide_exists():
    paths = re.findall(
        r"`((?:monitor|dashboard|tests|migrations|ops)/[\w./]*)`", DEVELOPERS
    )

    missing = [path for path in paths if not (ROOT / path).exists()]

    assert missing == []


def test_every_job_says_what_it_does():
    assert all(job.about.endswith(".") for job in JOBS)
