"""A changed fact is told with the words and units of its form, never with the name it has in the record."""

import pytest

from retrofit_desk.services.changed_words import tell_in
from retrofit_desk.values.quantity import Units


@pytest.mark.parametrize(
    ("name", "value", "units", "told"),
    [
        ("flow 50pa m3 s", "0.18", Units.US, ("Leakage at 50 Pa", "381 cfm")),
        ("zones, den, volume m3", "84.64", Units.US, ("zones, den, volume", "2,989 ft³")),
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
