"""An opening from four distances: at 12, 3, 6 and 9 o'clock from a mark inside."""

import math
from dataclasses import dataclass

from monitor.errors import InvalidInput
from monitor.photogrammetry.measure import Figure

TAPE_SD_MM = 1.0
"""Of one distance to the edge of the bark (common practice, no source)."""

SHAPE_SD = 0.06
"""Share of the area by which an opening differs from four quarter ellipses (no
source)."""

LONGEST_MM = 1500.0


@dataclass(frozen=True, slots=True)
class Quarters:
    """Distances from the mark to the edge; 12 o'clock is up the stem. [mm]"""

    at_12: float
    at_3: float
    at_6: float
    at_9: float

    def __post_init__(self) -> None:
        """Refuse what is no distance."""
        for hour, value in zip((12, 3, 6, 9), self.values, strict=True):
            if not 0 <= value <= LONGEST_MM:
                raise InvalidInput(
                    f"{value:g} mm at {hour} o'clock is no distance from the mark to "
                    f"the edge; 0 to {LONGEST_MM:.0f} mm are taken.",
                    field=f"at_{hour}",
                    code="pho-030",
                )

    @property
    def values(self) -> tuple[float, float, float, float]:
        """In the order of the clock."""
        return self.at_12, self.at_3, self.at_6, self.at_9

    @property
    def width(self) -> Figure:
        """Across the grain, 3 to 9 o'clock. [mm]"""
        return Figure(self.at_3 + self.at_9, math.sqrt(2) * TAPE_SD_MM)

    @property
    def height(self) -> Figure:
        """Along the grain, 12 to 6 o'clock. [mm]"""
        return Figure(self.at_12 + self.at_6, math.sqrt(2) * TAPE_SD_MM)

    @property
    def area(self) -> Figure:
        """Of four quarter ellipses with these half axes. [mm²]

        By geometry: π/4 · (d12·d3 + d3·d6 + d6·d9 + d9·d12) = π/4 · width · height.
        """
        width, height = self.width.value, self.height.value
        area = math.pi / 4 * width * height
        by_tape = math.pi / 4 * math.hypot(width, height) * self.width.sd
        return Figure(area, math.hypot(by_tape, SHAPE_SD * area))
