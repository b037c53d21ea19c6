"""Typed quantities: what is understood, what is shown, what is refused and in which words."""

from __future__ import annotations

from decimal import Decimal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.values.quantity import (
    Dimension,
    NotANumber,
    UnitNotKnown,
    Units,
    billed_text,
    count_text,
    heading,
    in_unit,
    number_text,
    parse,
    percent_text,
    show,
    show_about,
    unit_word,
)
from retrofit_desk.values.units import UNITS, fuel_dimension

D, US, SI = Dimension, Units.US, Units.SI

# Exact or defined factors: NIST SP 811 (2008), appendix B.8 (inch, foot, IT Btu, lb, US gallon) (from memory)
TYPED = [
    ("3.5 in", D.THICKNESS, 0.0889),
    ("3-1/2 in", D.THICKNESS, 0.0889),
    ("3½", D.THICKNESS, 0.0889),
    ("90 mm", D.THICKNESS, 0.090),
    ("12' 6\"", D.LENGTH, 3.81),
    ("12′6½″", D.LENGTH, 3.8227),
    ("12 ft 6 in", D.LENGTH, 3.81),
    ("6'", D.LENGTH, 1.8288),
    ("12", D.LENGTH, 3.6576),
    ("R-13", D.R_VALUE, 2.28943),
    ("R13", D.R_VALUE, 2.28943),
    ("2.3 RSI", D.R_VALUE, 2.3),
    ("U-0.30", D.U_VALUE, 1.70348),
    ("0.30", D.U_VALUE, 1.70348),
    ("1.7 W/m2K", D.U_VALUE, 1.7),
    ("40 kBtu/h", D.POWER, 11722.84),
    ("3 tons", D.POWER, 10550.56),
    ("12 kW", D.POWER, 12000.0),
    ("1.5 gpm", D.WATER_FLOW, 9.463529e-5),
    ("1,200 cfm", D.AIR_FLOW, 0.566337),
    ("20 C", D.TEMPERATURE, 20.0),
    ("68 F", D.TEMPERATURE, 20.0),
    ("-5°F", D.TEMPERATURE, -20.5556),
    ("9 F", D.TEMPERATURE_STEP, 5.0),
    ("40 therms", D.GAS, 1172.284),
    ("1,200 sq ft", D.AREA, 111.4836),
    ("50 gal", D.LIQUID, 0.18927059),
    ("60 psi", D.WATER_PRESSURE, 413685.4),
    ("25%", D.SHARE, 0.25),
    ("45 min", D.TIME, 0.75),
    (".5 in", D.THICKNESS, 0.0127),
]


@pytest.mark.parametrize(("typed", "dimension", "si"), TYPED)
def test_what_owners_type_is_understood(typed: str, dimension: Dimension, si: float) -> None:
    assert parse(typed, dimension, US).value_si == pytest.approx(si, rel=2e-6, abs=5e-5 if abs(si) > 1 else 0)


def test_a_bare_number_is_in_the_unit_shown() -> None:
    assert parse("10", D.LENGTH, SI).value_si == 10.0
    assert parse("10", D.LENGTH, US).value_si == pytest.approx(3.048)
    assert parse("68", D.TEMPERATURE, US).value_si == pytest.approx(20.0)


PINT_NAMES = {
    "Btu/h": "Btu_it/hour",
    "kBtu/h": "1000 * Btu_it/hour",
    "tons": "12000 * Btu_it/hour",
    "therms": "100000 * Btu_it",
    "kBtu": "1000 * Btu_it",
    "MMBtu": "1000000 * Btu_it",
    "cfm": "foot**3/minute",
    "gpm": "gallon/minute",
    "psi": "psi",
    "inH2O": "249.08891 * pascal",
    "mph": "mile/hour",
    "lb": "pound",
    "oz": "ounce",
    "t": "tonne",
    "lb/ft³": "pound/foot**3",
    "ft²": "foot**2",
    "in²": "inch**2",
    "ft³": "foot**3",
    "gal": "gallon",
    "Btu/(h·ft²·°F)": "Btu_it/hour/foot**2/delta_degF",
    "Btu·in/(h·ft²·°F)": "Btu_it*inch/hour/foot**2/delta_degF",
    "Btu/(h·°F)": "Btu_it/hour/delta_degF",
    "Btu/(h·ft²)": "Btu_it/hour/foot**2",
    "hp": "horsepower",
    "ft": "foot",
    "in": "inch",
}
PINT_BASE = {
    D.POWER: "watt",
    D.ELECTRIC_POWER: "watt",
    D.ENERGY: "kilowatt_hour",
    D.GAS: "kilowatt_hour",
    D.AIR_FLOW: "meter**3/second",
    D.WATER_FLOW: "meter**3/second",
    D.PRESSURE: "pascal",
    D.WATER_PRESSURE: "pascal",
    D.SPEED: "meter/second",
    D.MASS: "kilogram",
    D.DENSITY: "kilogram/meter**3",
    D.AREA: "meter**2",
    D.VOLUME: "meter**3",
    D.LIQUID: "meter**3",
    D.U_VALUE: "watt/meter**2/kelvin",
    D.CONDUCTIVITY: "watt/meter/kelvin",
    D.HEAT_LOSS_RATE: "watt/kelvin",
    D.LINEAR_LOSS: "watt/meter/kelvin",
    D.HEAT_FLUX: "watt/meter**2",
    D.LENGTH: "meter",
    D.THICKNESS: "meter",
}


