"""A simulated year of the plant with stable keys, and its hours as a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.money.bills import YearBill
from retrofit_desk.physics.plant_machines import Fuel
from retrofit_desk.physics.plant_results import FieldYear, NamedStoreYear, PlantYear, SystemYear
from retrofit_desk.physics.results import monthly_kwh, peak
from retrofit_desk.physics.water_heating import HotWaterYear

Array = NDArray[np.float64]
Json = dict[str, object]


@dataclass(frozen=True)
class NamedBill:
    """A year's bill of one fuel by the tariff of that name."""

    fuel: Fuel
    tariff: str
    bill: YearBill


def plant_summary(plant: PlantYear, bills: Sequence[NamedBill], unpriced: Sequence[Fuel]) -> Json:
    """The plant's year in numbers; units stand in the keys. Fuel by its higher heating value."""
    fuels = dict.fromkeys(use.fuel for use in plant.uses)
    return {
        "uses": [{"fuel": use.fuel, "end_use": use.end_use} | _energy(use.power_w) for use in plant.uses],
        "fuels": [{"fuel": fuel} | _energy(plant.hourly_w(fuel)) for fuel in fuels],
        "electricity": _electricity(plant),
        "systems": [_system(system) for system in plant.systems],
        "hot_water": None if plant.hot_water is None else _hot_water(plant.hot_water),
        "stores": [_store(store) for store in plant.stores],
        "bore_fields": [_field(field) for field in plant.fields],
        "unmet": {
            "heating_kwh": _kwh(plant.unserved_heating_w),
            "cooling_kwh": _kwh(plant.unserved_cooling_w),
            "latent_cooling_kwh": _kwh(plant.unserved_latent_w),
            "monthly_heating_kwh": monthly_kwh(plant.unserved_heating_w),
            "monthly_cooling_kwh": monthly_kwh(plant.unserved_cooling_w),
        },
        "bills": [
            {
                "fuel": one.fuel,
                "tariff": one.tariff,
                "annual_cents": one.bill.total_cents,
                "monthly_cents": list(one.bill.month_cents),
            }
            for one in bills
        ],
        "fuels_without_tariff": list(unpriced),
        "notes": list(plant.notes),
    }


def plant_columns(plant: PlantYear) -> list[tuple[str, Array]]:
    """Hourly columns of the plant, (8760,) each."""
    columns = [(f"{use.fuel} {use.end_use} w", use.power_w) for use in plant.uses]
    flows = plant.flows
    columns += [("solar_w", flows.solar_w), ("drawn_w", flows.import_w), ("fed_in_w", flows.export_w)]
    return [
        *columns,
        ("unmet_heating_w", plant.unserved_heating_w),
        ("unmet_cooling_w", plant.unserved_cooling_w),
    ]


def _energy(power_w: Array) -> Json:
    return {"annual_kwh": _kwh(power_w), "monthly_kwh": monthly_kwh(power_w)}


def _electricity(plant: PlantYear) -> Json:
    flows = plant.flows
    top = peak(flows.import_w)
    return {
        "drawn_kwh": _kwh(flows.import_w),
        "fed_in_kwh": _kwh(flows.export_w),
        "solar_kwh": _kwh(flows.solar_w),
        "battery_discharge_kwh": _kwh(flows.discharge_w),
        "monthly_drawn_kwh": monthly_kwh(flows.import_w),
        "monthly_fed_in_kwh": monthly_kwh(flows.export_w),
        "peak_drawn_w": top.power_w,
        "peak_drawn_hour_ending": top.stamp if top.power_w > 0 else None,
    }


def _system(system: SystemYear) -> Json:
    return {
        "name": system.name,
        "mode": "cooling" if system.cooling else "heating",
        "delivered_kwh": _kwh(system.delivered_w),
        "from_store_kwh": _kwh(system.from_store_w),
        "free_cooling_kwh": _kwh(system.free_w),
        "backup_kwh": _kwh(system.backup_w),
        "unmet_kwh": _kwh(system.unmet_w),
        "power_kwh": _kwh(system.power_w),
        "seasonal_cop": system.seasonal_cop,
    }


def _hot_water(water: HotWaterYear) -> Json:
    return {
        "delivered_kwh": _kwh(water.delivered_w),
        "loss_kwh": _kwh(water.loss_w),
        "unmet_kwh": _kwh(water.short_w),
        "unmet_hours": int((water.short_w > 1.0).sum()),
    }


def _store(store: NamedStoreYear) -> Json:
    return {
        "name": store.name,
        "charged_kwh": _kwh(store.year.charge_w),
        "discharged_kwh": store.year.discharged_kwh,
        "loss_kwh": _kwh(store.year.loss_w),
        "electricity_moved_kwh": store.shifted_kwh,
    }


def _field(field: FieldYear) -> Json:
    return {
        "name": field.name,
        "entering_min_c": float(field.entering_c.min()),
        "entering_max_c": float(field.entering_c.max()),
        "heat_from_ground_kwh": _kwh(np.maximum(-field.into_ground_w, 0.0)),
        "heat_into_ground_kwh": _kwh(np.maximum(field.into_ground_w, 0.0)),
        "settled": field.settled,
    }


def _kwh(power_w: Array) -> float:
    return float(power_w.sum()) / 1000.0
