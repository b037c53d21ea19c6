"""Windows that the family opens against warmth, as the record of the house's controls tells it."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.physics import description as d
from retrofit_desk.physics import elements as e
from retrofit_desk.physics.schedules import on_in
from retrofit_desk.records import models as m
from retrofit_desk.values.errors import CannotSay

OPENS_ABOVE = "windows_open_above_c"
"""The room's warmth at which windows are opened; where no control tells it, none ever are."""
CLOSES_BELOW = "windows_close_below_c"
AIRING_HOURS = "windows_open_hours"
"""Hours of the day, 0 to 23, in which they may be open; not told: all. Night cooling: the night's hours."""
_HUNG = (m.Operation.CASEMENT, m.Operation.TILT_TURN, m.Operation.SWING)
_BY_SASH = {m.Operation.TOP_HINGED: "top", m.Operation.BOTTOM_HINGED: "bottom"}


def airing_of(session: Session, room: m.Room) -> tuple[d.Opening, ...]:
    """The room's windows that open. Raises `CannotSay` where the side of the hinges is missing."""
    control = airing_control(session)
    if control is None or not room.is_heated:
        return ()
    if CLOSES_BELOW not in control.details:
        raise CannotSay("the airing", "the warmth below which the windows are shut again", where="House")
    hours = control.details.get(AIRING_HOURS)
    allowed: e.Timed = 1.0
    if hours is not None:
        allowed = on_in(hours)
    return tuple(
        d.Opening(
            name=row.key,
            area_m2=row.width_m * row.count * row.height_m,
            height_m=row.height_m,
            faces_deg=surface.azimuth_deg,
            hinge=_hinge(row),
            open_above_c=control.details[OPENS_ABOVE],
            close_below_c=control.details[CLOSES_BELOW],
            allowed=allowed,
        )
        for surface in room.surfaces
        for row in surface.openings
        if surface.azimuth_deg is not None and _opens(row)
    )


def airing_control(session: Session) -> m.Equipment | None:
    """The control that tells when windows are opened, if one does."""
    controls = select(m.Equipment).where(
        m.Equipment.kind == m.EquipmentKind.CONTROL, m.Equipment.measure_id.is_(None)
    )
    rows = session.scalars(controls.order_by(m.Equipment.id))
    return next((row for row in rows if OPENS_ABOVE in row.details), None)


def _opens(row: m.Opening) -> bool:
    is_glass = row.kind in (m.OpeningKind.WINDOW, m.OpeningKind.GLASS_DOOR)
    return is_glass and row.operation is not m.Operation.FIXED


def _hinge(row: m.Opening) -> str:
    if row.operation not in _HUNG:
        return _BY_SASH.get(row.operation, "sliding")
    if row.hinge is m.Hinge.NONE:
        raise CannotSay(f"the air through {row.name}", "the side of its hinges", where="House")
    return str(row.hinge)
