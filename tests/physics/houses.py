"""Small described houses for the engine's tests."""

from __future__ import annotations

from typing import Any

from retrofit_desk.physics.description import House

BRICK = {
    "kind": "solid",
    "name": "brick",
    "conductivity_w_mk": 0.77,
    "thickness_m": 0.2,
    "density_kg_m3": 1750,
    "specific_heat_j_kgk": 1000,
}
WOOL = {
    "kind": "solid",
    "name": "wool",
    "conductivity_w_mk": 0.04,
    "thickness_m": 0.1,
    "density_kg_m3": 60,
    "specific_heat_j_kgk": 1030,
}
BOARD = {
    "kind": "solid",
    "name": "gypsum board",
    "conductivity_w_mk": 0.21,
    "thickness_m": 0.0125,
    "density_kg_m3": 700,
    "specific_heat_j_kgk": 1000,
}
WALLS = (("north", 0), ("east", 90), ("south", 180), ("west", 270))
ISO_FILMS = {
    "inside_convective_w_m2k": 2.5,
    "inside_radiative_w_m2k": 1 / 0.13 - 2.5,
    "outside_convective_w_m2k": 20.0,
    "outside_radiative_w_m2k": 5.0,
}
AIR_ONLY_FILMS = {**ISO_FILMS, "inside_convective_w_m2k": 1 / 0.13, "inside_radiative_w_m2k": 1e-9}


def box(
    name: str = "box",
    *,
    layers: tuple[dict[str, Any], ...] = (BRICK, WOOL, BOARD),
    window_m2: float = 0.0,
    zone: dict[str, Any] | None = None,
    films: dict[str, float] = ISO_FILMS,
    **house: Any,
) -> dict[str, Any]:
    """A room of 6 x 5 x 2.5 m with four walls, roof and floor to outdoors, glass on every wall."""
    surfaces: list[dict[str, Any]] = []
    for side, azimuth in WALLS:
        width = 6.0 if side in ("north", "south") else 5.0
        surfaces.append(
            {
                "name": side, "azimuth_deg": azimuth,
                "area_m2": width * 2.5, "width_m": width, "height_m": 2.5,
                "windows": [
                    {"name": f"{side} glass", "glazing": "clear",
                     "width_m": window_m2 / 1.25, "height_m": 1.25,
                     "x_m": 1.0, "sill_m": 0.9, "films": films}
                ] if window_m2 else [],
            }
        )  # fmt: skip
    surfaces.append({"name": "roof", "tilt_deg": 0, "area_m2": 30.0})
    surfaces.append({"name": "floor", "tilt_deg": 180, "area_m2": 30.0})
    common = {"zone": "room", "construction": "layers", "boundary": {"kind": "outdoors"}, "films": films}
    room = {"name": "room", "volume_m3": 75.0, "thermostat": {"heating_c": 20.0, "cooling_c": 26.0}}
    return {
        "name": name,
        "site": {"density_factor": 1.0},
        "constructions": [{"name": "layers", "layers": list(layers)}],
        "glazings": [
            {"kind": "label", "name": "clear", "u_value_w_m2k": 2.7, "shgc": 0.72,
             "rated_outside_film_w_m2k": 25.0, "rated_inside_film_w_m2k": 1 / 0.13}
        ],
        "zones": [{**room, **(zone or {})}],
        "surfaces": [{**common, **s} for s in surfaces],
        **house,
    }  # fmt: skip


def house(description: dict[str, Any]) -> House:
    return House.model_validate(description)
