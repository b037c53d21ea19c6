"""Glass by its label, as recorded or as bought: the name under which equal glass is one glazing."""

from __future__ import annotations

from retrofit_desk.physics.elements import Coating, Course, GlazingByLabel

LONGEST_NAME = 80


def label_glass(
    u_value_w_m2k: float,
    shgc: float,
    panes: int,
    coating: Coating | None,
    course: Course,
    of: str,
) -> GlazingByLabel:
    """The glazing of a label; one with a course of its own is named after what it is `of`."""
    parts = [f"U {u_value_w_m2k:g}", f"SHGC {shgc:g}", f"{panes} panes"]
    if coating is not None:
        parts.append(coating)
    if course:
        parts.append(f"by angle, {of}")
    return GlazingByLabel(
        name=", ".join(parts)[:LONGEST_NAME],
        u_value_w_m2k=u_value_w_m2k,
        shgc=shgc,
        panes_count=panes,
        coating=coating,
        shgc_by_angle=course,
    )
