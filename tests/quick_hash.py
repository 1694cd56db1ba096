"""Passwords hashed quickly, for tests that are about something else."""

import pytest
from argon2 import PasswordHasher

from monitor.services.entry import passwords


def quicken(patch: pytest.MonkeyPatch) -> None:
    """Hash with next to no work; what is hashed says so and is checked as quickly."""
    quick = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    patch.setattr(passwords, "HASHER", quick)
    patch.setattr(passwords, "NOBODY", quick.hash("nobody's password"))
