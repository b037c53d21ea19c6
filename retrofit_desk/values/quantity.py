"""Typed quantities into SI, and SI into the words of US customary or SI units."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from math import floor, isfinite, log10

from retrofit_desk.values.errors import DeskError


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
    U_VALUE = "U-value"  # W/(m2 K)
    R_VALUE = "R-value"  # m2 K/W
    CONDUCTIVITY = "conductivity"  # W/(m K)
    HEAT_LOSS_RATE = "heat loss rate"  # W/K
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
    PLAIN = "number"  # 1: COP, SHGC, HSPF2, counts


@dataclass(frozen=True)
class Quantity:
    """A number in the SI unit of its dimension."""

    value_si: float
    dimension: Dimension


class UnitNotKnown(DeskError):
    """The unit typed is none of those that the field understands."""


class NotANumber(DeskError):
    """The text typed holds no number."""


class OutOfReach(DeskError):
    """The number is impossible for this field."""


@dataclass(frozen=True)
class _Unit:
    """One way to write a unit: SI value = number * factor + offset."""

    names: tuple[str, ...]  # the first one is shown
    factor: float
    offset: float = 0.0


FOOT_M, INCH_M = 0.3048, 0.0254
BTU_J = 1055.05585262  # International Table Btu
POUND_KG = 0.45359237
GALLON_M3 = 0.003785411784  # US liquid gallon
BTU_H_W = BTU_J / 3600
KELVIN_PER_F = 5 / 9

_POWER = (
    _Unit(("Btu/h", "btuh", "btu/hr"), BTU_H_W),
    _Unit(("kBtu/h", "kbtuh", "kbtu/hr", "mbh"), BTU_H_W * 1000),
    _Unit(("tons", "ton", "ton of cooling"), BTU_H_W * 12000),
    _Unit(("W", "watt", "watts"), 1.0),
    _Unit(("kW", "kilowatt"), 1000.0),
)
_LENGTH = (
    _Unit(("ft", "'", "′", "foot", "feet"), FOOT_M),
    _Unit(("in", '"', "″", "inch", "inches", "in."), INCH_M),
    _Unit(("m", "meter", "meters"), 1.0),
    _Unit(("cm",), 0.01),
    _Unit(("mm",), 0.001),
)
_ENERGY = (
    _Unit(("kWh",), 1.0),
    _Unit(("MWh",), 1000.0),
    _Unit(("therms", "therm", "thm", "th"), BTU_J * 1e5 / 3.6e6),
    _Unit(("kBtu",), BTU_J * 1e3 / 3.6e6),
    _Unit(("MMBtu",), BTU_J * 1e6 / 3.6e6),
    _Unit(("MJ",), 1 / 3.6),
    _Unit(("GJ",), 1000 / 3.6),
)
_PRESSURE = (
    _Unit(("Pa",), 1.0),
    _Unit(("kPa",), 1000.0),
    _Unit(("bar",), 1e5),
    _Unit(("psi", "psig"), POUND_KG * 9.80665 / INCH_M**2),
    _Unit(("inH2O", "in wc", "iwc", "in w.c."), 249.08891),
)
_FLOW = (
    _Unit(("cfm", "ft3/min"), FOOT_M**3 / 60),
    _Unit(("gpm", "gal/min"), GALLON_M3 / 60),
    _Unit(("L/s", "l/s"), 0.001),
    _Unit(("L/min", "l/min"), 0.001 / 60),
    _Unit(("m3/h", "m³/h"), 1 / 3600),
    _Unit(("m3/s", "m³/s"), 1.0),
)
_VOLUME = (
    _Unit(("ft³", "ft3", "cu ft", "cubic feet"), FOOT_M**3),
    _Unit(("gal", "gallon", "gallons"), GALLON_M3),
    _Unit(("m³", "m3"), 1.0),
    _Unit(("L", "l", "liter", "liters"), 0.001),
)

# Units that a field of each dimension understands. Factors: NIST SP 811 (2008), appendix B.
_UNITS: dict[Dimension, tuple[_Unit, ...]] = {
    Dimension.LENGTH: _LENGTH,
    Dimension.THICKNESS: _LENGTH,
    Dimension.AREA: (
        _Unit(("ft²", "ft2", "sq ft", "sqft", "sf"), FOOT_M**2),
        _Unit(("in²", "in2", "sq in"), INCH_M**2),
        _Unit(("m²", "m2", "sq m"), 1.0),
        _Unit(("cm²", "cm2"), 1e-4),
    ),
    Dimension.VOLUME: _VOLUME,
    Dimension.LIQUID: _VOLUME,
    Dimension.TEMPERATURE: (
        _Unit(("°F", "F", "degF", "deg F"), KELVIN_PER_F, -32 * KELVIN_PER_F),
        _Unit(("°C", "C", "degC", "deg C"), 1.0),
    ),
    Dimension.TEMPERATURE_STEP: (
        _Unit(("°F", "F", "degF", "deg F"), KELVIN_PER_F),
        _Unit(("K", "°C", "C", "degC", "deg C"), 1.0),
    ),
    Dimension.POWER: _POWER,
    Dimension.ELECTRIC_POWER: (
        *_POWER,
        _Unit(("VA",), 1.0),
        _Unit(("kVA",), 1000.0),
        _Unit(("hp",), 745.69987),
    ),
    Dimension.ENERGY: _ENERGY,
    Dimension.GAS: _ENERGY,
    Dimension.U_VALUE: (
        _Unit(
            ("Btu/(h·ft²·°F)", "U-", "U", "Btu/(h ft2 F)", "Btu/h-ft2-F"), BTU_H_W / FOOT_M**2 / KELVIN_PER_F
        ),
        _Unit(("W/(m²·K)", "W/m2K", "W/(m2 K)", "W/m²K", "W/m2-K"), 1.0),
    ),
    Dimension.R_VALUE: (
        _Unit(("R-", "R", "h·ft²·°F/Btu", "h ft2 F/Btu"), FOOT_M**2 * KELVIN_PER_F / BTU_H_W),
        _Unit(("m²·K/W", "RSI", "RSI-", "m2K/W", "m2 K/W", "m²K/W"), 1.0),
    ),
    Dimension.CONDUCTIVITY: (
        _Unit(("Btu·in/(h·ft²·°F)", "Btu in/(h ft2 F)"), BTU_H_W * INCH_M / FOOT_M**2 / KELVIN_PER_F),
        _Unit(("W/(m·K)", "W/mK", "W/(m K)", "W/m-K"), 1.0),
    ),
    Dimension.HEAT_LOSS_RATE: (
        _Unit(("Btu/(h·°F)", "Btu/h-F", "Btu/(h F)"), BTU_H_W / KELVIN_PER_F),
        _Unit(("W/K",), 1.0),
    ),
    Dimension.HEAT_FLUX: (
        _Unit(("Btu/(h·ft²)", "Btu/h-ft2", "Btu/(h ft2)"), BTU_H_W / FOOT_M**2),
        _Unit(("W/m²", "W/m2"), 1.0),
    ),
    Dimension.AIR_FLOW: _FLOW,
    Dimension.WATER_FLOW: _FLOW,
    Dimension.PRESSURE: _PRESSURE,
    Dimension.WATER_PRESSURE: _PRESSURE,
    Dimension.SPEED: (
        _Unit(("mph",), 0.44704),
        _Unit(("ft/s",), FOOT_M),
        _Unit(("m/s",), 1.0),
        _Unit(("km/h",), 1 / 3.6),
    ),
    Dimension.MASS: (
        _Unit(("lb", "lbs", "pound", "pounds"), POUND_KG),
        _Unit(("oz",), POUND_KG / 16),
        _Unit(("kg",), 1.0),
        _Unit(("g",), 0.001),
        _Unit(("t", "tonne"), 1000.0),
    ),
    Dimension.DENSITY: (
        _Unit(("lb/ft³", "lb/ft3", "pcf"), POUND_KG / FOOT_M**3),
        _Unit(("kg/m³", "kg/m3"), 1.0),
    ),
    Dimension.ANGLE: (_Unit(("°", "deg", "degrees"), 1.0),),
    Dimension.SHARE: (_Unit(("%", "percent"), 0.01),),
    Dimension.AIR_CHANGES: (_Unit(("ACH", "1/h", "/h"), 1.0),),
    Dimension.CURRENT: (_Unit(("A", "amp", "amps"), 1.0),),
    Dimension.VOLTAGE: (_Unit(("V", "volt", "volts"), 1.0),),
    Dimension.TIME: (
        _Unit(("h", "hr", "hours", "hour"), 1.0),
        _Unit(("min", "minutes"), 1 / 60),
        _Unit(("s", "sec"), 1 / 3600),
        _Unit(("d", "days", "day"), 24.0),
    ),
    Dimension.PLAIN: (_Unit(("",), 1.0),),
}

# What is shown, and what a bare number means: (US customary, SI), by the first name of a unit above.
_SHOWN: dict[Dimension, tuple[str, str]] = {
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
    Dimension.U_VALUE: ("Btu/(h·ft²·°F)", "W/(m²·K)"),
    Dimension.R_VALUE: ("R-", "m²·K/W"),
    Dimension.CONDUCTIVITY: ("Btu·in/(h·ft²·°F)", "W/(m·K)"),
    Dimension.HEAT_LOSS_RATE: ("Btu/(h·°F)", "W/K"),
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
    Dimension.PLAIN: ("", ""),
}

# Digits that mean something to a builder, where three significant ones are not it.
_DECIMALS: dict[str, int] = {
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
_EXAMPLES: dict[Dimension, str] = {
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
    Dimension.AIR_FLOW: "1200 cfm or 570 L/s",
    Dimension.WATER_FLOW: "1.5 gpm or 5.7 L/min",
    Dimension.PRESSURE: "50 Pa or 0.2 inH2O",
    Dimension.WATER_PRESSURE: "60 psi or 414 kPa",
    Dimension.SHARE: "25 %",
}

_NUMBER = r"[-+−]?(?:\d[\d,]*(?:\.\d+)?|\.\d+)(?:[eE][-+]?\d+)?"
_MIXED = re.compile(r"^([-+−]?\d+)[ -](\d+)/(\d+)(.*)$")
_FRACTION = re.compile(r"^([-+−]?\d+)/(\d+)(.*)$")
_NUMBER_FIRST = re.compile(rf"^({_NUMBER})\s*(.*)$")
_UNIT_FIRST = re.compile(rf"^([A-Za-z]+)\s*-?\s*({_NUMBER})$")
_FEET_INCHES = re.compile(
    r"^([-+−]?\d+(?:\.\d+)?)\s*(?:'|′|ft|feet)\.?\s*-?\s*(\d.*?)\s*(?:\"|″|in|inches)?\.?$"
)
_VULGAR = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}


def parse(text: str, dimension: Dimension, units: Units, *, where: str = "", kept: str = "") -> Quantity:
    """Read what the owner typed; a bare number is in the unit shown for `units`.

    Raises `NotANumber` or `UnitNotKnown`, each one line with an example; `kept` is what the field keeps.
    """
    typed = text.strip()
    clean = typed
    for mark, words in _VULGAR.items():
        clean = clean.replace(mark, words)
    clean = clean.strip()
    if dimension in (Dimension.LENGTH, Dimension.THICKNESS):
        both = _FEET_INCHES.match(clean)
        if both:
            feet, inches = _plain(both[1]), _number_and_unit(both[2])
            if inches is not None and not inches[1]:
                sign = -1.0 if feet < 0 else 1.0
                return Quantity(feet * FOOT_M + sign * inches[0] * INCH_M, dimension)
    pair = _number_and_unit(clean)
    if pair is None or not isfinite(pair[0]):
        raise NotANumber(
            f"'{typed}': no number in it", where=where, kept=_kept(kept), do=_example(dimension, units)
        )
    number, written = pair
    unit = _find(written, dimension) if written else _shown_unit(dimension, units)
    if unit is None:
        raise UnitNotKnown(
            f"'{typed}': unit not known", where=where, kept=_kept(kept), do=_example(dimension, units)
        )
    return Quantity(number * unit.factor + unit.offset, dimension)


def show(value_si: float, dimension: Dimension, units: Units, *, decimals: int | None = None) -> str:
    """The number with its unit, in digits that mean something: "R-13", "3.50 in", "68 °F", "42,300 Btu/h"."""
    name = unit_word(dimension, units)
    number = number_text(value_si, dimension, units, decimals=decimals)
    if name == "R-":
        return f"R-{number}"
    if name in ("°", "%", ""):
        return f"{number}{name}"
    return f"{number} {name}"


def number_text(value_si: float, dimension: Dimension, units: Units, *, decimals: int | None = None) -> str:
    """The number alone, for columns whose heading carries the unit."""
    value = in_unit(value_si, dimension, units)
    if decimals is None:
        decimals = _DECIMALS.get(unit_word(dimension, units))
    if decimals is None:
        decimals = _three_digits(value)
    shown = f"{value:,.{decimals}f}"
    if unit_word(dimension, units) in ("R-", "in") and "." in shown:
        shown = shown.rstrip("0").rstrip(".")
    return "0" if shown.strip("-0.,") == "" and "." not in shown else shown.replace("-", "−", 1)


def in_unit(value_si: float, dimension: Dimension, units: Units) -> float:
    """The bare number in the unit shown."""
    unit = _shown_unit(dimension, units)
    return (value_si - unit.offset) / unit.factor


def unit_word(dimension: Dimension, units: Units) -> str:
    """The unit shown, for headings: "ft²", "Btu/h"."""
    return _SHOWN[dimension][0 if units is Units.US else 1]


def heading(title: str, dimension: Dimension, units: Units) -> str:
    """A column heading with its unit: "Area, ft²"."""
    name = unit_word(dimension, units).rstrip("-")
    return f"{title}, {name}" if name else title


def units_understood(dimension: Dimension) -> tuple[str, ...]:
    """What a field's help lists."""
    return tuple(unit.names[0] for unit in _UNITS[dimension])


