"""What a machine keeps beside its columns, in words: the names behind the keys of `Equipment.details`."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from retrofit_desk.records.models.equipment import EquipmentKind
from retrofit_desk.values.quantity import Dimension


class RadiatorLayout(StrEnum):
    TWO_PIPE = "two-pipe"
    SERIES_LOOP = "series loop"
    STEAM = "steam"


@dataclass(frozen=True)
class MachineFact:
    """One number, SI inside, and between what it can lie (both ends allowed; common practice, no source)."""

    key: str
    words: str
    dimension: Dimension
    low_si: float
    high_si: float


PLATE_FACTS = (
    MachineFact("heating_capacity_w", "Heats", Dimension.POWER, 0.0, 200e3),
    MachineFact("cooling_capacity_w", "Cools", Dimension.POWER, 0.0, 200e3),
    MachineFact("electric_input_w", "Takes in, electric", Dimension.ELECTRIC_POWER, 0.0, 100e3),
    MachineFact("volume_m3", "Holds", Dimension.LIQUID, 0.0, 200.0),
    MachineFact("refrigerant_charge_kg", "Its charge", Dimension.MASS, 0.0, 50.0),
)
"""The columns of a machine that are numbers."""
RATING_BOUNDS = {
    "AFUE": (0.2, 1.0),
    "COP": (0.3, 20.0),
    "EF": (0.2, 6.0),
    "UEF": (0.2, 6.0),
    "EER": (3.0, 60.0),
    "EER2": (3.0, 60.0),
    "SEER": (3.0, 60.0),
    "SEER2": (3.0, 60.0),
    "HSPF": (1.0, 25.0),
    "HSPF2": (1.0, 25.0),
}
"""Between what a rating of that name can lie; another one between 0 and 100 (common practice, no source)."""
RATED_POWER = MachineFact("power", "Power at a rating", Dimension.POWER, 1.0, 200e3)
RATED_AT = MachineFact("temperature", "Temperature of a rating", Dimension.TEMPERATURE, -50.0, 100.0)
TIE_DISTANCE = MachineFact("distance", "Distance of a tie", Dimension.LENGTH, 0.0, 500.0)
PILOT = MachineFact("pilot_w", "Pilot that burns all year", Dimension.POWER, 0.0, 1000.0)
BLOWER = MachineFact("fan_w", "Power of its blower", Dimension.ELECTRIC_POWER, 0.0, 3000.0)
RETURN_FACTS = (
    MachineFact("efficiency_at_30c_return", "Efficiency at 86 °F (30 °C) return", Dimension.SHARE, 0.5, 1.0),
    MachineFact("efficiency_at_60c_return", "Efficiency at 140 °F (60 °C) return", Dimension.SHARE, 0.5, 1.0),
)
"""At the two returns that EN 15502 tests a condensing boiler at: 30 and 60 degC."""
RESET_FACTS = (
    MachineFact("reset_cold_outdoor_c", "Outdoor reset, cold day", Dimension.TEMPERATURE, -50.0, 25.0),
    MachineFact("reset_supply_when_cold_c", "Water on the cold day", Dimension.TEMPERATURE, 20.0, 100.0),
    MachineFact("reset_warm_outdoor_c", "Outdoor reset, mild day", Dimension.TEMPERATURE, -40.0, 30.0),
    MachineFact("reset_supply_when_warm_c", "Water on the mild day", Dimension.TEMPERATURE, 20.0, 100.0),
)
BURNER_FACTS = (
    MachineFact("seasonal_efficiency", "Efficiency over the season", Dimension.SHARE, 0.05, 1.0),
    MachineFact("standby_loss_w", "Lost by jacket and flue while hot and idle", Dimension.POWER, 0.0, 5000.0),
    PILOT,
    MachineFact("burner_w", "Electricity of the burner", Dimension.ELECTRIC_POWER, 0.0, 2000.0),
)
BOILER_FACTS = (
    *BURNER_FACTS,
    *RETURN_FACTS,
    MachineFact("pump_w", "Power of its pump", Dimension.ELECTRIC_POWER, 0.0, 1000.0),
    MachineFact("pipe_loss", "Heat lost by the pipes", Dimension.SHARE, 0.0, 0.6),
    MachineFact("spread_k", "Supply less return, coldest day", Dimension.TEMPERATURE_STEP, 2.0, 40.0),
    *RESET_FACTS,
)
DUCT_FACTS = (
    MachineFact("supply_area_m2", "Supply ducts, outside surface", Dimension.AREA, 0.0, 200.0),
    MachineFact("supply_resistance_m2k_w", "Supply ducts, insulation", Dimension.R_VALUE, 0.05, 5.0),
    MachineFact("supply_leakage", "Supply ducts leak, of the fan flow", Dimension.SHARE, 0.0, 0.9),
    MachineFact("return_area_m2", "Return ducts, outside surface", Dimension.AREA, 0.0, 200.0),
    MachineFact("return_resistance_m2k_w", "Return ducts, insulation", Dimension.R_VALUE, 0.05, 5.0),
    MachineFact("return_leakage", "Return ducts leak, of the fan flow", Dimension.SHARE, 0.0, 0.9),
    MachineFact("flow_m3_s", "Flow of the fan", Dimension.AIR_FLOW, 0.02, 5.0),
)
RADIATOR_FACTS = (
    MachineFact(
        "rated_difference_k", "Output is for water above room by", Dimension.TEMPERATURE_STEP, 10.0, 100.0
    ),
    MachineFact("exponent", "Exponent of the output", Dimension.PLAIN, 1.0, 1.6),
)
KEPT_HOT = (
    MachineFact("set_point_c", "Tank kept at", Dimension.TEMPERATURE, 30.0, 90.0),
    MachineFact("loss_w_k", "Heat lost by the tank", Dimension.HEAT_LOSS_RATE, 0.0, 20.0),
)
TANK_FACTS = (
    *KEPT_HOT,
    MachineFact("recovery_efficiency", "Efficiency of its burner", Dimension.SHARE, 0.1, 1.0),
    PILOT,
    MachineFact("loss_to_zone", "Share of its loss that warms the room", Dimension.SHARE, 0.0, 1.0),
    MachineFact("approach_k", "Boiler water above the tank by", Dimension.TEMPERATURE_STEP, 0.0, 40.0),
)
COOLER_FACTS = (
    MachineFact("rated_outdoor_c", "Rated at an outdoor temperature of", Dimension.TEMPERATURE, 15.0, 55.0),
    BLOWER,
)
CAPACITY_COLD = MachineFact("capacity_at_minus_8c_w", "Heats at 17 °F (−8 °C)", Dimension.POWER, 200.0, 100e3)
HEAT_PUMP_FACTS = (
    CAPACITY_COLD,
    BLOWER,
    MachineFact("off_below_c", "Compressor stops below", Dimension.TEMPERATURE, -50.0, 20.0),
    MachineFact("crankcase_w", "Heater power while it stands", Dimension.ELECTRIC_POWER, 0.0, 500.0),
    MachineFact("backup_w", "Strip heat that helps it", Dimension.ELECTRIC_POWER, 0.0, 50e3),
)
ARRAY_FACTS = (
    MachineFact("dc_w", "Power of its modules", Dimension.ELECTRIC_POWER, 10.0, 200e3),
    MachineFact("tilt_deg", "Tilt, flat is 0", Dimension.ANGLE, 0.0, 90.0),
    MachineFact("azimuth_deg", "Faces, clockwise from north", Dimension.ANGLE, 0.0, 360.0),
    MachineFact("losses", "Lost by dirt, wires and mismatch", Dimension.SHARE, 0.0, 0.9),
    MachineFact("age_years", "Age, years", Dimension.PLAIN, 0.0, 60.0),
)
BATTERY_FACTS = (
    MachineFact("usable_kwh", "From full to empty", Dimension.ENERGY, 0.1, 500.0),
    MachineFact("power_w", "Power in and out", Dimension.ELECTRIC_POWER, 10.0, 100e3),
    MachineFact("round_trip", "Comes back, of what goes in", Dimension.SHARE, 0.3, 1.0),
    MachineFact("reserve", "Kept for outages", Dimension.SHARE, 0.0, 0.95),
)
CHARGER_FACTS = (
    MachineFact("charger_w", "Power of the charger", Dimension.ELECTRIC_POWER, 100.0, 50e3),
    MachineFact("kwh_per_km", "The car takes on the road", Dimension.CAR_POWER, 0.03, 1.0),
    MachineFact("charge_from_hour", "Charges from, hour of the day", Dimension.PLAIN, 0.0, 24.0),
    MachineFact("charge_to_hour", "Charges until, hour of the day", Dimension.PLAIN, 0.0, 24.0),
)
FAN_FACTS = (
    MachineFact("flow_m3_s", "Flow of air through it", Dimension.AIR_FLOW, 0.0, 2.0),
    MachineFact("fan_w", "Power of its fans", Dimension.ELECTRIC_POWER, 0.0, 3000.0),
    MachineFact("sensible_recovery", "Heat that it wins back", Dimension.SHARE, 0.0, 1.0),
    MachineFact("latent_recovery", "Moisture that it wins back", Dimension.SHARE, 0.0, 1.0),
)
HEAT_SHARE = MachineFact("heat_share", "Carries, of the heat of its rooms", Dimension.SHARE, 0.01, 1.0)
RESET_KEYS = tuple(fact.key for fact in RESET_FACTS)
RETURN_KEYS = tuple(fact.key for fact in RETURN_FACTS)
HEATED_BY = "heated_by"
"""The key of the boiler behind a tank without a burner of its own."""
LAYOUT = "layout"
"""How a boiler's radiators are piped: one of `RadiatorLayout`; missing: two pipes."""
PASSES = "passes"
"""The key of the room that the ducts pass through; missing: outdoors."""
DUCTLESS = "ductless"
"""True where an air-source machine gives its heat or cold in the rooms themselves."""
FACTS_OF = {
    EquipmentKind.FURNACE: (*BURNER_FACTS, BLOWER),
    EquipmentKind.BOILER: BOILER_FACTS,
    EquipmentKind.STOVE: (*BURNER_FACTS, HEAT_SHARE),
    EquipmentKind.ELECTRIC_HEATER: (HEAT_SHARE,),
    EquipmentKind.AIR_SOURCE_HEAT_PUMP: HEAT_PUMP_FACTS,
    EquipmentKind.AIR_CONDITIONER: COOLER_FACTS,
    EquipmentKind.DUCTS: DUCT_FACTS,
    EquipmentKind.RADIATORS: RADIATOR_FACTS,
    EquipmentKind.WATER_HEATER: TANK_FACTS,
    EquipmentKind.HEAT_PUMP_WATER_HEATER: (
        *KEPT_HOT,
        MachineFact("cop_rated", "COP at 68 °F (20 °C) air", Dimension.PLAIN, 1.0, 10.0),
        MachineFact("element_w", "Power of its element, 0: none", Dimension.ELECTRIC_POWER, 0.0, 10e3),
    ),
    EquipmentKind.RANGE: (
        MachineFact("efficiency", "Heat that reaches the pan", Dimension.SHARE, 0.05, 1.0),
        PILOT,
    ),
    EquipmentKind.DRYER: (MachineFact("kg_per_kwh", "Laundry dried by a kWh", Dimension.LAUNDRY, 0.2, 10.0),),
    EquipmentKind.PV_ARRAY: ARRAY_FACTS,
    EquipmentKind.INVERTER: (
        MachineFact("ac_limit_w", "Gives the house at most", Dimension.ELECTRIC_POWER, 10.0, 200e3),
    ),
    EquipmentKind.BATTERY: BATTERY_FACTS,
    EquipmentKind.CAR_CHARGER: CHARGER_FACTS,
    EquipmentKind.VENTILATION: FAN_FACTS,
}
_WORDS = {fact.key: fact.words for facts in FACTS_OF.values() for fact in facts}


def words_of(kind: EquipmentKind, key: str) -> str:
    """The name of a fact inside a sentence, as its form calls it."""
    here = {fact.key: fact.words for fact in FACTS_OF.get(kind, ())}
    words = here.get(key) or _WORDS.get(key)
    return f"“{words}”" if words else _OTHERS.get(key, key.replace("_", " "))


_OTHERS = {"hours": "the hours of charging"}
