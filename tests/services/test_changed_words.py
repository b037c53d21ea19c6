"""A changed fact is told with the words and units of its form, never with the name it has in the record."""

import pytest

from retrofit_desk.services.changed_words import tell_in
from retrofit_desk.services.names import Names
from retrofit_desk.values.quantity import Units


@pytest.mark.parametrize(
    ("name", "value", "units", "told"),
    [
        ("flow 50pa m3 s", "0.18", Units.US, ("Leakage at 50 Pa", "381 cfm")),
        ("zones, den, volume m3", "84.64", Units.US, ("Den, volume", "2,989 ft³")),
        ("heating points, 2, capacity w", "8450", Units.SI, ("Heating point 2, capacity", "8.45 kW")),
        (
            "tariff, charges, Gas, winter, tiers, 1, price",
            "1.412",
            Units.US,
            ("Gas, winter, tier 1, price", "1.412"),
        ),
        (
            "Range, avoided cents, stated",
            "unknown",
            Units.US,
            ("Range, what would be spent anyway, stated", "unknown"),
        ),
        ("Induction, cost cents, value", "300000", Units.US, ("Induction, cost", "$3,000.00")),
        ("added heat capacity j k", "368000", Units.US, ("Added heat capacity", "368000 J/K")),
        ("has fan", "True", Units.SI, ("Has fan", "yes")),
        ("set point c", "20", Units.SI, ("Set point", "20.0 °C")),
        ("set point c", "nothing", Units.SI, ("Set point", "nothing")),
    ],
)
def test_a_fact_is_told_in_words_and_units(
    name: str, value: str, units: Units, told: tuple[str, str]
) -> None:
    assert tell_in(units)(name, value) == told


def test_a_name_that_the_owner_gave_stays_as_it_is() -> None:
    assert tell_in(Units.US)("New EV charger", "place 2") == ("New EV charger", "place 2")


def test_what_is_recorded_is_told_by_its_name_and_never_by_its_key() -> None:
    names = Names({"den": "Den", "den-north": "North wall of Den", "den-south": "South wall of Den"})
    tell = tell_in(Units.SI, names)
    assert tell("surfaces, den-north, area m2", "12.4") == ("North wall of Den, area", "12.4 m²")
    assert tell("zones, den, thermostat, heating c", "20") == ("Den, thermostat, heating", "20.0 °C")
    assert tell("surfaces", "den-north, den-south")[1] == "North wall of Den, South wall of Den"
