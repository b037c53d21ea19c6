"""A described house and its simulated year in a few lines."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from retrofit_desk.physics.description import House
from retrofit_desk.values.cents import whole_dollars_text
from retrofit_desk.values.quantity import Dimension, Units, count_text, show, show_about

if TYPE_CHECKING:
    from retrofit_desk.physics.plant_results import PlantYear
    from retrofit_desk.physics.results import Peak
    from retrofit_desk.services.described_carbon import DescribedCarbon
    from retrofit_desk.services.described_house import DescribedYear


LEAST_SHOWN_KWH = 0.5


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
    rows.append(f"  plant               {_plant_words(house)}")
    return (*rows, *_taken_lines(house))


def _plant_words(house: House) -> str:
    if house.plant is None:
        return "not described: run-year gives loads only"
    named = [one.name for one in house.plant.machines]
    water = house.plant.water_heater
    named += [f"{water.kind.replace('_', ' ')} water heater"] if water else []
    return ", ".join(named) or "no machine"


def house_data(house: House) -> dict[str, Any]:
    """The same with stable keys, units in the names."""
    from retrofit_desk.exchange.house_summary import house_summary

    return house_summary(house) | {"taken_values": taken_data(house)}


def described_lines(found: DescribedYear) -> tuple[str, ...]:
    """Loads of the year with their peaks, each zone's temperatures, then the plant and its bills."""
    year = found.year
    rows = [
        f"{found.house.name}: one year by the hour, on the weather of {found.weather.name}",
        f"  heating             {_load(year.heating_kwh, year.peak_heating)}",
        f"  cooling             {_load(year.cooling_kwh, year.peak_cooling)}",
    ]
    for zone in year.zones:
        low, high = float(zone.air_c.min()), float(zone.air_c.max())
        rows.append(f"  {zone.name:<19.19} air {_temp(low)} to {_temp(high)}")
    if found.plant is not None:
        rows += _plant_lines(found.plant)
        rows += [
            f"  {'bill, ' + one.fuel:<19} {whole_dollars_text(one.bill.total_cents)} a year by {one.tariff}"
            for one in found.bills
        ]
        if found.carbon is not None:
            rows += _carbon_lines(found.carbon)
        rows += [f"  no tariff named for {fuel}: its bill is not known" for fuel in found.unpriced]
    if not year.start_settled:
        rows.append("  The start did not settle: the house stores heat for longer than the run-in lasts.")
    return (*rows, *_taken_lines(found.house))


def described_data(found: DescribedYear, *, hourly: bool) -> dict[str, Any]:
    """The same with stable keys, units in the names."""
    from retrofit_desk.exchange.plant_report import plant_summary
    from retrofit_desk.exchange.year_report import hours, summary

    told = summary(found.year) | {
        "weather_source": found.weather.source,
        "taken_values": taken_data(found.house),
        "plant": None if found.plant is None else plant_summary(found.plant, found.bills, found.unpriced),
        "carbon": None if found.carbon is None else _carbon_data(found.carbon),
    }
    return told | {"hourly": hours(found.year)} if hourly else told


def _carbon_lines(carbon: DescribedCarbon) -> list[str]:
    power, fuel = (show_about(kg, Dimension.MASS, Units.US) for kg in (carbon.power_kg, carbon.fuel_kg))
    flat = show_about(carbon.power_at_one_rate_kg, Dimension.MASS, Units.US)
    how = f"hour by hour ({flat} at one rate)" if carbon.by_hour else "at one rate for all hours"
    return [
        f"  carbon of power     {power} CO2e a year, {carbon.region}, {how}",
        f"  carbon of fuel      {fuel} CO2e a year, as burned",
    ]


def _carbon_data(carbon: DescribedCarbon) -> dict[str, Any]:
    return {
        "region": carbon.region,
        "power_is_by_hour": carbon.by_hour,
        "power_kg_co2e": carbon.power_kg,
        "power_at_one_rate_kg_co2e": carbon.power_at_one_rate_kg,
        "fuel_kg_co2e": carbon.fuel_kg,
        "sources": list(carbon.sources),
    }


def taken_data(house: House) -> list[dict[str, Any]]:
    """Usual values taken where nothing was stated."""
    from retrofit_desk.exchange.taken_values import taken_values

    return [{"key": one.key, "value": one.value, "count": one.count} for one in taken_values(house)]


def _taken_lines(house: House) -> list[str]:
    count = sum(one["count"] for one in taken_data(house))
    words = count_text(count, "usual value")
    return (
        [f"  taken as usual      {words} that the description does not state; --json lists them"]
        if count
        else []
    )


def _plant_lines(plant: PlantYear) -> list[str]:
    rows = []
    for use in sorted(plant.uses, key=lambda use: (use.fuel, -float(use.power_w.sum()))):
        if (kwh := float(use.power_w.sum()) / 1000.0) >= LEAST_SHOWN_KWH:
            rows.append(f"  {use.end_use:<19} {kwh:,.0f} kWh of {use.fuel}")
    if plant.solar_kwh:
        rows.append(
            f"  roof                {plant.solar_kwh:,.0f} kWh, {plant.export_kwh:,.0f} kWh of it fed in"
        )
    rows.append(f"  drawn from the grid {plant.import_kwh:,.0f} kWh")
    rows.append(f"  not met             {plant.unmet_kwh:,.0f} kWh of heating and cooling")
    return rows + [f"  {note}" for note in plant.notes]


def _load(kwh: float, top: Peak) -> str:
    if top.power_w <= 0.0:
        return "none"
    watts = show(top.power_w, Dimension.POWER, Units.US)
    return f"{kwh:,.0f} kWh, at most {top.power_w / 1000.0:,.1f} kW ({watts}) in the hour to {top.stamp}"


def _area(area_m2: float) -> str:
    return f"{show(area_m2, Dimension.AREA, Units.US)} ({show(area_m2, Dimension.AREA, Units.SI)})"


def _temp(temp_c: float) -> str:
    fahrenheit = show(temp_c, Dimension.TEMPERATURE, Units.US)
    return f"{fahrenheit} ({show(temp_c, Dimension.TEMPERATURE, Units.SI)})"
