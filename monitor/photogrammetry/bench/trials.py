"""Many invented photographs, measured, against what is known of them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from monitor.photogrammetry.bench.scenes import Scene, an_opening, photographed, seen_at
from monitor.photogrammetry.camera import Shot
from monitor.photogrammetry.marker_sheet import SHEETS
from monitor.photogrammetry.markers import find_sheet
from monitor.photogrammetry.measure import Care, Figure, Measured, measure
from monitor.photogrammetry.outline import Extent, extent

EXACT = Care(
    offset_mm=0.0, offset_sd_mm=0.01, trace_sd_px=0.05, edge_sd_mm=0.002,
    ruler_sd_mm=0.005,
)  # fmt: skip
"""Traced without a hand: what is left is markers, lens and tilt."""

KNOWN = Care(
    offset_mm=0.0, offset_sd_mm=0.2, trace_sd_px=1.0, edge_sd_mm=0.05, ruler_sd_mm=0.05
)
"""The sheet lies in the plane of the opening, the print is true."""

AS_IN_THE_FIELD = Care(offset_mm=5.0, offset_sd_mm=4.0, trace_sd_px=2.0)
"""Nobody knows to the millimetre how the sheet lay, nor where the bark ends."""


@dataclass(frozen=True, slots=True)
class Trial:
    """One view: what is true, and what was measured."""

    tilt_deg: float
    true: Extent
    measured: Measured

    @property
    def area_off(self) -> float:
        """Relative error of the area."""
        return self.measured.area.value / self.true.area - 1

    @property
    def pairs(self) -> dict[str, tuple[float, Figure]]:
        """What is true and what was said, by name."""
        said, true = self.measured, self.true
        return {
            "area": (true.area, said.area),
            "width": (true.width, said.width),
            "height": (true.height, said.height),
        }

    def covers(self, name: str) -> bool:
        """Whether the stated 95 % range holds the truth."""
        true, said = self.pairs[name]
        return said.low <= true <= said.high


def trial(
    random: np.random.Generator, care: Care, *, steepest_deg: float, width: int = 1500
) -> Trial:
    """One random view, drawn, found, traced by a shaky hand and measured."""
    sheet = SHEETS[int(random.integers(len(SHEETS)))]
    left, top, right, bottom = sheet.window
    scene = _a_scene(random, care, steepest_deg, width)
    middle = np.array([(left + right) / 2, (top + bottom) / 2]) + random.normal(0, 4, 2)
    radius = random.uniform(0.2, 0.36) * min(right - left, bottom - top)
    opening = an_opening(random, middle, radius)
    picture = photographed(scene, sheet, opening, random)
    trace = seen_at(scene, sheet, traced(opening, care, random), scene.offset_mm)
    trace = trace + random.normal(0, care.trace_sd_px, trace.shape)
    stated = scene.focal_35_mm * np.exp(random.normal(0, 0.03))
    shot = Shot(scene.width, scene.height, stated if random.random() < 0.5 else None)
    found = measure(find_sheet(picture), shot, trace, care)
    return Trial(scene.tilt_deg, extent(opening), found)


def _a_scene(
    random: np.random.Generator, care: Care, steepest_deg: float, width: int
) -> Scene:
    return Scene(
        tilt_deg=random.uniform(0, steepest_deg),
        toward_deg=random.uniform(0, 360),
        roll_deg=random.uniform(-30, 30),
        distance_mm=random.uniform(400, 600),
        offset_mm=random.normal(care.offset_mm, care.offset_sd_mm),
        lens=random.normal(0, 0.03),
        focal_35_mm=random.uniform(23, 30),
        width=width,
        height=width * 4 // 3,
        noise=3.0,
        blur_px=random.uniform(0.6, 1.6),
        print_scale=1 + random.normal(0, care.ruler_sd_mm / 150),
    )


def traced(
    opening: NDArray[np.float64], care: Care, random: np.random.Generator
) -> NDArray[np.float64]:
    """The outline as someone takes it to be: all around a little in or out."""
    before = opening - np.roll(opening, 1, axis=0)
    after = np.roll(opening, -1, axis=0) - opening
    normals = []
    for side in (before, after):
        out = np.column_stack([side[:, 1], -side[:, 0]])
        normals.append(out / np.linalg.norm(out, axis=1, keepdims=True))
    mean = normals[0] + normals[1]
    # A mitre: the corner moves so that both its sides move by the same distance.
    mean = mean * 2 / np.sum(mean**2, axis=1, keepdims=True)
    moved: NDArray[np.float64] = opening + mean * random.normal(0, care.edge_sd_mm)
    return moved
