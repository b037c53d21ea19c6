"""Carbon stored in wood and straw, shown on its own line and never taken off the total (EN 16449:2014)."""

from __future__ import annotations

from dataclasses import dataclass

CO2_PER_CARBON = 44 / 12


def stored_co2_kg(
    volume_m3: float,
    density_kg_m3: float,
    moisture_share: float,
    *,
    wood_share: float = 1.0,
    carbon_share: float = 0.5,
) -> float:
    """P = (44/12) cf rho V / (1 + w), EN 16449:2014; density at moisture w of the dry mass, gross volume.

    The standard speaks of wood; cellulose, straw and hemp need their own `carbon_share` (0.35 to 0.48).
    """
    return CO2_PER_CARBON * carbon_share * density_kg_m3 * volume_m3 * wood_share / (1 + moisture_share)


@dataclass(frozen=True)
class BiogenicStore:
    """Carbon taken up at A1 and given back at C3/C4; over A-C nothing is gained but delay.

    `given_back_kg` is none where the end of life is left out: then it says "A1-A3 only".
    """

    taken_up_kg: float
    given_back_kg: float | None

    @property
    def balance_kg(self) -> float | None:
        """A-C; zero when the end is told, unknown when it is left out."""
        return None if self.given_back_kg is None else self.given_back_kg - self.taken_up_kg

    @property
    def words(self) -> str:
        if self.given_back_kg is None:
            return (
                f"{self.taken_up_kg:.0f} kg CO2 stored while it stands (A1-A3 only; not taken off the total)"
            )
        return f"{self.taken_up_kg:.0f} kg CO2 stored while it stands, given back at its end"


def whole_life_store(stored_kg: float) -> BiogenicStore:
    """The balance of EN 15804+A2: what came in goes out."""
    return BiogenicStore(stored_kg, stored_kg)
