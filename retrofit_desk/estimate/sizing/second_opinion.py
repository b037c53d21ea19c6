"""The design loads once more, in the US trade's own form, beside the hourly model's."""

from __future__ import annotations

from collections.abc import Iterator, Set
from dataclasses import dataclass
from math import prod

import numpy as np

from retrofit_desk.estimate.fabric import construction_of
from retrofit_desk.estimate.sizing.design import (
    COOLING_EXCEEDED_SHARE,
    Basis,
    cold_spell,
    set_point_c,
)
from retrofit_desk.estimate.sizing.size import Size, compared
from retrofit_desk.physics.airflow import outdoor_air
from retrofit_desk.physics.built_layers import built_u_w_m2k
from retrofit_desk.physics.description import House, Surface, Window, Zone
from retrofit_desk.physics.elements import (
    BasementGround,
    FixedTemperature,
    GlazingByLabel,
    OtherZone,
    SlabOnGround,
)
from retrofit_desk.physics.films import DESIGN_R_SE_M2K_W, DESIGN_R_SI_M2K_W, heat_flow_through
from retrofit_desk.physics.ground_link import coupling, own_u_w_m2k
from retrofit_desk.physics.loads import design_temperature_c, unheated_space_c
from retrofit_desk.physics.loads_us import (
    OpaqueSurface,
    heating_load,
    indoor_gains_btu_h,
    latent_air_btu_h,
    opaque_cooling_btu_h_ft2,
    sensible_air_btu_h,
    window_cooling_btu_h_ft2,
)
from retrofit_desk.physics.network import glass_conductance_w_m2k
from retrofit_desk.physics.optics import window_optics
from retrofit_desk.physics.psychrometrics import moist_air
from retrofit_desk.physics.schedules import hourly
from retrofit_desk.physics.surface_films import FLAT_BELOW_DEG, FLOOR_ABOVE_DEG
from retrofit_desk.physics.weather import MONTH_OF_HOUR, density_factor
from retrofit_desk.values.quantity import Dimension
from retrofit_desk.values.units import BTU_H_W, KELVIN_PER_F

RULE = "load factors of ASHRAE Fundamentals ch. 17 (from memory)"
SAYS = "The form that a US contractor's sheet follows; a fifth to a third apart is usual."
FT_M, CFM_M3_S = 0.3048, 0.4719474e-3
LABEL_OUTSIDE_W_M2K, LABEL_INSIDE_W_M2K = 29.0, 8.29  # of US labels (common practice)
LABEL_FILMS_M2K_W = 1.0 / LABEL_OUTSIDE_W_M2K + 1.0 / LABEL_INSIDE_W_M2K
LET_THROUGH = 0.93  # of the solar gain of clear glass (common practice)
BARE_SLAB, INSULATED_SLAB = 0.73, 0.54  # Btu/h·ft·°F, ASHRAE 90.1 appendix A (from memory)
EDGE_FROM_M2K_W = 1.0
# ASHRAE Fundamentals ch. 17, fenestration load factors, single family detached (from memory), N clockwise
LOAD_SHARE = (0.44, 0.21, 0.31, 0.37, 0.47, 0.58, 0.56, 0.46)
LOAD_SHARE_LEVEL = 0.58
AIR_WH_M3K = 0.34
INSIDE_HUMIDITY = 0.5  # design humidity of cooled rooms (common practice)


@dataclass(frozen=True)
class _Face:
    """What heat passes from one lived-in zone; `glass` is none for the opaque part."""

    surface: Surface
    area_m2: float
    u_value_w_m2k: float
    glass: Window | None = None


def second_opinion(basis: Basis) -> tuple[Size, ...]:
    """Heat and sensible cold of the house that the machine comes to."""
    need, found = basis.need_ahead, []
    if need.heat_w > 0.0:
        subject = "Heat on the design day, by the US load form"
        found.append(compared(subject, Dimension.POWER, _heat_w(basis), need.heat_w, RULE, SAYS))
    cold_w = sum(room.cold_w for room in need.rooms)
    if cold_w > 0.0:
        subject = "Cold in the design hour without moisture, by the US load form"
        day = _hot_day(basis)
        found.append(compared(subject, Dimension.POWER, _cold_w(basis, day), cold_w, RULE, SAYS))
        if need.latent_w > 0.0:
            subject = "Moisture in the design hour, by the US load form"
            found.append(compared(subject, Dimension.POWER, _latent_w(basis, day), need.latent_w, RULE, SAYS))
    return tuple(found)


