"""The storage tank: what it holds against a design day, and what it weighs."""

from __future__ import annotations

from retrofit_desk.estimate.sizing.design import Basis
from retrofit_desk.estimate.sizing.size import Size, to_know
from retrofit_desk.physics.thermal_storage import held_kwh
from retrofit_desk.values.quantity import Dimension

WATER_KG_M3 = 1000.0
USED_TO_C = 30.0
"""Water that a floor still uses on a mild day (common practice, no source)."""


def store_sizes(basis: Basis) -> tuple[Size, ...]:
    """For every tank of the house with the measure."""
    found: list[Size] = []
    for store in basis.after.plant.stores:
        found.append(
            to_know(
                f"{store.name}: weight of its water",
                Dimension.MASS,
                store.volume_m3 * WATER_KG_M3,
                "the vessel comes on top",
                "House floors are made for 30 to 40 lb/ft² (1.4 to 1.9 kN/m²): have an engineer look at it.",
            )
        )
        if store.hot_charge_c is not None and store.hot_charge_c > USED_TO_C:
            held = held_kwh(store.volume_m3, store.hot_charge_c - USED_TO_C)
            found.append(
                to_know(
                    f"{store.name}: heat it holds, down to water of 86 °F (30 °C)",
                    Dimension.ENERGY,
                    held,
                    "water at 50 °C",
                )
            )
            if basis.need_ahead.heat_w:
                hours = held * 1000.0 / basis.need_ahead.heat_w
                says = "On mild days it lasts several times as long."
                subject = f"{store.name}: it carries the house on the design day for"
                found.append(to_know(subject, Dimension.TIME, hours, "heat held by the design load", says))
    return tuple(found)
