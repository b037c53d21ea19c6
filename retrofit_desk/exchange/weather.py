"""Weather files in: typical years as TMY3 or EPW, checked row by row, put on one year."""

from __future__ import annotations

import warnings
from datetime import date
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.weather import (
    DAYS_IN_MONTH,
    HOURS,
    MONTH_OF_HOUR,
    YEAR,
    WeatherYear,
    sky_infrared_w_m2,
)
from retrofit_desk.values.errors import DeskError

if TYPE_CHECKING:
    import pandas as pd

Array = NDArray[np.float64]
KEPT = "nothing was changed"

# name, lowest, highest possible value, unit
LIMITS: tuple[tuple[str, float, float, str], ...] = (
    ("temp_c", -70.0, 60.0, "dry bulb in °C"),
    ("dew_point_c", -80.0, 40.0, "dew point in °C"),
    ("rh_percent", 0.0, 110.0, "relative humidity in %"),
    ("pressure_pa", 50_000.0, 110_000.0, "pressure in Pa"),
    ("wind_m_s", 0.0, 60.0, "wind speed in m/s"),
    ("wind_dir_deg", 0.0, 360.0, "wind direction in degrees"),
    ("ghi_w_m2", 0.0, 1500.0, "global sun in W/m2"),
    ("dni_w_m2", 0.0, 1450.0, "direct sun in W/m2"),
    ("dhi_w_m2", 0.0, 1200.0, "diffuse sun in W/m2"),
)
PLACE_LIMITS = (
    ("latitude", -90.0, 90.0, "latitude in degrees"),
    ("longitude", -180.0, 180.0, "longitude in degrees"),
    ("altitude", -500.0, 6000.0, "elevation in m"),
    ("TZ", -12.0, 14.0, "clock against UTC in h"),
)
FARTHEST_CLOCK_H = 4.0
INFRARED_LIMITS_W_M2 = (50.0, 700.0)


LONGEST_ROW, FIRST_ROWS = 20_000, 10  # a row of a year has some 300 signs
PLACE_CELLS = 7  # TMY3: station, name, state, hours from UTC, latitude, longitude, height


class BadWeather(DeskError):
    """A weather file that cannot be used as it is."""


def read_weather(path: Path | str) -> WeatherYear:
    """Read a typical year; the form follows from the ending (.epw, monthly normals .toml, else TMY3 CSV).

    Raises `BadWeather` naming the row where a value is missing or impossible.
    """
    path = Path(path)
    if not path.is_file():
        raise BadWeather("there is no such weather file", where=str(path), do="check the path")
    if path.suffix.lower() == ".toml":
        from retrofit_desk.exchange.weather_normals import read_normals

        return read_normals(path)
    if path.stat().st_size == 0:
        raise BadWeather("the file is empty", where=str(path), kept=KEPT)
    is_epw = path.suffix.lower() == ".epw"
    first_row = 9 if is_epw else 3
    lines = path.read_text(encoding="utf-8-sig", errors="replace").splitlines()
    _check_head(path, lines, is_epw=is_epw)
    _check_dates(path, lines, is_epw=is_epw, first_row=first_row)
    try:
        frame, about = _tables(path, is_epw=is_epw)
        _check_rows(path, frame.index, first_row=first_row, ends=not is_epw)
        columns = _from_epw(frame) if is_epw else _from_tmy3(frame)
        _check_place(path, about)
        return _assemble(path, about, columns, first_row)
    except (KeyError, ValueError, TypeError, AttributeError) as cause:
        raise BadWeather(
            f"this is not a weather file that can be read ({type(cause).__name__})",
            where=str(path),
            do="use a typical year in EPW (.epw) or TMY3 (.csv) form",
        ) from cause


def _check_head(path: Path, lines: list[str], *, is_epw: bool) -> None:
    """The place stands in the first row; no row is as long as a file, whose columns a reader would count."""
    cells = lines[0].split(",") if lines else []
    if any(len(line) > LONGEST_ROW for line in lines[:FIRST_ROWS]):
        raise BadWeather(
            "its rows are not on lines of their own",
            where=str(path),
            kept=KEPT,
            do="use the file as it was published",
        )
    names_place = cells[:1] == ["LOCATION"] if is_epw else len(cells) == PLACE_CELLS
    if len(lines) > FIRST_ROWS and not names_place:
        raise BadWeather(
            "the first row does not name the place",
            where=f"{path}, row 1",
            kept=KEPT,
            do="put the file's first row back: station, its latitude, longitude and height",
        )


