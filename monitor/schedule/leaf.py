"""Wishes for a crown in leaf or leafless, by the site's own leaf dates."""

from dataclasses import dataclass
from datetime import date

from monitor.domain.vocabulary import LeafState
from monitor.errors import InvalidInput
from monitor.schedule.seasons import Season, day_before


@dataclass(frozen=True, slots=True)
class LeafWish:
    """In which state the crown is wanted for a look.

    Attributes
    ----------
    state : "in leaf" shows vitality, "leafless" shows cables from the ground
    leaf_out, leaf_fall : month and day on which the crown comes into leaf and is bare
        again; in the southern half of the world leaf_out is later in the year
    """

    state: LeafState
    leaf_out: tuple[int, int] = (4, 20)
    leaf_fall: tuple[int, int] = (11, 10)

    def __post_init__(self) -> None:
        if self.state is LeafState.TURNING:
            raise InvalidInput(
                "A look can be wished in leaf or leafless; “turning” is too short a "
                "time to plan for.",
                field="leaf_wish",
                code="sch-006",
            )
        for month, day in (self.leaf_out, self.leaf_fall):
            date(2001, month, day)

    @property
    def unwished(self) -> Season:
        """The season in which the crown is in the other state."""
        if self.state is LeafState.LEAFLESS:
            return Season(self.leaf_out, day_before(self.leaf_fall), "leaf")
        return Season(self.leaf_fall, day_before(self.leaf_out), "bare")


def has_leaves(on: date, wish: LeafWish) -> bool:
    """Whether the crown is in leaf on that day, by the dates of the wish."""
    return Season(wish.leaf_out, day_before(wish.leaf_fall), "leaf").holds(on)
