"""What every command is given: settings, the store, the clock, who is asking."""

import getpass
from dataclasses import dataclass, field
from functools import cached_property

from monitor.clock import Clock, SystemClock
from monitor.settings import Settings, from_environ
from monitor.store import Store
from monitor.store.schema import require_current


@dataclass
class CliContext:
    """Opened lazily, so that `--help` needs no database."""

    clock: Clock = field(default_factory=SystemClock)
    given_settings: Settings | None = None

    @cached_property
    def settings(self) -> Settings:
        """Settings of this installation."""
        return self.given_settings or from_environ()

    @cached_property
    def store(self) -> Store:
        """The database, refused if it is of another version."""
        store = Store(self.settings.url)
        require_current(store)
        return store

    @cached_property
    def actor(self) -> str:
        """Name in the ledger for what is done from the command line."""
        return f"command line, {getpass.getuser()}"
