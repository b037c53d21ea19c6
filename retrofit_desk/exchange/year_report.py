"""A simulated year as files: hourly tables and a summary with stable keys."""

from __future__ import annotations

import csv
import json
from collections.abc import Sequence
from math import isnan
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.exchange.year_chart import write_year_chart
from retrofit_desk.physics.results import (
    Peak,
    SurfaceYear,
    WindowYear,
    YearResult,
    ZoneYear,
    monthly_kwh,
    peak,
)
from retrofit_desk.values.errors import DeskError

Array = NDArray[np.float64]
Json = dict[str, object]
REPORT_VERSION = 1
STAMPS = tuple(Peak(0.0, hour).stamp for hour in range(8760))


class CannotWrite(DeskError):
    """The folder for the report cannot be written."""

    exit_code = 3


def summary(year: YearResult) -> Json:
    """The year in numbers; units stand in the keys, times are hour-ending local standard time."""
    return {
        "report_version": REPORT_VERSION,
        "house": year.house,
        "weather": year.weather,
        "annual": _loads(year.heating_w, year.cooling_w),
        "monthly": _months(year.heating_w, year.cooling_w),
        "zones": [_zone(zone) for zone in year.zones],
        "surfaces": [_surface(surface, year.windows) for surface in year.surfaces],
        "windows": [_window(window) for window in year.windows],
        "heat_account": {
            "sun_and_sky_kwh": year.balance.sun_and_sky_wh / 1000.0,
            "boundaries_kwh": year.balance.boundaries_wh / 1000.0,
            "outdoor_air_kwh": year.balance.outdoor_air_wh / 1000.0,
            "gains_kwh": year.balance.gains_wh / 1000.0,
            "heating_kwh": year.balance.heating_wh / 1000.0,
            "cooling_kwh": year.balance.cooling_wh / 1000.0,
            "stored_kwh": year.balance.stored_wh / 1000.0,
            "residual_share": year.balance.residual_share,
        },
        "start": {"january_repeats": year.start_repeats, "settled": year.start_settled},
        "unsettled_hours": year.unsettled_hours,
    }


def hours(year: YearResult) -> Json:
    """Every hour, 8,760 values a key in the order of the year; `hour_ending` tells their times."""
    return {
        "hour_ending": list(STAMPS),
        "zones": [{"name": zone.name} | _listed(_zone_columns(zone)) for zone in year.zones],
        "surfaces": [
            {"name": one.name} | _listed([("incident_sun_w_m2", one.incident_sun_w_m2)])
            for one in year.surfaces
        ],
        "windows": [
            {"name": one.name, "surface": one.surface}
            | _listed(
                [
                    ("incident_sun_w_m2", one.incident_sun_w_m2),
                    ("transmitted_sun_w", one.transmitted_sun_w),
                ]
            )
            for one in year.windows
        ],
    }


