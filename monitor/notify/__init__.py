"""Letters to people, and the ways they travel."""

from typing import Protocol

from monitor.notify.letter import Letter

__all__ = ["Carrier", "Letter"]


class Carrier(Protocol):
    """One way a letter travels."""

    def deliver(self, letter: Letter, address: str) -> None:
        """Hand the letter over; DeliveryError if that did not come off."""
        ...
