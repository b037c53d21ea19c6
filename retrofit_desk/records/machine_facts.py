"""What a machine keeps beside its columns, in words: the names behind the keys of `Equipment.details`."""

from __future__ import annotations

from dataclasses import dataclass

from retrofit_desk.records.models.equipment import EquipmentKind
from retrofit_desk.values.quantity import Dimension


@dataclass(frozen=True)
class MachineFact:
    """One number, SI inside."""

    key: str
    words: str
    dimension: Dimension


BOILER_FACTS = (
    MachineFact("seasonal_efficiency", "Efficiency over the season", Dimension.SHARE),
    MachineFact("pump_w", "Power of its pump", Dimension.ELECTRIC_POWER),
    MachineFact("pipe_loss", "Heat lost by the pipes", Dimension.SHARE),
    MachineFact("reset_cold_outdoor_c", "Outdoor reset, cold day", Dimension.TEMPERATURE),
    MachineFact("reset_supply_when_cold_c", "Water on the cold day", Dimension.TEMPERATURE),
    MachineFact("reset_warm_outdoor_c", "Outdoor reset, mild day", Dimension.TEMPERATURE),
    MachineFact("reset_supply_when_warm_c", "Water on the mild day", Dimension.TEMPERATURE),
)
TANK_FACTS = (
    MachineFact("set_point_c", "Tank kept at", Dimension.TEMPERATURE),
    MachineFact("loss_w_k", "Heat lost by the tank", Dimension.HEAT_LOSS_RATE),
)
RESET_KEYS = tuple(fact.key for fact in BOILER_FACTS if fact.key.startswith("reset_"))
HEATED_BY = "heated_by"
"""The key of the boiler behind a tank without a burner of its own."""
FACTS_OF = {EquipmentKind.BOILER: BOILER_FACTS, EquipmentKind.WATER_HEATER: TANK_FACTS}
_WORDS = {fact.key: fact.words for facts in FACTS_OF.values() for fact in facts}
_OTHERS = {
    "recovery_efficiency": "the efficiency of its burner",
    "flow_m3_s": "the flow of air through it",
    "rated_outdoor_c": "the outdoor temperature of its rating",
    "dc_w": "the power of its modules",
    "tilt_deg": "the tilt of its modules",
    "azimuth_deg": "which way its modules face",
    "ac_limit_w": "its limit on the house side",
    "usable_kwh": "what it can give from full to empty",
    "power_w": "its power",
    "charger_w": "the power of its charger",
    "kwh_per_km": "what the car uses on the road",
    "hours": "the hours of charging",
    "efficiency": "its efficiency",
    "kg_per_kwh": "the laundry dried for each kWh",
}


def words_of(key: str) -> str:
    """The name of a fact inside a sentence."""
    if key in _WORDS:
        return f"“{_WORDS[key]}”"
    return _OTHERS.get(key, key.replace("_", " "))
