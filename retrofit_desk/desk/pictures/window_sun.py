"""A window in section under its overhang, with the noon sun of June, the equinox and December."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians, sin, tan

from PySide6.QtCore import QRectF, Qt

from retrofit_desk.desk.pictures.canvas import HAIR, HEAVY, LEFT, MIDDLE, RIGHT, THIN, TOP, Canvas
from retrofit_desk.desk.pictures.hatch import Hatch

RAY_EM = 6.0  # length of a ray before it meets the edge


@dataclass(frozen=True)
class NoonSun:
    """The sun at noon on one day: its profile angle to the wall (degrees), and what it means in words.

    The angle is None when the sun does not stand before this wall. `lit_share` is the share of the glass in
    direct sun.
    """

    day: str
    profile_angle_deg: float | None
    lit_share: float

    def told(self) -> str:
        if self.profile_angle_deg is None:
            return f"{self.day}: the noon sun does not reach this wall"
        return f"{self.day}: {self.lit_share:.0%} of the glass in direct sun at noon"


@dataclass(frozen=True)
class SunSection:
    """The section, in meters: glass height, overhang depth and its height above the glass."""

    glass_height_m: float
    overhang_depth_m: float
    overhang_above_m: float
    glass_text: str
    overhang_text: str
    suns: tuple[NoonSun, ...]

    def told(self) -> str:
        return "; ".join(sun.told() for sun in self.suns)


def lit_share(glass_height_m: float, depth_m: float, above_m: float, profile_angle_deg: float) -> float:
    """Share of the glass below the shadow line of a long overhang: depth * tan(profile angle)."""
    shadow = depth_m * tan(radians(profile_angle_deg)) - above_m
    return 1.0 - min(max(shadow / glass_height_m, 0.0), 1.0)


def draw_window_sun(canvas: Canvas, section: SunSection) -> None:
    """The wall at the right, the sun coming from the left; each ray touches the overhang's edge."""
    em, area, tokens = canvas.em, canvas.area, canvas.tokens
    wall_x = area.right() - em * 10
    top, bottom = area.top() + em * (RAY_EM + 0.8), area.bottom() - em * 0.6
    whole_m = section.glass_height_m + section.overhang_above_m
    reach_px = wall_x - area.left() - em * 8
    scale = min((bottom - top) / whole_m, reach_px / max(section.overhang_depth_m, 0.3))
    eave_y = top
    glass_top = eave_y + section.overhang_above_m * scale
    glass_bottom = glass_top + section.glass_height_m * scale
    edge_x = wall_x - section.overhang_depth_m * scale
    thick = em * 0.9
    for wall in (
        QRectF(wall_x, eave_y - em, thick, glass_top - eave_y + em),
        QRectF(wall_x, glass_bottom, thick, max(bottom - glass_bottom, em * 0.5)),
    ):
        canvas.hatch(wall, Hatch.SLANT, tokens.hatch, 0.4)
        canvas.box(wall, tokens.ink, THIN)
    canvas.pen(tokens.ink, HEAVY)
    for offset in (0.35, 0.6):
        canvas.line(wall_x + thick * offset, glass_top, wall_x + thick * offset, glass_bottom)
    if section.overhang_depth_m > 0:
        slab = QRectF(edge_x, eave_y - em * 0.35, wall_x - edge_x, em * 0.35)
        canvas.fill(slab, tokens.sheet)
        canvas.box(slab, tokens.ink, HEAVY)
    words = QRectF(wall_x + thick + em * 0.4, eave_y - em * 1.2, em * 8.5, em * 3.4)
    canvas.text(words, section.overhang_text, LEFT | TOP | Qt.TextFlag.TextWordWrap, elide=False)
    label = QRectF(wall_x + thick + em * 0.4, glass_top, em * 8, glass_bottom - glass_top)
    canvas.text(label, section.glass_text, LEFT | MIDDLE)
    _draw_rays(canvas, section.suns, (edge_x, eave_y), (wall_x, glass_bottom))


def _draw_rays(
    canvas: Canvas, suns: Sequence[NoonSun], edge: tuple[float, float], foot: tuple[float, float]
) -> None:
    """One ray for each day past the overhang's edge, named at its start; dashed when nothing is lit."""
    em, tokens, area = canvas.em, canvas.tokens, canvas.area
    for sun in suns:
        if sun.profile_angle_deg is None:
            continue
        angle = radians(sun.profile_angle_deg)
        dx, dy = cos(angle), sin(angle)
        far = em * RAY_EM
        start = (edge[0] - dx * far, edge[1] - dy * far)
        run = min((foot[0] - edge[0]) / max(dx, 1e-6), max(foot[1] - edge[1], 0.0) / max(dy, 1e-6))
        canvas.pen(tokens.ink, HAIR if sun.lit_share <= 0 else THIN, dashed=sun.lit_share <= 0)
        canvas.line(*start, edge[0] + dx * run, edge[1] + dy * run)
        name = QRectF(start[0] - em * 9.2, start[1] - em * 0.75, em * 9, em)
        canvas.text(name, f"{sun.day}, {sun.profile_angle_deg:.0f}°", RIGHT | MIDDLE, scale=0.9)
    for number, sun in enumerate(suns):
        y = foot[1] - em * 1.2 * (len(suns) - number)
        canvas.text(QRectF(area.left(), y, edge[0] - area.left() - em, em * 1.2), sun.told())
