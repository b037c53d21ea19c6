"""The described house with measures done: what its faces and glass are then made of, and their U-values."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.physics.built_layers import built_u_w_m2k
from retrofit_desk.physics.description import House, Surface
from retrofit_desk.physics.elements import GlazingByLabel
from retrofit_desk.physics.films import DESIGN_R_SE_M2K_W, DESIGN_R_SI_M2K_W, heat_flow_through
from retrofit_desk.records import models as m
from retrofit_desk.services.worth import chosen_of


def line_up(session: Session) -> list[m.Measure]:
    """What is meant to stand in the end, in its order."""
    rows = session.scalars(select(m.Measure).order_by(m.Measure.position, m.Measure.id))
    return [row for row in rows if row.in_line_up and not row.state.is_over]


def with_measures(case: HouseCase, measures: Iterable[m.Measure]) -> HouseCase:
    """The case with the measures done, in the order their kinds ask for. Raises `DeskError`."""
    for one in sorted(map(chosen_of, measures), key=lambda one: (one.kind.rank, one.key)):
        case = one.kind.apply(case, one.inputs)
    return case


def made_of(names: Mapping[str, str], before: str, after: str) -> str:
    """A changed construction is called by its old key, " + " and what was added."""
    if after == before or not after.startswith(before):
        return names.get(after, after)
    return f"same, with {after.removeprefix(before).strip(' +')}"


def face_u_w_m2k(house: House, surface: Surface) -> float:
    """Layers and design films, the ground left out. ISO 6946:2017."""
    layers = next(one.layers for one in house.constructions if one.name == surface.construction)
    flow = heat_flow_through(surface.tilt_deg)
    inside = DESIGN_R_SI_M2K_W[flow]
    outside = inside if surface.boundary.kind in ("zone", "adiabatic") else DESIGN_R_SE_M2K_W
    if surface.boundary.kind not in ("zone", "adiabatic", "outdoors"):
        outside = 0.0
    return built_u_w_m2k(layers, flow, inside, outside)


def panes_words(glass: GlazingByLabel) -> str:
    """ "double glass, low-e": panes and coating."""
    count = glass.panes_count
    words = {1: "single glass", 2: "double glass", 3: "triple glass"}.get(count, f"{count} panes")
    return words if glass.coating is None else f"{words}, {glass.coating}"
