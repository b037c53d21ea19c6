"""Insulated walls, roofs and floors: what they resist, whether they stay dry, when the day's heat arrives."""

from __future__ import annotations

import numpy as np

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.fabric import construction_of, surfaces_of
from retrofit_desk.estimate.sizing.design import Basis
from retrofit_desk.estimate.sizing.size import Size, about, at_least, changed
from retrofit_desk.physics.built_layers import built_layers
from retrofit_desk.physics.description import Surface
from retrofit_desk.physics.films import DESIGN_R_SE_M2K_W, DESIGN_R_SI_M2K_W, heat_flow_through
from retrofit_desk.physics.layer_parts import Construction, FramedLayerPart
from retrofit_desk.physics.moisture import (
    coldest_surface_without_mold_c,
    outward_share_needed,
    surface_temperature_c,
    temperature_factor,
)
from retrofit_desk.physics.transient import periodic_response
from retrofit_desk.values.quantity import Dimension

INSIDE_C, INSIDE_HUMIDITY = 20.0, 0.40
"""Room air of a cold month where nothing was measured (common practice, no source)."""
R_RULE = "ISO 6946:2017, mean of the two limits; framing counted"
MOLD_RULE = "80% humidity at the face: ISO 13788 (from memory), room air of 68 °F (20 °C) and 40%"
DRY_RULE = "dew point of the room air at the mean of the coldest month: ISO 13788 (from memory)"
DELAY_RULE = "daily wave: ISO 13786:2017 (from memory)"


def wall_sizes(basis: Basis, names: tuple[str, ...]) -> tuple[Size, ...]:
    """One set of lines for each different build-up among the surfaces called so."""
    seen: dict[tuple[Construction, str], list[Surface]] = {}
    for surface in surfaces_of(basis.after.house, names):
        build = construction_of(basis.after.house, surface)
        seen.setdefault((build, surface.boundary.kind), []).append(surface)
    return tuple(line for alike in seen.values() for line in _lines(basis, alike))


def _lines(basis: Basis, alike: list[Surface]) -> tuple[Size, ...]:
    first = alike[0]
    others = "" if len(alike) == 1 else f" (and {len(alike) - 1} more like it)"
    before, after = (_Built(case, first) for case in (basis.ahead, basis.after))
    cold_c = float(np.min(basis.weather.monthly_mean_temp_c()))
    found = [
        changed(
            f"R of the whole build-up{others}",
            Dimension.R_VALUE,
            before.total_m2k_w,
            after.total_m2k_w,
            R_RULE,
        ),
        at_least(
            "Inner face on a mean day of the coldest month, against mold",
            Dimension.TEMPERATURE,
            coldest_surface_without_mold_c(INSIDE_C, INSIDE_HUMIDITY),
            surface_temperature_c(temperature_factor(1.0 / after.total_m2k_w), INSIDE_C, cold_c),
            MOLD_RULE,
            "Corners and edges are colder than the plain face.",
        ),
    ]
    outward = after.outward_share
    if outward is not None and first.boundary.kind == "outdoors":
        found.append(_dry(outward_share_needed(INSIDE_C, INSIDE_HUMIDITY, cold_c), outward))
    found.append(
        changed(
            "Hours until the day's heat comes through",
            Dimension.TIME,
            before.delay_h,
            after.delay_h,
            DELAY_RULE,
        )
    )
    return about(first.name, found)


def _dry(needed: float, has: float) -> Size:
    says = (
        "Room air that finds its way to the sheathing does not wet it in a mean winter month."
        if has >= needed
        else "Room air that gets to the sheathing would wet it: seal the inner face first, and ask which "
        "vapor layer this wall may have."
    )
    return at_least(
        "Share of its R outside the cavity", Dimension.SHARE, max(0.0, needed), has, DRY_RULE, says
    )


class _Built:
    """One surface as built in a case."""

    def __init__(self, case: HouseCase, surface: Surface) -> None:
        (self._surface,) = surfaces_of(case.house, (surface.name,))
        self._parts = construction_of(case.house, self._surface).layers
        flow = heat_flow_through(self._surface.tilt_deg)
        self.inside_m2k_w = DESIGN_R_SI_M2K_W[flow]
        is_outer = self._surface.boundary.kind == "outdoors"
        self.outside_m2k_w = DESIGN_R_SE_M2K_W if is_outer else self.inside_m2k_w
        self._layers = built_layers(self._parts, flow, self.inside_m2k_w, self.outside_m2k_w)

    @property
    def total_m2k_w(self) -> float:
        films = self.inside_m2k_w + self.outside_m2k_w
        return films + sum(layer.resistance_m2k_w for layer in self._layers)

    @property
    def outward_share(self) -> float | None:
        """Share of the resistance outside the innermost framed layer; None where nothing is framed."""
        framed = [at for at, part in enumerate(self._parts) if isinstance(part, FramedLayerPart)]
        if not framed:
            return None
        outward = sum(layer.resistance_m2k_w for layer in self._layers[: framed[-1]])
        return (self.outside_m2k_w + outward) / self.total_m2k_w

    @property
    def delay_h(self) -> float:
        return periodic_response(self._layers[::-1], self.inside_m2k_w, self.outside_m2k_w).delay_h