def write_report(
    year: YearResult, told: Json, plant: Sequence[tuple[str, Array]], folder: Path | str
) -> tuple[Path, ...]:
    """Write `summary.json` (what `told` holds), `year.png`, `sun.csv` and one `zone-NAME.csv` a zone.

    `plant`: hourly columns for `plant.csv`; none, no such file. Returns the paths.
    """
    folder = Path(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        paths = [folder / "summary.json"]
        paths[0].write_text(json.dumps(told, indent=1, allow_nan=False) + "\n", encoding="utf-8")
        for number, zone in enumerate(year.zones):
            paths.append(folder / f"zone-{_file_name(zone.name, number)}.csv")
            _table(paths[-1], _zone_columns(zone))
        paths.append(write_year_chart(year, folder / "year.png"))
        paths.append(folder / "sun.csv")
        _table(paths[-1], _sun_columns(year))
        if plant:
            paths.append(folder / "plant.csv")
            _table(paths[-1], plant)
    except OSError as cause:
        raise CannotWrite(
            f"the report cannot be written ({cause.strerror or cause})",
            where=str(folder),
            do="choose a folder you can write to",
        ) from cause
    return tuple(paths)


def _loads(heating_w: Array, cooling_w: Array) -> Json:
    heat, cold = peak(heating_w), peak(cooling_w)
    return {
        "heating_kwh": float(heating_w.sum() / 1000.0),
        "cooling_kwh": float(cooling_w.sum() / 1000.0),
        "peak_heating_w": heat.power_w,
        "peak_heating_hour_ending": heat.stamp if heat.power_w > 0 else None,
        "peak_cooling_w": cold.power_w,
        "peak_cooling_hour_ending": cold.stamp if cold.power_w > 0 else None,
    }


def _months(heating_w: Array, cooling_w: Array) -> Json:
    return {"heating_kwh": monthly_kwh(heating_w), "cooling_kwh": monthly_kwh(cooling_w)}


def _zone(zone: ZoneYear) -> Json:
    high, low = int(np.argmax(zone.air_c)), int(np.argmin(zone.air_c))
    return {
        "name": zone.name,
        **_loads(zone.heating_w, zone.cooling_w),
        "monthly": _months(zone.heating_w, zone.cooling_w),
        "air_mean_c": float(zone.air_c.mean()),
        "air_max_c": float(zone.air_c[high]),
        "air_max_hour_ending": STAMPS[high],
        "air_min_c": float(zone.air_c[low]),
        "air_min_hour_ending": STAMPS[low],
        "transmitted_sun_kwh": float(zone.transmitted_sun_w.sum() / 1000.0),
        "outdoor_air_kwh": float(zone.outdoor_air_w.sum() / 1000.0),
        "latent_cooling_kwh": float(zone.latent_cooling_w.sum() / 1000.0),
    }


def _surface(surface: SurfaceYear, windows: tuple[WindowYear, ...]) -> Json:
    through_w = sum((w.transmitted_sun_w for w in windows if w.surface == surface.name), np.zeros(8760))
    return {
        "name": surface.name,
        "incident_sun_kwh_m2": float(surface.incident_sun_w_m2.sum() / 1000.0),
        "unshaded_sun_kwh_m2": float(surface.unshaded_sun_w_m2.sum() / 1000.0),
        "monthly_incident_sun_kwh_m2": monthly_kwh(surface.incident_sun_w_m2),
        "transmitted_sun_kwh": float(through_w.sum() / 1000.0),
        "monthly_transmitted_sun_kwh": monthly_kwh(through_w),
    }


def _window(window: WindowYear) -> Json:
    return {
        "name": window.name,
        "surface": window.surface,
        "incident_sun_kwh_m2": float(window.incident_sun_w_m2.sum() / 1000.0),
        "transmitted_sun_kwh": float(window.transmitted_sun_w.sum() / 1000.0),
        "absorbed_sun_kwh": float(window.absorbed_sun_w.sum() / 1000.0),
        "monthly_transmitted_sun_kwh": monthly_kwh(window.transmitted_sun_w),
    }


def _zone_columns(zone: ZoneYear) -> list[tuple[str, Array]]:
    return [
        ("air_c", zone.air_c),
        ("mean_radiant_c", zone.mean_radiant_c),
        ("operative_c", zone.operative_c),
        ("heating_w", zone.heating_w),
        ("cooling_w", zone.cooling_w),
        ("latent_cooling_w", zone.latent_cooling_w),
        ("outdoor_air_w", zone.outdoor_air_w),
        ("outdoor_air_m3_s", zone.outdoor_air_m3_s),
        ("gains_w", zone.gains_w),
        ("transmitted_sun_w", zone.transmitted_sun_w),
        ("humidity_ratio_kg_kg", zone.humidity_ratio_kg_kg),
    ]


def _sun_columns(year: YearResult) -> list[tuple[str, Array]]:
    columns = [(f"{s.name} incident_w_m2", s.incident_sun_w_m2) for s in year.surfaces]
    for window in year.windows:
        columns.append((f"{window.surface}/{window.name} incident_w_m2", window.incident_sun_w_m2))
        columns.append((f"{window.surface}/{window.name} transmitted_w", window.transmitted_sun_w))
    return columns


def _listed(columns: Sequence[tuple[str, Array]]) -> Json:
    """Six digits a value; what is not known in an hour is null."""
    return {
        name: [None if isnan(v) else float(f"{v:.6g}") for v in values.tolist()] for name, values in columns
    }


def _table(path: Path, columns: Sequence[tuple[str, Array]]) -> None:
    with path.open("w", newline="", encoding="utf-8") as handle:
        writer = csv.writer(handle)
        writer.writerow(["hour_ending", *(name for name, _ in columns)])
        for hour, row in enumerate(zip(*(values.tolist() for _, values in columns), strict=True)):
            writer.writerow([STAMPS[hour], *(f"{v:.6g}" for v in row)])


def _file_name(name: str, number: int) -> str:
    kept = "".join(c if c.isalnum() else "-" for c in name.lower()).strip("-")
    return f"{number + 1:02d}-{kept}" if kept else f"{number + 1:02d}"