def _check_dates(path: Path, lines: list[str], *, is_epw: bool, first_row: int) -> None:
    """Every date that is written as one is a day of its year: 29 February of 1990 is none."""
    for row, line in enumerate(lines[first_row - 1 :], first_row):
        cells = line.split(",", 3)[:3] if is_epw else line.split(",", 1)[0].split("/")
        if len(cells) != 3 or not all(cell.strip().isdigit() for cell in cells):
            continue
        year, month, day = (int(cells[i]) for i in ((0, 1, 2) if is_epw else (2, 0, 1)))
        try:
            date(year, month, day)
        except (ValueError, OverflowError) as cause:
            raise BadWeather(
                f"{year:04d}-{month:02d}-{day:02d} is no day of the calendar",
                where=f"{path}, row {row}",
                kept=KEPT,
                do="put the row of the day that belongs here in its place",
            ) from cause


def _tables(path: Path, *, is_epw: bool) -> tuple[pd.DataFrame, dict[str, Any]]:
    import pandas as pd
    from pvlib import iotools

    try:
        with warnings.catch_warnings():  # what is no number is told by its row afterwards
            warnings.simplefilter("ignore", pd.errors.DtypeWarning)
            frame, about = iotools.read_epw(path) if is_epw else iotools.read_tmy3(path, map_variables=True)
    except Exception as cause:  # the reader meets anything a stranger's file can hold
        raise ValueError(type(cause).__name__) from cause
    return frame, about


def greensboro() -> WeatherYear:
    """The typical year of Greensboro, North Carolina, that ships with pvlib (station 723170, TMY3)."""
    return _of_pvlib("723170TYA.CSV")


def sand_point() -> WeatherYear:
    """The typical year of Sand Point, Alaska, that ships with pvlib (station 703165, TMY3)."""
    return _of_pvlib("703165TY.csv")


def _of_pvlib(name: str) -> WeatherYear:
    with resources.as_file(resources.files("pvlib") / "data" / name) as path:
        return read_weather(path)


def _check_rows(path: Path, stamps: pd.DatetimeIndex, *, first_row: int, ends: bool) -> None:
    """8,760 rows, each hour of each day once and in order, no leap day, each month from one year.

    `ends`: stamps stand at the end of their hour, else at its start.
    """
    if len(stamps) == HOURS + 24:
        raise BadWeather(
            "the year has a 29 February (8,784 hours)",
            where=str(path),
            kept=KEPT,
            do="take the leap day out",
        )
    due = _calendar(stamps, ends=ends)
    count = min(len(stamps), HOURS)
    wrong = np.zeros(count, dtype=bool)
    for part in ("month", "day", "hour"):
        wrong |= np.asarray(getattr(stamps, part))[:count] != np.asarray(getattr(due, part))[:count]
    row = int(np.argmax(wrong)) if wrong.any() else None
    if len(stamps) != HOURS:
        after = "" if row is None else f", after row {row + first_row - 1}"
        raise BadWeather(
            f"a year has 8,760 hours, this file has {len(stamps):,}", where=f"{path}{after}", kept=KEPT
        )
    if row is not None:
        raise BadWeather(
            f"the hours do not follow one another: {_stamp(row)} is due here",
            where=f"{path}, row {row + first_row}",
            kept=KEPT,
            do="put the rows in the order of the calendar, from 1 January, without a leap day",
        )
    _check_years(path, stamps, first_row=first_row, ends=ends)


def _calendar(stamps: pd.DatetimeIndex, *, ends: bool) -> pd.DatetimeIndex:
    """The stamps that a year without a leap day has."""
    import pandas as pd

    return pd.date_range(f"{YEAR}-01-01 {'01' if ends else '00'}:00", periods=HOURS, freq="h", tz=stamps.tz)


def _check_years(path: Path, stamps: pd.DatetimeIndex, *, first_row: int, ends: bool) -> None:
    """A typical year takes whole months from several years; within a month the year stays."""
    import pandas as pd

    years = np.asarray((stamps - pd.Timedelta(hours=1 if ends else 0)).year)
    for month in range(12):
        rows = np.flatnonzero(month == MONTH_OF_HOUR)
        other = np.flatnonzero(years[rows] != years[rows[0]])
        if len(other):
            row = int(rows[other[0]])
            raise BadWeather(
                f"the rows change from {years[rows[0]]} to {years[row]} within a month",
                where=f"{path}, row {row + first_row} ({_stamp(row)})",
                kept=KEPT,
                do="use a typical year, or one year alone",
            )


def _check_place(path: Path, about: dict[str, Any]) -> None:
    for key, low, high, label in PLACE_LIMITS:
        if not low <= float(about[key]) <= high:
            raise BadWeather(
                f"{label} is {float(about[key]):g}, it must lie between {low:g} and {high:g}",
                where=f"{path}, row 1",
                kept=KEPT,
            )
    clock_h, longitude = float(about["TZ"]), float(about["longitude"])
    apart_h = clock_h - longitude / 15.0
    if abs((apart_h + 12.0) % 24.0 - 12.0) > FARTHEST_CLOCK_H:
        raise BadWeather(
            f"the clock of UTC{clock_h:+g} does not belong to longitude {longitude:g}",
            where=f"{path}, row 1",
            kept=KEPT,
            do="look at the signs: east is positive",
        )


