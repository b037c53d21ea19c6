"""Sizes to know before buying: what each kind of measure must carry, and whether it does."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from retrofit_desk.estimate.measures.base import Inputs
from retrofit_desk.estimate.measures.casement_windows import Casements
from retrofit_desk.estimate.measures.continuous_insulation import OutsideInsulation
from retrofit_desk.estimate.measures.glazing_and_shading import GlazingAndShading
from retrofit_desk.estimate.measures.insulation_cavity import CavityFill
from retrofit_desk.estimate.measures.overhangs import Overhangs
from retrofit_desk.estimate.measures.window_shades import WindowShades
from retrofit_desk.estimate.measures.wood_cladding import WoodCladding
from retrofit_desk.estimate.sizing.bores import bore_sizes
from retrofit_desk.estimate.sizing.break_even import break_even_sizes
from retrofit_desk.estimate.sizing.by_hand import heat_of_a_year
from retrofit_desk.estimate.sizing.design import Basis
from retrofit_desk.estimate.sizing.electric import backup_sizes, car_sizes, solar_sizes
from retrofit_desk.estimate.sizing.fresh_air import fresh_air_sizes
from retrofit_desk.estimate.sizing.heat_pumps import heat_pump_sizes
from retrofit_desk.estimate.sizing.hot_water import hot_water_sizes
from retrofit_desk.estimate.sizing.second_opinion import second_opinion
from retrofit_desk.estimate.sizing.size import Size, Verdict
from retrofit_desk.estimate.sizing.stores import store_sizes
from retrofit_desk.estimate.sizing.walls import wall_sizes
from retrofit_desk.estimate.sizing.water_to_rooms import floor_sizes, radiator_sizes
from retrofit_desk.estimate.sizing.windows import window_sizes

__all__ = ["Basis", "Size", "Verdict", "has_sizes", "sizes"]

Sizes = Callable[[Basis], tuple[Size, ...]]

SIZES: Mapping[str, tuple[Sizes, ...]] = {
    "air_sealing": (fresh_air_sizes,),
    "air_source_heat_pump": (heat_pump_sizes, break_even_sizes, heat_of_a_year, second_opinion, backup_sizes),
    "air_to_water_heat_pump": (
        heat_pump_sizes,
        break_even_sizes,
        heat_of_a_year,
        second_opinion,
        radiator_sizes,
        backup_sizes,
    ),
    "electric_car": (car_sizes,),
    "ground_source_heat_pump": (
        heat_pump_sizes,
        break_even_sizes,
        heat_of_a_year,
        second_opinion,
        bore_sizes,
        radiator_sizes,
    ),
    "heat_pump_water_heater": (hot_water_sizes,),
    "mechanical_ventilation": (fresh_air_sizes,),
    "photovoltaics": (solar_sizes,),
    "radiant_floor": (floor_sizes,),
    "thermal_storage": (store_sizes,),
    "water_source_heat_pump": (
        heat_pump_sizes,
        break_even_sizes,
        heat_of_a_year,
        second_opinion,
        radiator_sizes,
    ),
}
ON_WINDOWS = (GlazingAndShading, Casements, Overhangs, WindowShades)
"""Facts of the kinds that change windows and their sun."""
ON_SURFACES = (OutsideInsulation, CavityFill, WoodCladding)
"""Facts of the kinds that change the layers of surfaces."""


def has_sizes(kind: str, inputs: type[Inputs]) -> bool:
    """Whether this kind of measure has anything to size."""
    return kind in SIZES or issubclass(inputs, (*ON_SURFACES, *ON_WINDOWS))


def sizes(kind: str, inputs: Inputs, basis: Basis) -> tuple[Size, ...]:
    """All lines of one measure. Raises `CannotSay` where house and plant do not fit together."""
    if isinstance(inputs, ON_SURFACES):
        return wall_sizes(basis, inputs.surfaces)
    if isinstance(inputs, ON_WINDOWS):
        return window_sizes(basis, inputs.openings)
    return tuple(line for of in SIZES.get(kind, ()) for line in of(basis))