def _heat_w(basis: Basis) -> float:
    house, outside = basis.ahead.house, basis.heating_c
    warm = {zone.name: point for zone in house.zones if (point := set_point_c(zone)) is not None}
    inside = float(np.mean(list(warm.values())))
    elements, slab_ft, edge = [], 0.0, BARE_SLAB
    spaces = {
        zone.name: _space_c(house, zone, warm, outside) for zone in house.zones if zone.name not in warm
    }
    ground_c = float(basis.weather.temp_c.mean())
    for face in _faces(house, set(warm)):
        boundary = face.surface.boundary
        if isinstance(boundary, SlabOnGround):
            slab_ft += boundary.exposed_perimeter_m * face.area_m2 / boundary.floor_area_m2 / FT_M
            edge = INSULATED_SLAB if boundary.edge_insulation_resistance_m2k_w >= EDGE_FROM_M2K_W else edge
            continue
        beyond = _beyond_c(face.surface, spaces, outside, ground_c)
        share = (inside - beyond) / (inside - outside)
        elements.append((face.area_m2 / FT_M**2 * share, _us_u(face.u_value_w_m2k)))
    spell, hours = cold_spell(basis.weather, outside)
    at = {zone.name: k for k, zone in enumerate(house.zones)}
    flows = outdoor_air(house, spell).heat_m3_s[hours][-24:, [at[name] for name in warm]]
    load = heating_load(
        tuple(elements),
        dt_f=(inside - outside) / KELVIN_PER_F,
        slab_perimeter_ft=slab_ft,
        slab_factor_btu_h_ft_f=edge,
        air_cfm=float(flows.sum(axis=1).mean()) / CFM_M3_S,
        pressure_ratio=density_factor(basis.weather.elevation_m),
    )
    return load.total_btu_h * BTU_H_W


@dataclass(frozen=True)
class _HotDay:
    """The design day of the cooled rooms, and the air that enters them."""

    rooms: frozenset[str]
    inside_c: float
    outside_c: float
    daily_range_k: float
    air_cfm: float
    outside_dew_c: float


def _hot_day(basis: Basis) -> _HotDay:
    house, weather = basis.ahead.house, basis.weather
    cooled = [z for z in house.zones if z.thermostat is not None and z.thermostat.cooling_c is not None]
    rooms = frozenset(zone.name for zone in cooled)
    outside = design_temperature_c(weather.temp_c, COOLING_EXCEEDED_SHARE)
    hottest = np.argsort(weather.monthly_mean_temp_c())[-1]
    days = weather.temp_c[hottest == MONTH_OF_HOUR].reshape(-1, 24)
    at = [k for k, zone in enumerate(house.zones) if zone.name in rooms]
    hot = weather.temp_c >= outside
    flow = outdoor_air(house, weather).heat_m3_s[hot][:, at].sum(axis=1).mean()
    return _HotDay(
        rooms,
        float(np.mean([_cooled_to_c(zone) for zone in cooled])),
        outside,
        float((days.max(axis=1) - days.min(axis=1)).mean()),
        float(flow) / CFM_M3_S,
        float(weather.dew_point_c[hot].mean()),
    )


def _cold_w(basis: Basis, day: _HotDay) -> float:
    house, weather = basis.ahead.house, basis.weather
    dt_f, range_f = ((k / KELVIN_PER_F) for k in (day.outside_c - day.inside_c, day.daily_range_k))
    summer = np.isin(MONTH_OF_HOUR, np.argsort(weather.monthly_mean_temp_c())[-3:])
    peaks = {one.name: float(one.incident_sun_w_m2[summer].max()) for one in basis.hours_ahead.windows}
    load = sum(_face_btu_h(house, face, dt_f, range_f, peaks) for face in _faces(house, day.rooms))
    load += sensible_air_btu_h(day.air_cfm, dt_f, density_factor(weather.elevation_m))
    return (load + indoor_gains_btu_h(*_lived_in(basis))[0]) * BTU_H_W


def _latent_w(basis: Basis, day: _HotDay) -> float:
    pressure_pa = float(basis.weather.pressure_pa.mean())
    outside = moist_air(day.outside_dew_c, 1.0, pressure_pa).humidity_ratio_kg_kg
    inside = moist_air(day.inside_c, INSIDE_HUMIDITY, pressure_pa).humidity_ratio_kg_kg
    wetter = max(float(outside) - float(inside), 0.0)
    air = latent_air_btu_h(day.air_cfm, wetter, density_factor(basis.weather.elevation_m))
    return (air + indoor_gains_btu_h(*_lived_in(basis))[1]) * BTU_H_W


def _lived_in(basis: Basis) -> tuple[float, float]:
    """Floor in ft2 and people, as the form asks for the gains."""
    return basis.heated_area_m2 / FT_M**2, basis.ahead.use.occupants


def _face_btu_h(
    house: House, face: _Face, dt_f: float, range_f: float, peaks_w_m2: dict[str, float]
) -> float:
    area_ft2, u_value = face.area_m2 / FT_M**2, _us_u(face.u_value_w_m2k)
    if face.glass is None:
        kind = _opaque_kind(face.surface)
        if kind is None:
            return 0.0
        absorbs = face.surface.outside_absorptance
        return area_ft2 * opaque_cooling_btu_h_ft2(kind, u_value, dt_f, range_f, absorbs)
    return area_ft2 * window_cooling_btu_h_ft2(
        u_value=u_value,
        dt_f=dt_f,
        daily_range_f=range_f,
        peak_sun_btu_h_ft2=peaks_w_m2[face.glass.name] * FT_M**2 / BTU_H_W,
        shgc=_shgc(house, face.glass),
        shade_factor=prod(blind.solar_factor for blind in face.glass.blinds),
        load_share=_load_share(face.surface),
    )


