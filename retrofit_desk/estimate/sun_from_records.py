"""What the record tells of the sun: hills and trees around, glass, movable shades, overhangs and fins."""

from __future__ import annotations

from typing import get_args

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.glass import label_glass
from retrofit_desk.physics import description as d
from retrofit_desk.physics import elements as e
from retrofit_desk.physics.schedules import on_in
from retrofit_desk.records import models as m
from retrofit_desk.values.errors import CannotSay
from retrofit_desk.values.turning import turning

DRAWN_IN_SUMMER_SUN = "drawn in summer sun"
DRAWN_BY_THE_CLOCK = "drawn by the clock"
DRAWN_BY_NIGHT = "drawn by night"
DRAWN_IN_SUN_AND_BY_NIGHT = "drawn in summer sun and by night"
AGAINST_THE_SUN = (DRAWN_IN_SUMMER_SUN, DRAWN_IN_SUN_AND_BY_NIGHT)
BY_NIGHT = (DRAWN_BY_NIGHT, DRAWN_IN_SUN_AND_BY_NIGHT)
COATINGS: tuple[e.Coating, ...] = get_args(e.Coating)
HOURS_A_DAY, MONTHS_A_YEAR = 24, 12
OUTSIDE_SHADES = (m.ShadeKind.AWNING, m.ShadeKind.SHUTTER, m.ShadeKind.OUTSIDE_SCREEN)


def site_of(session: Session) -> d.Site:
    """Hills, houses and trees around; nothing where nobody looked."""
    points = session.scalars(select(m.HorizonPoint).order_by(m.HorizonPoint.azimuth_deg))
    stands = session.scalars(select(m.TreeStand).order_by(m.TreeStand.id))
    return d.Site(
        horizon=tuple(
            d.HorizonPoint(azimuth_deg=one.azimuth_deg, altitude_deg=one.altitude_deg) for one in points
        ),
        trees=tuple(
            d.Trees(
                name=one.name,
                from_azimuth_deg=one.from_azimuth_deg,
                to_azimuth_deg=one.to_azimuth_deg,
                altitude_deg=one.altitude_deg,
                monthly_transmittance=_through_by_month(one),
            )
            for one in stands
        ),
    )


def _through_by_month(row: m.TreeStand) -> tuple[float, ...]:
    first, last = row.leaf_from_month, row.leaf_to_month
    if first is None or last is None or row.share_bare is None:
        return (row.share_in_leaf,) * MONTHS_A_YEAR
    in_leaf = turning(first, last, 1, MONTHS_A_YEAR)
    return tuple(
        row.share_in_leaf if month in in_leaf else row.share_bare for month in range(1, MONTHS_A_YEAR + 1)
    )


def glazing_of(row: m.Opening, u_value_w_m2k: float, shgc: float) -> e.GlazingByLabel:
    """The glass of an opening by its label, its coating and a maker's sheet where these are recorded."""
    panes = row.panes or (1 if row.kind in (m.OpeningKind.DOOR, m.OpeningKind.HATCH) else 2)
    coating = next((one for one in COATINGS if one == row.coating), None)
    course = tuple(e.GainAtAngle(angle_deg=angle, shgc=share) for angle, share in row.shgc_by_angle or ())
    return label_glass(u_value_w_m2k, shgc, panes, coating, course, row.key)


def blind_of(row: m.Opening) -> e.Blind | None:
    """A shade of which it is recorded when it is drawn; what it keeps in counts only where that is recorded.

    Raises `CannotSay` where what it lets through by day, or its hours, are missing.
    """
    if row.shade is m.ShadeKind.NONE or not row.shade_rule:
        return None
    only_by_night = row.shade_rule == DRAWN_BY_NIGHT
    passes = 1.0 if only_by_night else row.shade_solar_factor
    if passes is None:
        raise CannotSay(f"the sun through {row.name}", "what its shade lets through", where="House")
    by_clock = _by_the_clock(row) if row.shade_rule == DRAWN_BY_THE_CLOCK else None
    limits = {"sun_above_w_m2": row.shade_sun_above_w_m2, "outdoor_above_c": row.shade_outdoor_above_c}
    return e.Blind(
        side="exterior" if row.shade in OUTSIDE_SHADES else "interior",
        solar_factor=passes,
        added_resistance_m2k_w=row.shade_added_resistance_m2k_w or 0.0,
        by_night=row.shade_rule in BY_NIGHT,
        drawn=0.0 if only_by_night else by_clock,
        **{name: limit for name, limit in limits.items() if limit is not None},
    )


def _by_the_clock(row: m.Opening) -> e.Schedule:
    if row.shade_from_hour is None or row.shade_to_hour is None:
        raise CannotSay(f"the sun through {row.name}", "the hours in which its shade is drawn", where="House")
    months: tuple[int, ...] = ()
    if row.shade_from_month is not None and row.shade_to_month is not None:
        months = turning(row.shade_from_month, row.shade_to_month, 1, MONTHS_A_YEAR)
    last_hour = (row.shade_to_hour - 1) % HOURS_A_DAY
    return on_in(turning(row.shade_from_hour % HOURS_A_DAY, last_hour, 0, HOURS_A_DAY), months)


def plates_of(row: m.Opening) -> list[e.ShadePlate]:
    """Overhang, reveal and fins of an opening. Raises `CannotSay` where its place in the wall is missing."""
    deep = [row.overhang_depth_m, row.left_fin_depth_m, row.right_fin_depth_m, row.reveal_m]
    if not any(deep):
        return []
    if row.left_offset_m is None:
        raise CannotSay(f"the shade on {row.name}", "its distance from the wall's left end", where="House")
    left, right = row.left_offset_m, row.left_offset_m + row.width_m * row.count
    foot, head = row.sill_m, row.sill_m + row.height_m
    plates: list[e.ShadePlate] = []
    if row.overhang_depth_m:
        plates.append(
            e.Overhang(
                height_m=head + row.overhang_above_head_m,
                from_x_m=left - row.overhang_left_m,
                to_x_m=right + row.overhang_right_m,
                depth_m=row.overhang_depth_m,
            )
        )
    if row.reveal_m:
        plates.append(e.Overhang(height_m=head, from_x_m=left, to_x_m=right, depth_m=row.reveal_m))
    for x, depth in (
        (left - row.left_fin_gap_m, row.left_fin_depth_m),
        (right + row.right_fin_gap_m, row.right_fin_depth_m),
        (left, row.reveal_m),
        (right, row.reveal_m),
    ):
        if depth:
            plates.append(e.Fin(x_m=x, from_height_m=foot, to_height_m=head, depth_m=depth))
    return plates