def test_every_us_factor_agrees_with_a_general_units_library() -> None:
    # reference: pint's definitions file (itself after NIST SP 811 and SP 330)
    registry = pint.UnitRegistry()
    compared = 0
    for dimension, base in PINT_BASE.items():
        for unit in UNITS[dimension]:
            if unit.names[0] in PINT_NAMES:
                theirs = registry.Quantity(PINT_NAMES[unit.names[0]]).to(base)
                assert unit.factor == pytest.approx(float(theirs.magnitude), rel=1e-6), unit.names[0]
                compared += 1
    assert compared >= 35


def test_r_value_is_the_inverse_of_u_value_in_both_systems() -> None:
    r_us = parse("R-20", D.R_VALUE, US).value_si
    assert show(1 / r_us, D.U_VALUE, US) == "0.0500 Btu/(h·ft²·°F)"


SHOWN = [
    (0.0889, D.THICKNESS, "3.5 in", "89 mm"),
    (2.28943, D.R_VALUE, "R-13", "2.29 m²·K/W"),
    (20.0, D.TEMPERATURE, "68 °F", "20.0 °C"),
    (-20.5556, D.TEMPERATURE, "−5 °F", "−20.6 °C"),
    (11722.84, D.POWER, "40,000 Btu/h", "11.7 kW"),
    (0.25, D.SHARE, "25%", "25%"),
    (90.0, D.ELECTRIC_POWER, "90 W", "90 W"),
    (4250.0, D.ELECTRIC_POWER, "4.25 kW", "4.25 kW"),
    (0.0, D.ELECTRIC_POWER, "0 kW", "0 kW"),
    (1.70348, D.U_VALUE, "0.300 Btu/(h·ft²·°F)", "1.70 W/(m²·K)"),
    (111.4836, D.AREA, "1,200 ft²", "111 m²"),
    (-0.0001, D.TEMPERATURE_STEP, "0 °F", "0.0 K"),
    (3.2, D.PLAIN, "3.20", "3.20"),
    (0.0, D.ENERGY, "0 kWh", "0 kWh"),
]


@pytest.mark.parametrize(("si", "dimension", "us_text", "si_text"), SHOWN)
def test_numbers_are_shown_in_digits_that_mean_something(
    si: float, dimension: Dimension, us_text: str, si_text: str
) -> None:
    assert show(si, dimension, US) == us_text
    assert show(si, dimension, SI) == si_text


def test_a_share_is_written_one_way() -> None:
    assert percent_text(0.154) == "15%"
    assert percent_text(Decimal("-0.031"), 1) == "−3.1%"
    assert percent_text(-0.0001) == "0%"


def test_headings_carry_the_unit_once() -> None:
    assert heading("Area", D.AREA, US) == "Area, ft²"
    assert heading("Insulation", D.R_VALUE, US) == "Insulation, R"
    assert heading("COP", D.PLAIN, SI) == "COP"


def test_trouble_is_one_line_with_what_was_kept_and_an_example() -> None:
    with pytest.raises(UnitNotKnown) as unit:
        parse("3.5 inn", D.THICKNESS, US, where="Cavity depth", kept="3.5 in")
    assert str(unit.value) == (
        "Cavity depth: '3.5 inn': unit not known. The field kept '3.5 in'. Type e.g. 3.5 in or 90 mm."
    )
    with pytest.raises(NotANumber, match="'deep': no number in it"):
        parse("deep", D.THICKNESS, US)


