"""What every page is given."""

from dataclasses import dataclass
from datetime import timedelta

from monitor.clock import Clock
from monitor.domain.running import Watched
from monitor.services.entry.sealing import Seal, seal_of
from monitor.settings import Settings
from monitor.store import Store


@dataclass(frozen=True, slots=True)
class AppContext:
    """Settings, the store and the clock.

    Attributes
    ----------
    watched : jobs of which the first page says so when they are missed
    """

    settings: Settings
    store: Store
    clock: Clock
    watched: tuple[Watched, ...] = ()

    @property
    def idle(self) -> timedelta:
        """How long a sign-in lasts without being used."""
        return timedelta(hours=self.settings.sign_in_hours)

    @property
    def seal(self) -> Seal:
        """What keeps the secrets of second factors."""
        return seal_of(self.settings.data_folder)

    @property
    def longest(self) -> timedelta:
        """How long a sign-in lasts however often it is used."""
        return timedelta(days=self.settings.sign_in_days)
