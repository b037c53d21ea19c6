"""First ideas for a new house, with assumed numbers, so that a first savings sum has something to weigh."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from retrofit_desk.records import models as m
from retrofit_desk.records.models import EquipmentKind, Fuel, SurfaceKind
from retrofit_desk.rules.states import MeasureState
from retrofit_desk.services.materials import materials

# Usual aims and machines; common practice, no source
LEAKAGE_LEFT = 0.7
ATTIC_DEPTH_M = 0.25
HEAT_PUMP_W_M2, COOLING_W_M2 = 95.0, 60.0
COP_MILD, COP_COLD, CAPACITY_LEFT_IN_COLD, COOLING_COP = 4.0, 2.5, 0.75, 3.6
TANK_L, TANK_LOSS_W_K, COMPRESSOR_W, TANK_COP, ELEMENT_W, TANK_C = 250.0, 1.7, 1500.0, 3.4, 4500.0, 52.0
INDUCTION_EFFICIENCY = 0.85
ROOF_SHARE, MODULE_W, W_PER_M2_OF_MODULE = 0.6, 410.0, 210.0
WHY = "An idea to begin with; its numbers are assumed. Change or drop it."


def first_ideas(
    rooms: Sequence[m.Room], plant: Sequence[m.Equipment], test: m.LeakageTest, gas_account: str, today: date
) -> list[m.Measure]:
    """Measures in the state *idea*, in the order of a usual line-up."""
    heated = [room for room in rooms if room.is_heated]
    faces = [surface for room in rooms for surface in room.surfaces]
    ceilings = [one for one in faces if one.kind is SurfaceKind.CEILING]
    roofs = [one for one in faces if one.kind is SurfaceKind.ROOF and one.azimuth_deg == 180.0]
    burned = {one.kind for one in plant if one.fuel not in (None, Fuel.ELECTRICITY)}
    ideas = [
        ("air-sealing", "air_sealing", "Air sealing", _sealing(test), _rooms(heated)),
        (
            "attic-insulation",
            "continuous_insulation",
            "More insulation on the attic floor",
            _attic(ceilings),
            _faces(ceilings),
        ),
        ("heat-pump", "air_source_heat_pump", "Air-source heat pump", _heat_pump(heated), _rooms(heated)),
        ("hot-water", "heat_pump_water_heater", "Heat-pump water heater", _tank(rooms), ()),
    ]
    if EquipmentKind.RANGE in burned:
        inputs = {"replaces": ["range"], "efficiency": INDUCTION_EFFICIENCY}
        ideas.append(("induction", "induction_range", "Induction range", inputs, ()))
    ideas.append(
        ("solar", "photovoltaics", "Solar electricity on the south roof", _solar(roofs), _faces(roofs))
    )
    if gas_account:
        ideas.append(("gas-off", "gas_account_closed", "Gas account closed", {"account": gas_account}, ()))
    return [_idea(position, *idea, today) for position, idea in enumerate(ideas)]


def _idea(
    position: int,
    key: str,
    kind: str,
    title: str,
    inputs: dict[str, Any],
    places: Sequence[m.MeasurePlace],
    today: date,
) -> m.Measure:
    return m.Measure(
        key=key,
        kind=kind,
        title=title,
        why=WHY,
        inputs=inputs,
        position=position,
        places=list(places),
        changes=[m.MeasureStateChange(before=None, after=MeasureState.IDEA, on=today, reason=WHY)],
    )


def _rooms(rooms: Sequence[m.Room]) -> list[m.MeasurePlace]:
    return [m.MeasurePlace(room_id=room.id) for room in rooms]


def _faces(surfaces: Sequence[m.Surface]) -> list[m.MeasurePlace]:
    return [m.MeasurePlace(room_id=one.room_id, surface_id=one.id) for one in surfaces]


def _sealing(test: m.LeakageTest) -> dict[str, Any]:
    return {"flow_50pa_m3_s": round(test.flow_50pa_m3_s * LEAKAGE_LEFT, 3)}


def _attic(ceilings: Sequence[m.Surface]) -> dict[str, Any]:
    cellulose = materials()["cellulose_blown"]
    return {
        "surfaces": [one.key for one in ceilings],
        "thickness_m": ATTIC_DEPTH_M,
        "material_key": cellulose.key,
        "conductivity_w_mk": cellulose.conductivity_w_mk,
        "density_kg_m3": cellulose.density_kg_m3,
        "specific_heat_j_kgk": cellulose.specific_heat_j_kgk,
    }


def _heat_pump(heated: Sequence[m.Room]) -> dict[str, Any]:
    area = sum(room.floor_area_m2 for room in heated)
    capacity = HEAT_PUMP_W_M2 * area
    is_cooled = any(room.is_cooled for room in heated)
    return {
        "heads": 3,
        "capacity_at_8c_w": capacity,
        "cop_at_8c": COP_MILD,
        "capacity_at_minus_8c_w": capacity * CAPACITY_LEFT_IN_COLD,
        "cop_at_minus_8c": COP_COLD,
        "cooling_capacity_w": COOLING_W_M2 * area if is_cooled else None,
        "cooling_cop": COOLING_COP if is_cooled else None,
        "refrigerant": "R-32",
        "refrigerant_charge_kg": 2.5,
    }


def _tank(rooms: Sequence[m.Room]) -> dict[str, Any]:
    below = [room for room in rooms if room.kind is m.RoomKind.BASEMENT]
    return {
        "replaces": ["water-heater"],
        "volume_l": TANK_L,
        "loss_w_k": TANK_LOSS_W_K,
        "compressor_heat_w": COMPRESSOR_W,
        "cop_rated": TANK_COP,
        "element_w": ELEMENT_W,
        "set_point_c": TANK_C,
        "stands_in": (below or list(rooms))[0].key,
        "refrigerant": "R-134a",
        "refrigerant_charge_kg": 0.7,
    }


def _solar(roofs: Sequence[m.Surface]) -> dict[str, Any]:
    modules = [max(1, int(one.area_m2 * ROOF_SHARE * W_PER_M2_OF_MODULE / MODULE_W)) for one in roofs]
    return {
        "arrays": [
            {
                "name": roof.name,
                "dc_w": count * MODULE_W,
                "tilt_deg": roof.tilt_deg,
                "azimuth_deg": roof.azimuth_deg,
                "module_count": count,
            }
            for roof, count in zip(roofs, modules, strict=True)
        ],
        "inverter_ac_limit_w": sum(modules) * MODULE_W * 0.85,
        "inverter_efficiency": 0.965,
        "losses_fraction": 0.14,
        "temp_coefficient_per_k": -0.0035,
    }