def _number_and_unit(text: str) -> tuple[float, str] | None:
    mixed = _MIXED.match(text)
    if mixed and float(mixed[3]) != 0:
        whole = _plain(mixed[1])
        part = float(mixed[2]) / float(mixed[3])
        return (whole - part if mixed[1].startswith(("-", "−")) else whole + part), mixed[4].strip()
    fraction = _FRACTION.match(text)
    if fraction and float(fraction[2]) != 0:
        return _plain(fraction[1]) / float(fraction[2]), fraction[3].strip()
    first = _NUMBER_FIRST.match(text)
    if first:
        return _plain(first[1]), first[2].strip()
    unit_first = _UNIT_FIRST.match(text)
    if unit_first:
        return _plain(unit_first[2]), unit_first[1]
    return None


def _plain(text: str) -> float:
    return float(text.replace(",", "").replace("−", "-"))


def _find(written: str, dimension: Dimension) -> _Unit | None:
    """Exactly as written first (mW is not MW), then without regard to case and spaces."""
    for unit in _UNITS[dimension]:
        if written in unit.names:
            return unit
    wanted = _folded(written)
    for unit in _UNITS[dimension]:
        if wanted in _folded_names(unit.names):
            return unit
    return None


def _folded(name: str) -> str:
    return name.lower().replace(" ", "").replace("·", "").replace("-", "").rstrip(".")


def _folded_names(names: Iterable[str]) -> set[str]:
    return {_folded(name) for name in names}


def _shown_unit(dimension: Dimension, units: Units) -> _Unit:
    name = unit_word(dimension, units)
    return next(unit for unit in _UNITS[dimension] if unit.names[0] == name)


def _three_digits(value: float) -> int:
    """Decimals that leave three significant digits, and none from 100 up."""
    size = abs(value)
    if size < 1e-9:
        return 0
    return min(max(2 - floor(log10(size)), 0), 4)


def _kept(kept: str) -> str:
    return f"the field kept '{kept}'" if kept else ""


def _example(dimension: Dimension, units: Units) -> str:
    return f"type e.g. {_EXAMPLES.get(dimension) or '12 ' + unit_word(dimension, units)}"
