"""Weather files: the shipped typical year, and files that cannot be used."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import numpy as np
import pytest

from retrofit_desk.exchange.weather import BadWeather, greensboro, read_weather
from retrofit_desk.physics.sun import path_of, sun_path
from retrofit_desk.physics.weather import MONTH_OF_HOUR, sky_infrared_w_m2


@pytest.fixture(scope="module")
def lines() -> list[str]:
    return (resources.files("pvlib") / "data" / "723170TYA.CSV").read_text().splitlines(keepends=True)


def test_greensboro_sums_are_those_of_the_file() -> None:
    # WEA-1, WEA-2: plain sums over the rows of the shipped TMY3 file of station 723170
    weather = greensboro()
    assert weather.ghi_w_m2.sum() / 1000 == pytest.approx(1566.203, abs=0.001)
    assert weather.dni_w_m2.sum() / 1000 == pytest.approx(1476.549, abs=0.001)
    assert weather.dhi_w_m2.sum() / 1000 == pytest.approx(682.223, abs=0.001)
    assert weather.temp_c.mean() == pytest.approx(14.4218, abs=0.0001)
    assert (weather.temp_c.min(), weather.temp_c.max()) == (-16.7, 35.6)
    assert weather.dew_point_c.mean() == pytest.approx(8.1796, abs=0.0001)
    assert weather.rh_percent.mean() == pytest.approx(69.516, abs=0.001)
    assert weather.pressure_pa.mean() == pytest.approx(98691.7, abs=0.1)
    assert weather.wind_m_s.mean() == pytest.approx(3.0544, abs=0.0001)
    assert (weather.latitude_deg, weather.longitude_deg, weather.elevation_m) == (36.1, -79.95, 273.0)


def test_months_of_greensboro_are_in_their_order() -> None:
    # WEA-5: monthly means of the same file
    monthly = greensboro().monthly_mean_temp_c()
    assert monthly[[3, 6, 9, 11]] == pytest.approx([14.6853, 25.4331, 13.1200, 4.2286], abs=1e-4)
    ghi = np.bincount(MONTH_OF_HOUR, greensboro().ghi_w_m2)[[3, 6]] / 1000 / np.array([30, 31])
    assert ghi == pytest.approx([5.4101, 6.0833], abs=1e-4)


def test_sun_stands_at_the_half_hour_before_the_stamp() -> None:
    # WEA-6: residual of global against direct and diffuse, by TMY3's hour-ending definition
    weather = greensboro()
    lit = weather.ghi_w_m2 > 0

    def rms(offset_h: float) -> float:
        path = sun_path(
            weather.latitude_deg, weather.longitude_deg, weather.elevation_m, weather.utc_offset_h + offset_h
        )
        cosine = np.maximum(np.cos(np.radians(path.zenith_deg)), 0.0)
        gap = weather.dni_w_m2 * cosine + weather.dhi_w_m2 - weather.ghi_w_m2
        return float(np.sqrt((gap[lit] ** 2).mean()))

    assert rms(0.0) < 3.0
    assert rms(0.5) > 20.0
    assert rms(-0.5) > 20.0


def test_index_is_hour_ending_and_knows_its_offset() -> None:
    index = greensboro().index
    assert len(index) == 8760
    assert index[0].isoformat() == "2001-01-01T01:00:00-05:00"
    assert index[-1].isoformat() == "2002-01-01T00:00:00-05:00"


@pytest.mark.parametrize(
    ("air", "dew", "tenths", "expected"),
    [(20, 10, 0, 341.25), (0, -5, 0, 244.10), (30, 20, 0, 402.95), (20, 10, 5, 361.55), (20, 10, 10, 393.80)],
)
def test_sky_infrared_from_dew_point_and_clouds(
    air: float, dew: float, tenths: float, expected: float
) -> None:
    # SOL-16: Clark and Allen 1978 with Walton 1983 (from memory)
    found = sky_infrared_w_m2(np.array([air]), np.array([dew]), np.array([tenths]))
    assert found[0] == pytest.approx(expected, abs=0.1)


def test_two_readings_of_one_file_are_one_year_to_a_cache() -> None:
    first, second = greensboro(), greensboro()
    assert first == second
    assert hash(first) == hash(second)
    assert path_of(first) is path_of(second)


def written(tmp_path: Path, lines: list[str]) -> Path:
    path = tmp_path / "year.csv"
    path.write_text("".join(lines))
    return path


def test_year_with_a_missing_hour_is_refused_by_its_row(tmp_path: Path, lines: list[str]) -> None:
    path = written(tmp_path, lines[:100] + lines[101:])
    with pytest.raises(BadWeather, match=r"after row 100: .*8,760 hours, this file has 8,759"):
        read_weather(path)


def test_leap_day_is_refused(tmp_path: Path, lines: list[str]) -> None:
    day = [line.replace("02/28/", "02/29/", 1) for line in lines if line.startswith("02/28/")]
    leap = [line.replace(line[6:10], "1988", 1) for line in day]
    at = next(i for i, line in enumerate(lines) if line.startswith("03/01/"))
    with pytest.raises(BadWeather, match="29 February"):
        read_weather(written(tmp_path, lines[:at] + leap + lines[at:]))


@pytest.mark.parametrize(
    ("column", "value", "told"),
    [
        (31, "-9900", "dry bulb in °C is missing"),
        (31, "120.0", "is 120"),
        (40, "20", "pressure in Pa is 2000"),
    ],
)
def test_hole_or_impossible_value_is_named_by_its_row(
    tmp_path: Path, lines: list[str], column: int, value: str, told: str
) -> None:
    cells = lines[2 + 500].split(",")
    cells[column] = value
    changed = [*lines[:502], ",".join(cells), *lines[503:]]
    with pytest.raises(BadWeather) as caught:
        read_weather(written(tmp_path, changed))
    assert told in caught.value.line()
    assert "row 503 (01-21 21:00)" in caught.value.line()


def test_file_that_is_no_weather_is_one_line(tmp_path: Path) -> None:
    path = tmp_path / "note.csv"
    path.write_text("hello\n")
    with pytest.raises(BadWeather, match="not a weather file") as caught:
        read_weather(path)
    assert "\n" not in caught.value.line()
