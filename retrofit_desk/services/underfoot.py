"""How many people mind a floor, in words."""

from __future__ import annotations

from retrofit_desk.physics.comfort import floor_pct
from retrofit_desk.values.quantity import percent_text


def dissatisfied_with_floor(floor_c: float | None) -> str:
    """Percent dissatisfied in shoes, ISO 7730; "unknown" for a floor that is."""
    return "unknown" if floor_c is None else percent_text(floor_pct(floor_c) / 100)
