"""Twelve months of normals typed into a TOML file, made into a typical year."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.typical_year import MonthlyNormals, typical_year
from retrofit_desk.physics.weather import WeatherYear
from retrofit_desk.values.errors import DeskError


class BadNormals(DeskError):
    """A file of monthly normals that cannot be used as it is."""


def _twelve(low: float, high: float) -> object:
    value = Annotated[float, Field(ge=low, le=high)]
    return Annotated[tuple[value, ...], Field(min_length=12, max_length=12)]


class _NormalsFile(BaseModel):
    """The keys of the file; lists hold twelve values, January first."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    name: str = Field(min_length=1, max_length=80)
    latitude_deg: Annotated[float, Field(ge=-90, le=90)]
    longitude_deg: Annotated[float, Field(ge=-180, le=180)]
    elevation_m: Annotated[float, Field(ge=-500, le=6000)]
    utc_offset_h: Annotated[float, Field(ge=-12, le=14)]
    mean_temp_c: _twelve(-60.0, 50.0)  # type: ignore[valid-type]
    daily_range_k: _twelve(0.0, 35.0)  # type: ignore[valid-type]
    dew_point_c: _twelve(-70.0, 35.0)  # type: ignore[valid-type]
    sun_kwh_m2_day: _twelve(0.0, 12.0)  # type: ignore[valid-type]
    wind_m_s: _twelve(0.0, 30.0)  # type: ignore[valid-type]
    wind_dir_deg: _twelve(0.0, 360.0)  # type: ignore[valid-type]
    source: str = Field(min_length=1, max_length=200)


def read_normals(path: Path) -> WeatherYear:
    """A typical year from a file of normals. Raises `BadNormals` with the key that is wrong or missing."""
    try:
        entry = _NormalsFile.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
        normals = MonthlyNormals(**entry.model_dump())
        return typical_year(replace(normals, source=f"monthly normals of {normals.source}"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as cause:
        raise BadNormals(f"this is not TOML: {cause}", where=str(path)) from cause
    except ValidationError as cause:
        first = cause.errors(include_url=False)[0]
        key = ".".join(str(step) for step in first["loc"])
        missing = first["type"] == "missing"
        words = "cannot say the weather without this key" if missing else first["msg"]
        raise BadNormals(f"{key}: {words}", where=str(path), do="correct this entry") from cause
    except ImpossibleValue as cause:
        raise BadNormals(cause.what, where=str(path), do="correct the month") from cause
