"""A described house and its simulated year in a few lines."""

from __future__ import annotations

from retrofit_desk.physics.description import House
from retrofit_desk.physics.results import YearResult
from retrofit_desk.values.quantity import Dimension, Units, show


def house_lines(house: House) -> tuple[str, ...]:
    """What is in a described house."""
    windows = [window for surface in house.surfaces for window in surface.windows]
    glass = sum(window.area_m2 for window in windows)
    outside = sum(one.opaque_area_m2 for one in house.surfaces if one.boundary.kind == "outdoors")
    rows = [
        f"{house.name}: the description is sound",
        f"  zones               {len(house.zones)}",
        f"  surfaces            {len(house.surfaces)}, {_area(outside)} of them opaque and to outdoors",
        f"  windows             {len(windows)}, {_area(glass)}" if windows else "  windows             none",
        f"  constructions       {len(house.constructions)}",
    ]
    if house.blower_door is None:
        rows.append("  blower door         not stated")
    else:
        flow = house.blower_door.flow_at_50_pa_m3_s
        rows.append(f"  blower door         {show(flow, Dimension.AIR_FLOW, Units.US)} at 50 Pa")
    return tuple(rows)


def year_lines(house: House, year: YearResult) -> tuple[str, ...]:
    """Loads of the year, their peaks, and each zone's temperatures."""
    heat = sum(float(zone.heating_w.sum()) for zone in year.zones) / 1000.0
    cold = sum(float(zone.cooling_w.sum()) for zone in year.zones) / 1000.0
    rows = [
        f"{house.name}: one year by the hour",
        f"  heating             {heat:,.0f} kWh",
        f"  cooling             {cold:,.0f} kWh",
    ]
    for zone in year.zones:
        low, high = float(zone.air_c.min()), float(zone.air_c.max())
        rows.append(f"  {zone.name:<19.19} air {_temp(low)} to {_temp(high)}")
    return tuple(rows)


def _area(area_m2: float) -> str:
    return f"{show(area_m2, Dimension.AREA, Units.US)} ({show(area_m2, Dimension.AREA, Units.SI)})"


def _temp(temp_c: float) -> str:
    fahrenheit = show(temp_c, Dimension.TEMPERATURE, Units.US)
    return f"{fahrenheit} ({show(temp_c, Dimension.TEMPERATURE, Units.SI)})"