@pytest.mark.parametrize(
    "typed", ["", "nan", "inf", "1e400 in", "1/0", "--3", "3 in in", "R-", "'", "1,2,,3 x"]
)
def test_nonsense_is_refused_and_never_becomes_a_number(typed: str) -> None:
    with pytest.raises((NotANumber, UnitNotKnown)):
        parse(typed, D.THICKNESS, US)


@pytest.mark.parametrize("units", list(Units))
@pytest.mark.parametrize("dimension", list(Dimension))
def test_the_unit_shown_is_one_that_is_understood(dimension: Dimension, units: Units) -> None:
    assert parse(f"1 {unit_word(dimension, units).rstrip('-')}", dimension, units).dimension is dimension


@given(
    value=st.floats(-1e5, 1e5),
    dimension=st.sampled_from(list(Dimension)),
    units=st.sampled_from(list(Units)),
)
def test_what_is_shown_can_be_typed_again(value: float, dimension: Dimension, units: Units) -> None:
    shown = show(value, dimension, units)
    again = parse(shown, dimension, units).value_si
    # trailing zeros of inches, watts and R-values are not shown, so a lost digit is at most the last one kept
    decimals = len(number_text(value, dimension, units).partition(".")[2])
    assert abs(in_unit(again, dimension, units) - in_unit(value, dimension, units)) <= 0.505 * 10**-decimals


@given(st.text(max_size=12))
def test_any_text_gives_a_number_or_one_clear_line(text: str) -> None:
    try:
        found = parse(text, D.LENGTH, US)
    except (NotANumber, UnitNotKnown) as error:
        assert "\n" not in error.line() or "\n" in text  # noqa: PT017 both outcomes are right
    else:
        assert abs(found.value_si) < float("inf")


@pytest.mark.parametrize(
    ("fuels", "kwh", "shown"),
    [  # heat of a gallon: 40 CFR 98, table C-1, 0.138 and 0.091 MMBtu; 29.3 kWh a therm
        (["oil"], 4044.4, "100 gal"),
        (["propane"], 2667.0, "100 gal"),
        (["gas"], 2930.7, "100 therms"),
        (["oil", "gas"], 2930.7, "100 therms"),
        ([], 0.0, "0 therms"),
    ],
)
def test_fuel_is_shown_as_it_is_sold(fuels: list[str], kwh: float, shown: str) -> None:
    assert show(kwh, fuel_dimension(fuels), Units.US, decimals=0) == shown
    assert show(kwh, fuel_dimension(fuels), Units.SI, decimals=0).endswith(" kWh")


def test_what_a_model_works_out_is_told_to_three_digits() -> None:
    assert show_about(27_045 * 0.29307107, Dimension.POWER, Units.US) == "27,000 Btu/h"
    assert show_about(7_926.0, Dimension.POWER, Units.SI) == "7.93 kW"
    assert show_about(-12.0, Dimension.TEMPERATURE, Units.US) == "10 °F"
    assert show_about(693.04 * 0.3048, Dimension.LENGTH, Units.US) == "693 ft"
    assert show_about(0.0, Dimension.MASS, Units.US) == show(0.0, Dimension.MASS, Units.US)


def test_one_is_told_in_the_singular() -> None:
    assert count_text(1, "day") == "1 day"
    assert count_text(0, "day") == "0 days"
    assert count_text(-1, "day") == "−1 day"
    assert count_text(1.0, "day") == "1 day"
    assert count_text(1.5, "day") == "1.5 days"
    assert count_text(1_200, "paper is", "papers are") == "1,200 papers are"


@pytest.mark.parametrize(
    ("amount", "unit", "told"),
    [
        (1.2, "therm", "1 therm"),
        (0.4, "therm", "0 therms"),
        (-1.0, "therm", "−1 therm"),
        (412.4, "therm", "412 therms"),
        (3.0, "cord", "3 cords"),
        (1.0, "kWh", "1 kWh"),
        (2.0, "gal", "2 gal"),
    ],
)
def test_what_a_meter_counted_takes_its_unit_by_the_number_written(
    amount: float, unit: str, told: str
) -> None:
    assert billed_text(amount, unit) == told


def test_one_therm_is_no_therms() -> None:
    one = parse("1 therm", Dimension.GAS, Units.US).value_si
    assert show(one, Dimension.GAS, Units.US, decimals=0) == "1 therm"
    assert show(1.4 * one, Dimension.GAS, Units.US, decimals=0) == "1 therm"
    assert show(2 * one, Dimension.GAS, Units.US, decimals=0) == "2 therms"
    assert show(one, Dimension.GAS, Units.US) == "1.00 therms"
