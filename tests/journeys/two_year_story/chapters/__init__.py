"""The chapters by phase of the works; a phase may run beside another, the days put them in order."""

from tests.journeys.two_year_story.chapters import (
    bores,
    den,
    gas,
    heat_pump,
    last_money,
    loan,
    packets,
    proof,
    reservation,
    sealing,
    signing,
    water_heater,
)

__all__ = [
    "bores",
    "den",
    "gas",
    "heat_pump",
    "last_money",
    "loan",
    "packets",
    "proof",
    "reservation",
    "sealing",
    "signing",
    "water_heater",
]
