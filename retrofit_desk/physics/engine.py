"""A house and a year of weather in, a simulated year out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.description import House
from retrofit_desk.physics.plant_results import LoadYear, load_year
from retrofit_desk.physics.results import Balance, SurfaceYear, WindowYear, YearResult, ZoneYear
from retrofit_desk.physics.stepping import HOUR_S, Model, Run, build_model, step_year
from retrofit_desk.physics.weather import WeatherYear

__all__ = ["Model", "build_model", "heat_account", "run_loads", "run_model", "run_year", "step_year"]

Array = NDArray[np.float64]


def run_year(house: House, weather: WeatherYear) -> YearResult:
    """Simulate a year by the hour; see `run_model`."""
    return run_model(build_model(house, weather))


def run_loads(house: House, weather: WeatherYear) -> LoadYear:
    """The loads of `run_year` alone: no faces, no account, a third of the work and of the memory."""
    from retrofit_desk.physics.room_moisture import room_moisture

    model = build_model(house, weather)
    run = step_year(model, keep_states=False)
    moisture = room_moisture(model, run)
    names = tuple(zone.name for zone in house.zones)
    return load_year(
        names, run.power_w, moisture.latent_cooling_w, run.air_c, moisture.humidity_ratio, weather
    )


def run_model(model: Model) -> YearResult:
    """Step a model and lay out its year; the residual of the heat account says how well it closes."""
    run = step_year(model)
    house, zones = model.house, len(model.house.zones)
    inner = run.seen_c[:, 2 * zones : 2 * zones + len(house.surfaces)]
    surfaces = tuple(
        SurfaceYear(
            s.name, sun.incident_w_m2, sun.unshaded_w_m2, inner[:, i].copy(), _pipe_plane(model, run, i)
        )
        for i, (s, sun) in enumerate(zip(house.surfaces, model.forcing.sun.surfaces, strict=True))
    )
    glass = (window for surface in house.surfaces for window in surface.windows)
    windows = tuple(
        WindowYear(
            window.name,
            house.surfaces[sun.surface].name,
            sun.incident_w_m2,
            sun.transmitted_w,
            sun.absorbed_outer_w + sun.absorbed_inner_w,
        )
        for window, sun in zip(glass, model.forcing.sun.windows, strict=True)
    )
    return YearResult(
        house.name,
        model.weather.name,
        _zone_years(model, run),
        surfaces,
        windows,
        heat_account(model, run),
        run.repeats,
        run.settled,
        run.unsettled,
    )


def _pipe_plane(model: Model, run: Run, surface: int) -> Array | None:
    pipe = model.network.surfaces[surface].pipe
    if pipe is None:
        return None
    (at,) = np.flatnonzero(model.network.seen[-_pipes(model) :] == pipe)
    return run.seen_c[:, at - _pipes(model)].copy()


def _pipes(model: Model) -> int:
    return sum(nodes.pipe is not None for nodes in model.network.surfaces)


def _zone_years(model: Model, run: Run) -> tuple[ZoneYear, ...]:
    flow = run.air.leakage_m3_s + run.air.fan_m3_s
    rooms = [k for k, zone in enumerate(model.house.zones) for _ in zone.openings]
    for opening, k in enumerate(rooms):
        flow[:, k] += run.opening_m3_s[:, opening]
    from retrofit_desk.physics.room_moisture import room_moisture

    moisture = room_moisture(model, run)
    latent = moisture.latent_cooling_w
    count = len(model.house.zones)
    radiant = run.seen_c[:, count : 2 * count]
    return tuple(
        ZoneYear(
            zone.name,
            run.air_c[:, k].copy(),
            radiant[:, k].copy(),
            np.maximum(run.power_w[:, k], 0.0),
            np.maximum(-run.power_w[:, k], 0.0),
            run.outdoor_air_w[:, k].copy(),
            flow[:, k].copy(),
            run.gains_w[:, k].copy(),
            model.forcing.transmitted_w[k],
            moisture.humidity_ratio[:, k].copy(),
            latent[:, k].copy(),
        )
        for k, zone in enumerate(model.house.zones)
    )


def heat_account(model: Model, run: Run) -> Balance:
    """Stored heat against the sum of all flows over the year."""
    network, modes = model.network, model.modes
    stored = float(network.capacity_j_k @ (modes.shape @ (run.end_modes - run.start_modes))) / HOUR_S
    lost = float(network.to_known_w_k @ (modes.shape @ run.total_modes))
    lost += float(modes.at_once_to_known @ run.entered_wh)
    given = float(model.forcing.link_month_wh.sum()) + float(run.shades_w.sum())
    sun = float(model.forcing.heat_month_wh.sum())
    air, gains = float(run.outdoor_air_w.sum()), float(run.gains_w.sum())
    heat, cold = float(np.maximum(run.power_w, 0.0).sum()), float(np.maximum(-run.power_w, 0.0).sum())
    gap = stored - (sun + given - lost + air + gains + heat - cold)
    traffic = max(abs(v) for v in (sun, given, lost, air, gains, heat, cold, 1.0))
    return Balance(sun, given - lost, air, gains, heat, cold, stored, gap / traffic)