def _from_epw(frame: pd.DataFrame) -> dict[str, Array]:
    def column(name: str, missing: float | None = None) -> Array:
        values = _numbers(frame[name])
        return values if missing is None else np.where(values >= missing, np.nan, values)

    return {
        "temp_c": column("temp_air", 99.9),
        "dew_point_c": column("temp_dew", 99.9),
        "rh_percent": column("relative_humidity", 999.0),
        "pressure_pa": column("atmospheric_pressure", 999_999.0),
        "wind_m_s": column("wind_speed", 999.0),
        "wind_dir_deg": np.mod(column("wind_direction", 999.0), 360.0),
        "ghi_w_m2": column("ghi", 9999.0),
        "dni_w_m2": column("dni", 9999.0),
        "dhi_w_m2": column("dhi", 9999.0),
        "ir": _unless_zero(column("ghi_infrared", 9999.0)),
        "cloud_tenths": column("total_sky_cover", 99.0),
    }


def _numbers(cells: pd.Series) -> Array:
    """What is no number counts as missing, so that its row can be told."""
    import pandas as pd

    return np.asarray(pd.to_numeric(cells, errors="coerce").to_numpy(dtype=float))


def _unless_zero(infrared: Array) -> Array:
    """No sky gives nothing: some writers put 0 where the value is missing."""
    return np.where(infrared == 0.0, np.nan, infrared)


def _from_tmy3(frame: pd.DataFrame) -> dict[str, Array]:
    def column(*names: str) -> Array:
        for name in names:
            if name in frame:
                values = _numbers(frame[name])
                return np.where(values <= -9900.0, np.nan, values)
        return np.full(len(frame), np.nan)

    return {
        "temp_c": column("temp_air", "DryBulb"),
        "dew_point_c": column("temp_dew", "DewPoint"),
        "rh_percent": column("relative_humidity", "RHum"),
        "pressure_pa": column("pressure", "Pressure") * 100.0,
        "wind_m_s": column("wind_speed", "Wspd"),
        "wind_dir_deg": np.mod(column("wind_direction", "Wdir"), 360.0),
        "ghi_w_m2": column("ghi", "GHI"),
        "dni_w_m2": column("dni", "DNI"),
        "dhi_w_m2": column("dhi", "DHI"),
        "ir": np.full(len(frame), np.nan),
        "cloud_tenths": column("TotCld", "TotCld (tenths)", "total_sky_cover"),
    }


def _assemble(path: Path, about: dict[str, Any], columns: dict[str, Array], first_row: int) -> WeatherYear:
    for name, low, high, label in LIMITS:
        values = columns[name]
        if np.isnan(values).all():
            raise BadWeather(
                f"{label} is missing in every row",
                where=str(path),
                kept=KEPT,
                do="use a file with all the columns of its form",
            )
        bad = np.flatnonzero(~((values >= low) & (values <= high)))
        if len(bad):
            shown = "missing or no number" if np.isnan(values[bad[0]]) else f"{values[bad[0]]:g}"
            raise BadWeather(
                f"{label} is {shown}, it must lie between {low:g} and {high:g}",
                where=f"{path}, row {bad[0] + first_row} ({_stamp(int(bad[0]))})",
                kept=KEPT,
            )
    cloud, infrared = columns["cloud_tenths"], columns.pop("ir")
    low, high = INFRARED_LIMITS_W_M2
    bad = np.flatnonzero((infrared < low) | (infrared > high))
    if len(bad):
        raise BadWeather(
            f"infrared of the sky is {infrared[bad[0]]:g} W/m2, it must lie between {low:g} and {high:g}",
            where=f"{path}, row {bad[0] + first_row} ({_stamp(int(bad[0]))})",
            kept=KEPT,
        )
    if np.isnan(infrared).any():
        if np.isnan(cloud).any():
            row = int(np.flatnonzero(np.isnan(cloud))[0])
            raise BadWeather(
                "neither infrared nor cloud cover is given", where=f"{path}, row {row + first_row}", kept=KEPT
            )
        computed = sky_infrared_w_m2(columns["temp_c"], columns["dew_point_c"], np.clip(cloud, 0.0, 10.0))
        infrared = np.where(np.isnan(infrared), computed, infrared)
    columns["cloud_tenths"] = np.nan_to_num(cloud)
    name = about.get("city") or about.get("Name") or path.stem
    return WeatherYear(
        name=str(name).strip().strip('"'),
        source=path.name,
        latitude_deg=float(about["latitude"]),
        longitude_deg=float(about["longitude"]),
        elevation_m=float(about["altitude"]),
        utc_offset_h=float(about["TZ"]),
        ir_sky_w_m2=infrared,
        **columns,
    )


def _stamp(hour: int) -> str:
    day, clock = divmod(hour, 24)
    month = 0
    while day >= DAYS_IN_MONTH[month]:
        day -= DAYS_IN_MONTH[month]
        month += 1
    return f"{month + 1:02d}-{day + 1:02d} {clock + 1:02d}:00"
