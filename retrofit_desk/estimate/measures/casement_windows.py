"""Casements in place of sliders: tighter when shut, and a sash that catches the wind when open."""

from typing import Literal

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase, changed
from retrofit_desk.estimate.fabric import WindowFacts, windows_of, with_less_leakage, with_windows
from retrofit_desk.estimate.measures.base import (
    STOPS_TITLE,
    Inputs,
    MaterialUse,
    MeasureKind,
    window_materials,
)
from retrofit_desk.physics.description import Opening, Zone
from retrofit_desk.physics.elements import Fraction, Name, NotNegative


class Casements(Inputs, WindowFacts):
    openings: tuple[Name, ...] = Field(min_length=1)
    hinge_side: Literal["left", "right"] = Field(description="seen from outside")
    open_area_fraction: Fraction = Field(0.9, description="share of the sash that opens; a slider opens half")
    flow_50pa_reduction_m3_s: NotNegative = Field(0.0, title=STOPS_TITLE)


def apply(case: HouseCase, inputs: Casements) -> HouseCase:
    case = with_windows(case, inputs.openings, inputs)
    case = case.with_house(zones=tuple(_opened(zone, case, inputs) for zone in case.house.zones))
    return with_less_leakage(case, inputs.flow_50pa_reduction_m3_s)


def _opened(zone: Zone, case: HouseCase, inputs: Casements) -> Zone:
    """The zone's openings that are these windows open wider, on their hinge."""
    areas = {
        window.name: window.area_m2
        for surface in case.house.surfaces
        for window in surface.windows
        if window.name in inputs.openings
    }

    def hung(opening: Opening) -> Opening:
        if opening.name not in areas:
            return opening
        return changed(
            opening, area_m2=areas[opening.name] * inputs.open_area_fraction, hinge=inputs.hinge_side
        )

    return changed(zone, openings=tuple(hung(opening) for opening in zone.openings))


def materials(case: HouseCase, inputs: Casements) -> tuple[MaterialUse, ...]:
    return window_materials(windows_of(case.house, inputs.openings), inputs.panes)


KIND = MeasureKind("casement_windows", "Casements for sliders", Casements, 31, apply, materials)
