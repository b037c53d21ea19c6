"""Dimensions and units: what a field understands, what is shown, and in how many digits."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Units(StrEnum):
    """What the owner reads and what a bare number means."""

    US = "US customary"
    SI = "SI"


class Dimension(StrEnum):
    """What kind of quantity a number is; its SI unit stands behind the name."""

    LENGTH = "length"  # m
    THICKNESS = "thickness"  # m, shown in inches or millimeters
    AREA = "area"  # m2
    VOLUME = "volume"  # m3
    LIQUID = "liquid volume"  # m3
    TEMPERATURE = "temperature"  # degree Celsius
    TEMPERATURE_STEP = "temperature difference"  # K
    POWER = "power"  # W, heating and cooling
    ELECTRIC_POWER = "electric power"  # W
    ENERGY = "energy"  # kWh, heat and electricity
    GAS = "gas"  # kWh of fuel, shown in therms
    OIL = "heating oil"  # kWh of fuel, shown in gallons
    PROPANE = "propane"  # kWh of fuel, shown in gallons
    U_VALUE = "U-value"  # W/(m2 K)
    R_VALUE = "R-value"  # m2 K/W
    CONDUCTIVITY = "conductivity"  # W/(m K)
    HEAT_LOSS_RATE = "heat loss rate"  # W/K
    LINEAR_LOSS = "heat loss by length"  # W/(m K)
    HEAT_FLUX = "heat per area"  # W/m2
    AIR_FLOW = "air flow"  # m3/s
    WATER_FLOW = "water flow"  # m3/s
    PRESSURE = "pressure"  # Pa, air
    WATER_PRESSURE = "water pressure"  # Pa
    SPEED = "speed"  # m/s
    MASS = "mass"  # kg
    DENSITY = "density"  # kg/m3
    ANGLE = "angle"  # degree
    SHARE = "share"  # 1
    AIR_CHANGES = "air changes"  # 1/h
    CURRENT = "current"  # A
    VOLTAGE = "voltage"  # V
    TIME = "time"  # h
    DISTANCE = "distance"  # km
    CAR_POWER = "power by distance"  # kWh/km
    CAR_REACH = "distance by fuel"  # km/L
    LIQUID_PRICE = "price of a liquid"  # cents/L
    FLUID_FLOW = "mass flow"  # kg/s
    DIFFUSIVITY = "diffusivity"  # m2/s
    HEAT_CAPACITY = "specific heat"  # J/(kg K)
    LAUNDRY = "laundry by power"  # kg/kWh
    PLAIN = "number"  # 1: COP, SHGC, HSPF2, counts


@dataclass(frozen=True)
class Unit:
    """One way to write a unit: SI value = number * factor + offset."""

    names: tuple[str, ...]  # the first one is shown
    factor: float
    offset: float = 0.0


FOOT_M, INCH_M = 0.3048, 0.0254
BTU_J = 1055.05585262  # International Table Btu
POUND_KG = 0.45359237
GALLON_M3 = 0.003785411784  # US liquid gallon
MILE_KM = 1.609344
BTU_H_W = BTU_J / 3600
KELVIN_PER_F = 5 / 9

_POWER = (
    Unit(("Btu/h", "btuh", "btu/hr"), BTU_H_W),
    Unit(("kBtu/h", "kbtuh", "kbtu/hr", "mbh"), BTU_H_W * 1000),
    Unit(("tons", "ton", "ton of cooling"), BTU_H_W * 12000),
    Unit(("W", "watt", "watts"), 1.0),
    Unit(("kW", "kilowatt"), 1000.0),
)
_LENGTH = (
    Unit(("ft", "'", "′", "foot", "feet"), FOOT_M),
    Unit(("in", '"', "″", "inch", "inches", "in."), INCH_M),
    Unit(("m", "meter", "meters"), 1.0),
    Unit(("cm",), 0.01),
    Unit(("mm",), 0.001),
)
_ENERGY = (
    Unit(("kWh",), 1.0),
    Unit(("MWh",), 1000.0),
    Unit(("therms", "therm", "thm", "th"), BTU_J * 1e5 / 3.6e6),
    Unit(("kBtu",), BTU_J * 1e3 / 3.6e6),
    Unit(("MMBtu",), BTU_J * 1e6 / 3.6e6),
    Unit(("MJ",), 1 / 3.6),
    Unit(("GJ",), 1000 / 3.6),
)
_PRESSURE = (
    Unit(("Pa",), 1.0),
    Unit(("kPa",), 1000.0),
    Unit(("bar",), 1e5),
    Unit(("psi", "psig"), POUND_KG * 9.80665 / INCH_M**2),
    Unit(("inH2O", "in wc", "iwc", "in w.c."), 249.08891),
)
_FLOW = (
    Unit(("cfm", "ft3/min"), FOOT_M**3 / 60),
    Unit(("gpm", "gal/min"), GALLON_M3 / 60),
    Unit(("L/s", "l/s"), 0.001),
    Unit(("L/min", "l/min"), 0.001 / 60),
    Unit(("m3/h", "m³/h"), 1 / 3600),
    Unit(("m3/s", "m³/s"), 1.0),
)
_VOLUME = (
    Unit(("ft³", "ft3", "cu ft", "cubic feet"), FOOT_M**3),
    Unit(("gal", "gallon", "gallons"), GALLON_M3),
    Unit(("m³", "m3"), 1.0),
    Unit(("L", "l", "liter", "liters"), 0.001),
)


def _gallon(mmbtu: float) -> Unit:
    """A gallon of fuel by its higher heating value: 40 CFR 98, table C-1 (as in the table of fuels)."""
    return Unit(("gal", "gallon", "gallons"), mmbtu * BTU_J * 1e6 / 3.6e6)


# Units that a field of each dimension understands. Factors: NIST SP 811 (2008), appendix B.
UNITS: dict[Dimension, tuple[Unit, ...]] = {
    Dimension.LENGTH: _LENGTH,
    Dimension.THICKNESS: _LENGTH,
    Dimension.AREA: (
        Unit(("ft²", "ft2", "sq ft", "sqft", "sf"), FOOT_M**2),
        Unit(("in²", "in2", "sq in"), INCH_M**2),
        Unit(("m²", "m2", "sq m"), 1.0),
        Unit(("cm²", "cm2"), 1e-4),
    ),
    Dimension.VOLUME: _VOLUME,
    Dimension.LIQUID: _VOLUME,
    Dimension.TEMPERATURE: (
        Unit(("°F", "F", "degF", "deg F"), KELVIN_PER_F, -32 * KELVIN_PER_F),
        Unit(("°C", "C", "degC", "deg C"), 1.0),
    ),
    Dimension.TEMPERATURE_STEP: (
        Unit(("°F", "F", "degF", "deg F"), KELVIN_PER_F),
        Unit(("K", "°C", "C", "degC", "deg C"), 1.0),
    ),
    Dimension.POWER: _POWER,
    Dimension.ELECTRIC_POWER: (
        *_POWER,
        Unit(("VA",), 1.0),
        Unit(("kVA",), 1000.0),
        Unit(("hp",), 745.69987),
    ),
    Dimension.ENERGY: _ENERGY,
    Dimension.GAS: _ENERGY,
    Dimension.OIL: (_gallon(0.138), *_ENERGY),
    Dimension.PROPANE: (_gallon(0.091), *_ENERGY),
    Dimension.U_VALUE: (
        Unit(
            ("Btu/(h·ft²·°F)", "U-", "U", "Btu/(h ft2 F)", "Btu/h-ft2-F"), BTU_H_W / FOOT_M**2 / KELVIN_PER_F
        ),
        Unit(("W/(m²·K)", "W/m2K", "W/(m2 K)", "W/m²K", "W/m2-K"), 1.0),
    ),
    Dimension.R_VALUE: (
        Unit(("R-", "R", "h·ft²·°F/Btu", "h ft2 F/Btu"), FOOT_M**2 * KELVIN_PER_F / BTU_H_W),
        Unit(("m²·K/W", "RSI", "RSI-", "m2K/W", "m2 K/W", "m²K/W"), 1.0),
    ),
    Dimension.CONDUCTIVITY: (
        Unit(("Btu·in/(h·ft²·°F)", "Btu in/(h ft2 F)"), BTU_H_W * INCH_M / FOOT_M**2 / KELVIN_PER_F),
        Unit(("W/(m·K)", "W/mK", "W/(m K)", "W/m-K"), 1.0),
    ),
    Dimension.LINEAR_LOSS: (
        Unit(("Btu/(h·ft·°F)", "Btu/h-ft-F", "Btu/(h ft F)"), BTU_H_W / FOOT_M / KELVIN_PER_F),
        Unit(("W/(m·K)", "W/mK", "W/(m K)", "W/m-K"), 1.0),
    ),
    Dimension.HEAT_LOSS_RATE: (
        Unit(("Btu/(h·°F)", "Btu/h-F", "Btu/(h F)"), BTU_H_W / KELVIN_PER_F),
        Unit(("W/K",), 1.0),
    ),
    Dimension.HEAT_FLUX: (
        Unit(("Btu/(h·ft²)", "Btu/h-ft2", "Btu/(h ft2)"), BTU_H_W / FOOT_M**2),
        Unit(("W/m²", "W/m2"), 1.0),
    ),
    Dimension.AIR_FLOW: _FLOW,
    Dimension.WATER_FLOW: _FLOW,
    Dimension.PRESSURE: _PRESSURE,
    Dimension.WATER_PRESSURE: _PRESSURE,
    Dimension.SPEED: (
        Unit(("mph",), 0.44704),
        Unit(("ft/s",), FOOT_M),
        Unit(("m/s",), 1.0),
        Unit(("km/h",), 1 / 3.6),
    ),
    Dimension.MASS: (
        Unit(("lb", "lbs", "pound", "pounds"), POUND_KG),
        Unit(("oz",), POUND_KG / 16),
        Unit(("kg",), 1.0),
        Unit(("g",), 0.001),
        Unit(("t", "tonne"), 1000.0),
    ),
    Dimension.DENSITY: (
        Unit(("lb/ft³", "lb/ft3", "pcf"), POUND_KG / FOOT_M**3),
        Unit(("kg/m³", "kg/m3"), 1.0),
    ),
    Dimension.ANGLE: (Unit(("°", "deg", "degrees"), 1.0),),
    Dimension.SHARE: (Unit(("%", "percent"), 0.01),),
    Dimension.AIR_CHANGES: (Unit(("ACH", "1/h", "/h"), 1.0),),
    Dimension.CURRENT: (Unit(("A", "amp", "amps"), 1.0),),
    Dimension.VOLTAGE: (Unit(("V", "volt", "volts"), 1.0),),
    Dimension.TIME: (
        Unit(("h", "hr", "hours", "hour"), 1.0),
        Unit(("min", "minutes"), 1 / 60),
        Unit(("s", "sec"), 1 / 3600),
        Unit(("d", "days", "day"), 24.0),
    ),
    Dimension.DISTANCE: (Unit(("mi", "mile", "miles"), MILE_KM), Unit(("km",), 1.0)),
    Dimension.CAR_POWER: (
        Unit(("kWh/mi", "kWh/mile"), 1.0 / MILE_KM),
        Unit(("kWh/100 mi",), 0.01 / MILE_KM),
        Unit(("kWh/km",), 1.0),
        Unit(("kWh/100 km",), 0.01),
    ),
    Dimension.CAR_REACH: (
        Unit(("mpg", "mi/gal"), MILE_KM / (GALLON_M3 * 1000)),
        Unit(("km/L", "km/l"), 1.0),
    ),
    Dimension.LIQUID_PRICE: (
        Unit(("$/gal", "$ per gal"), 0.1 / GALLON_M3),
        Unit(("$/L", "$/l"), 100.0),
    ),
    Dimension.FLUID_FLOW: (Unit(("lb/min",), POUND_KG / 60), Unit(("kg/s",), 1.0)),
    Dimension.DIFFUSIVITY: (
        Unit(("ft²/day", "ft2/day"), FOOT_M**2 / 86400),
        Unit(("mm²/s", "mm2/s"), 1e-6),
        Unit(("m²/s", "m2/s"), 1.0),
    ),
    Dimension.HEAT_CAPACITY: (
        Unit(("Btu/(lb·°F)", "Btu/lb-F"), BTU_J / POUND_KG / KELVIN_PER_F),
        Unit(("J/(kg·K)", "J/kgK"), 1.0),
    ),
    Dimension.LAUNDRY: (Unit(("lb/kWh",), POUND_KG), Unit(("kg/kWh",), 1.0)),
    Dimension.PLAIN: (Unit(("",), 1.0),),
}

# What is shown, and what a bare number means: (US customary, SI), by the first name of a unit above.
SHOWN: dict[Dimension, tuple[str, str]] = {
    Dimension.LENGTH: ("ft", "m"),
    Dimension.THICKNESS: ("in", "mm"),
    Dimension.AREA: ("ft²", "m²"),
    Dimension.VOLUME: ("ft³", "m³"),
    Dimension.LIQUID: ("gal", "L"),
    Dimension.TEMPERATURE: ("°F", "°C"),
    Dimension.TEMPERATURE_STEP: ("°F", "K"),
    Dimension.POWER: ("Btu/h", "kW"),
    Dimension.ELECTRIC_POWER: ("kW", "kW"),
    Dimension.ENERGY: ("kWh", "kWh"),
    Dimension.GAS: ("therms", "kWh"),
    Dimension.OIL: ("gal", "kWh"),
    Dimension.PROPANE: ("gal", "kWh"),
    Dimension.U_VALUE: ("Btu/(h·ft²·°F)", "W/(m²·K)"),
    Dimension.R_VALUE: ("R-", "m²·K/W"),
    Dimension.CONDUCTIVITY: ("Btu·in/(h·ft²·°F)", "W/(m·K)"),
    Dimension.HEAT_LOSS_RATE: ("Btu/(h·°F)", "W/K"),
    Dimension.LINEAR_LOSS: ("Btu/(h·ft·°F)", "W/(m·K)"),
    Dimension.HEAT_FLUX: ("Btu/(h·ft²)", "W/m²"),
    Dimension.AIR_FLOW: ("cfm", "L/s"),
    Dimension.WATER_FLOW: ("gpm", "L/min"),
    Dimension.PRESSURE: ("Pa", "Pa"),
    Dimension.WATER_PRESSURE: ("psi", "kPa"),
    Dimension.SPEED: ("mph", "m/s"),
    Dimension.MASS: ("lb", "kg"),
    Dimension.DENSITY: ("lb/ft³", "kg/m³"),
    Dimension.ANGLE: ("°", "°"),
    Dimension.SHARE: ("%", "%"),
    Dimension.AIR_CHANGES: ("ACH", "ACH"),
    Dimension.CURRENT: ("A", "A"),
    Dimension.VOLTAGE: ("V", "V"),
    Dimension.TIME: ("h", "h"),
    Dimension.DISTANCE: ("mi", "km"),
    Dimension.CAR_POWER: ("kWh/mi", "kWh/km"),
    Dimension.CAR_REACH: ("mpg", "km/L"),
    Dimension.LIQUID_PRICE: ("$/gal", "$/L"),
    Dimension.FLUID_FLOW: ("lb/min", "kg/s"),
    Dimension.DIFFUSIVITY: ("ft²/day", "mm²/s"),
    Dimension.HEAT_CAPACITY: ("Btu/(lb·°F)", "J/(kg·K)"),
    Dimension.LAUNDRY: ("lb/kWh", "kg/kWh"),
    Dimension.PLAIN: ("", ""),
}

SMALL: dict[Dimension, str] = {Dimension.ELECTRIC_POWER: "W"}
"""The unit in which less than one of the usual unit is shown: a pump takes 90 W."""
# Digits that mean something to a builder, where three significant ones are not it.
ONE_OF = {"therms": "therm", "cords": "cord"}
"""Units that are words: how one of them is called."""

DECIMALS: dict[str, int] = {
    "ft": 1,
    "in": 2,
    "mm": 0,
    "m": 2,
    "°F": 0,
    "°C": 1,
    "K": 1,
    "°": 0,
    "%": 0,
    "Pa": 0,
    "A": 0,
    "V": 0,
    "R-": 1,
}
EXAMPLES: dict[Dimension, str] = {
    Dimension.LENGTH: "12' 6\" or 3.81 m",
    Dimension.THICKNESS: "3.5 in or 90 mm",
    Dimension.AREA: "140 sq ft or 13 m2",
    Dimension.VOLUME: "1100 cu ft or 31 m3",
    Dimension.LIQUID: "50 gal or 190 L",
    Dimension.TEMPERATURE: "68 F or 20 C",
    Dimension.TEMPERATURE_STEP: "10 F or 5.5 K",
    Dimension.POWER: "40 kBtu/h or 12 kW",
    Dimension.ELECTRIC_POWER: "1.2 kW or 1200 W",
    Dimension.ENERGY: "850 kWh or 40 therms",
    Dimension.GAS: "40 therms or 1170 kWh",
    Dimension.U_VALUE: "0.30 or 1.7 W/m2K",
    Dimension.R_VALUE: "R-13 or 2.3 RSI",
    Dimension.LINEAR_LOSS: "0.09 or 0.15 W/mK",
    Dimension.AIR_FLOW: "1200 cfm or 570 L/s",
    Dimension.WATER_FLOW: "1.5 gpm or 5.7 L/min",
    Dimension.PRESSURE: "50 Pa or 0.2 inH2O",
    Dimension.WATER_PRESSURE: "60 psi or 414 kPa",
    Dimension.SHARE: "25%",
}

_OF_FUEL = {"gas": Dimension.GAS, "oil": Dimension.OIL, "propane": Dimension.PROPANE}


def fuel_dimension(fuels: Iterable[str]) -> Dimension:
    """How fuel burned is shown: one fuel as it is sold; several together, wood or none, by their heat."""
    burned = set(fuels)
    return _OF_FUEL.get(burned.pop(), Dimension.GAS) if len(burned) == 1 else Dimension.GAS