def _faces(house: House, rooms: Set[str]) -> Iterator[_Face]:
    """Everything between these rooms and what is not one of them."""
    glass = {one.name: one for one in house.glazings}
    for surface in house.surfaces:
        beyond = surface.boundary.zone if isinstance(surface.boundary, OtherZone) else None
        if surface.zone not in rooms or beyond in rooms or surface.boundary.kind == "adiabatic":
            continue
        yield _Face(surface, surface.opaque_area_m2, _u_value(house, surface))
        for window in surface.windows:
            core = glass_conductance_w_m2k(glass[window.glazing])
            yield _Face(surface, window.area_m2, 1.0 / (1.0 / core + LABEL_FILMS_M2K_W), window)


def _u_value(house: House, surface: Surface) -> float:
    flow = heat_flow_through(surface.tilt_deg)
    layers, inside = construction_of(house, surface).layers, DESIGN_R_SI_M2K_W[flow]
    if isinstance(surface.boundary, BasementGround | SlabOnGround):
        bare = 1.0 / built_u_w_m2k(layers, flow, 0.0, 0.0)
        return own_u_w_m2k(surface.boundary, coupling(surface.boundary, bare))
    if isinstance(surface.boundary, FixedTemperature):
        return built_u_w_m2k(layers, flow, inside, 0.0)
    outside = inside if isinstance(surface.boundary, OtherZone) else DESIGN_R_SE_M2K_W
    return built_u_w_m2k(layers, flow, inside, outside)


def _space_c(house: House, zone: Zone, warm: dict[str, float], outside_c: float) -> float:
    """An unheated space by its own balance, other such spaces left out."""
    to_rooms = to_outside = 0.0
    for surface in house.surfaces:
        pair = {surface.zone, surface.boundary.zone if isinstance(surface.boundary, OtherZone) else ""}
        if zone.name in pair:
            loss = surface.opaque_area_m2 * _u_value(house, surface)
            to_rooms += loss if pair & set(warm) else 0.0
            to_outside += loss if surface.boundary.kind == "outdoors" else 0.0
    changes = zone.leakage.air_changes_per_h if zone.leakage is not None else 0.0
    if isinstance(changes, int | float):
        to_outside += AIR_WH_M3K * changes * zone.volume_m3
    if to_rooms + to_outside <= 0.0:
        return outside_c
    return unheated_space_c(float(np.mean(list(warm.values()))), outside_c, to_rooms, to_outside)


def _beyond_c(surface: Surface, spaces: dict[str, float], outside_c: float, ground_c: float) -> float:
    boundary = surface.boundary
    if isinstance(boundary, OtherZone):
        return spaces.get(boundary.zone, outside_c)
    if isinstance(boundary, FixedTemperature):
        return boundary.temperature_c if boundary.temperature_c is not None else ground_c
    return ground_c if isinstance(boundary, BasementGround) else outside_c


def _opaque_kind(surface: Surface) -> OpaqueSurface | None:
    """The row of the cooling factors; none for what lies on the ground."""
    boundary, above = surface.boundary, surface.tilt_deg < FLAT_BELOW_DEG
    if boundary.kind not in ("outdoors", "zone"):
        return None
    if above:
        return OpaqueSurface.ROOF if boundary.kind == "outdoors" else OpaqueSurface.CEILING_UNDER_VENTED_ATTIC
    if surface.tilt_deg > FLOOR_ABOVE_DEG:
        over_air = boundary.kind == "outdoors"
        return OpaqueSurface.FLOOR_OVER_AIR if over_air else OpaqueSurface.FLOOR_OVER_CRAWL_SPACE
    sunny = boundary.kind == "outdoors" and boundary.sun
    return OpaqueSurface.SUNLIT_WALL if sunny else OpaqueSurface.SHADED_WALL


def _load_share(surface: Surface) -> float:
    if surface.tilt_deg < FLAT_BELOW_DEG:
        return LOAD_SHARE_LEVEL
    return LOAD_SHARE[round(surface.azimuth_deg / 45.0) % 8]


def _shgc(house: House, window: Window) -> float:
    """Square to the glass, of the whole window."""
    glazing = next(one for one in house.glazings if one.name == window.glazing)
    if isinstance(glazing, GlazingByLabel):
        return glazing.shgc
    optics = window_optics(glazing, LABEL_OUTSIDE_W_M2K, glass_conductance_w_m2k(glazing))
    return float(optics.at(np.zeros(1))[0][0]) / LET_THROUGH * (1.0 - window.frame_fraction)


def _cooled_to_c(zone: Zone) -> float:
    """The coldest that the zone is cooled to."""
    assert zone.thermostat is not None
    return float(np.nanmin(hourly(zone.thermostat.cooling_c, np.inf)))


def _us_u(u_value_w_m2k: float) -> float:
    return u_value_w_m2k * KELVIN_PER_F * FT_M**2 / BTU_H_W
