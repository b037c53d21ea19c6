"""Weather files: the shipped typical year, and files that cannot be used."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from importlib import resources
from pathlib import Path

import numpy as np
import pytest

from retrofit_desk.exchange.weather import BadWeather, greensboro, read_weather
from retrofit_desk.exchange.weather_normals import BadNormals
from retrofit_desk.physics.sun import path_of, sun_path
from retrofit_desk.physics.weather import MONTH_OF_HOUR, WeatherYear, sky_infrared_w_m2


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


def test_a_year_is_the_same_on_a_processor_that_rounds_otherwise() -> None:
    year = greensboro()
    last_bits = replace(year, ir_sky_w_m2=np.nextafter(year.ir_sky_w_m2, np.inf))
    other = replace(year, ir_sky_w_m2=year.ir_sky_w_m2 + 0.01)
    assert last_bits.fingerprint == year.fingerprint != other.fingerprint


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


def test_word_in_place_of_a_number_is_told_in_one_line_and_nothing_else(
    tmp_path: Path, lines: list[str], recwarn: pytest.WarningsRecorder
) -> None:
    cells = lines[502].split(",")
    cells[31] = "calm"
    with pytest.raises(BadWeather, match=r"row 503 .* dry bulb in °C is missing"):
        read_weather(written(tmp_path, [*lines[:502], ",".join(cells), *lines[503:]]))
    assert [str(one.message) for one in recwarn] == []


def test_file_without_its_first_row_or_without_rows_is_told_so(tmp_path: Path, lines: list[str]) -> None:
    with pytest.raises(BadWeather, match="row 1: the first row does not name the place"):
        read_weather(written(tmp_path, lines[1:]))
    with pytest.raises(BadWeather, match="not on lines of their own"):
        read_weather(written(tmp_path, [line.rstrip("\n") + "," for line in lines]))


def test_file_that_is_no_weather_is_one_line(tmp_path: Path) -> None:
    path = tmp_path / "note.csv"
    path.write_text("hello\n")
    with pytest.raises(BadWeather, match="not a weather file") as caught:
        read_weather(path)
    assert "\n" not in caught.value.line()


def swapped(lines: list[str], first: int, second: int) -> list[str]:
    """Two days of the file change places."""
    a, b = 2 + 24 * first, 2 + 24 * second
    return [*lines[:a], *lines[b : b + 24], *lines[a + 24 : b], *lines[a : a + 24], *lines[b + 24 :]]


def test_days_in_the_wrong_order_are_refused_by_the_row(tmp_path: Path, lines: list[str]) -> None:
    with pytest.raises(BadWeather, match=r"row 243: the hours do not follow one another: 01-11 01:00 is due"):
        read_weather(written(tmp_path, swapped(lines, 10, 200)))


def test_month_in_the_place_of_another_is_refused(tmp_path: Path, lines: list[str]) -> None:
    january, rest = lines[2 : 2 + 744], lines[2 + 744 :]
    with pytest.raises(BadWeather, match="row 3: the hours do not follow one another"):
        read_weather(written(tmp_path, [*lines[:2], *rest, *january]))


def test_leap_day_in_a_year_of_8760_hours_is_refused(tmp_path: Path, lines: list[str]) -> None:
    march = next(i for i, line in enumerate(lines) if line.startswith("03/01/"))
    day = [line.replace("02/28/", "02/29/", 1) for line in lines if line.startswith("02/28/")]
    leap = [line.replace(line[6:10], "1988", 1) for line in day]
    with pytest.raises(BadWeather, match=r"03-0[12] .*is due"):
        read_weather(written(tmp_path, [*lines[:march], *leap, *lines[march:-24]]))


@pytest.mark.parametrize("day", ["02/29/1990", "02/30/1988", "13/01/1990"])
def test_row_of_a_day_that_never_was_is_named(tmp_path: Path, lines: list[str], day: str) -> None:
    at = next(i for i, line in enumerate(lines) if line.startswith("02/28/"))
    changed = [*lines[:at], day + lines[at][10:], *lines[at + 1 :]]
    month, of_month, year = day.split("/")
    with pytest.raises(BadWeather, match=rf"row {at + 1}: {year}-{month}-{of_month} is no day"):
        read_weather(written(tmp_path, changed))


def test_column_that_is_cut_off_is_told_as_one(tmp_path: Path, lines: list[str]) -> None:
    cut = [*lines[:1], *(",".join(line.split(",")[:35]) + "\n" for line in lines[1:])]
    with pytest.raises(BadWeather, match="relative humidity in % is missing in every row"):
        read_weather(written(tmp_path, cut))


def test_typical_year_keeps_one_year_within_a_month(tmp_path: Path, lines: list[str]) -> None:
    mixed = [line.replace(line[6:10], "1955", 1) if line.startswith("03/1") else line for line in lines]
    with pytest.raises(BadWeather, match=r"the rows change from \d{4} to 1955 within a month"):
        read_weather(written(tmp_path, mixed))


@pytest.mark.parametrize(
    ("at", "value", "told"),
    [
        (3, "5.0", "the clock of UTC\\+5 does not belong to longitude -79.95"),
        (4, "98.0", "latitude in degrees is 98, it must lie between -90 and 90"),
        (6, "30000", "elevation in m is 30000"),
        (5, "east", "not a weather file that can be read"),
        (4, "nan", "latitude in degrees is nan"),
    ],
)
def test_place_that_cannot_be_is_refused(
    tmp_path: Path, lines: list[str], at: int, value: str, told: str
) -> None:
    cells = lines[0].rstrip("\n").split(",")
    cells[at] = value
    with pytest.raises(BadWeather, match=told):
        read_weather(written(tmp_path, [",".join(cells) + "\n", *lines[1:]]))


@pytest.mark.parametrize("value", ["nan", "", "warm", "inf"])
def test_hole_of_any_spelling_is_one_line(tmp_path: Path, lines: list[str], value: str) -> None:
    cells = lines[502].split(",")
    cells[31] = value
    with pytest.raises(BadWeather) as caught:
        read_weather(written(tmp_path, [*lines[:502], ",".join(cells), *lines[503:]]))
    assert "\n" not in caught.value.line()
    assert "row 503 (01-21 21:00): dry bulb in °C is" in caught.value.line()


def epw_of(weather: WeatherYear, infrared: str) -> str:
    """The year in the rows of an EPW file, its infrared column all alike."""
    place = f"LOCATION,Invented,-,-,made,0,{weather.latitude_deg},{weather.longitude_deg},"
    head = [f"{place}{weather.utc_offset_h},{weather.elevation_m}", *["-"] * 7]
    rows = []
    for hour, stamp in enumerate(weather.index):
        day = stamp - timedelta(hours=1)
        cells = ["0"] * 35
        cells[0:5] = ["2001", str(day.month), str(day.day), str(day.hour + 1), "0"]
        for at, values in (
            (6, weather.temp_c), (7, weather.dew_point_c), (8, weather.rh_percent), (9, weather.pressure_pa),
            (13, weather.ghi_w_m2), (14, weather.dni_w_m2), (15, weather.dhi_w_m2),
            (20, weather.wind_dir_deg), (21, weather.wind_m_s), (22, weather.cloud_tenths),
        ):  # fmt: skip
            cells[at] = f"{values[hour]:.10g}"
        cells[12] = infrared
        rows.append(",".join(cells))
    return "\n".join((*head, *rows)) + "\n"


def test_one_year_reads_alike_in_both_forms(tmp_path: Path) -> None:
    # FMT-5, FMT-6: rows end their hour and keep their order; 24:00 is read; mbar of one is Pa of the other
    weather, path = greensboro(), tmp_path / "year.epw"
    path.write_text(epw_of(weather, "9999"))
    found = read_weather(path)
    for name in ("temp_c", "dni_w_m2", "wind_m_s", "ir_sky_w_m2", "pressure_pa"):
        assert getattr(found, name) == pytest.approx(getattr(weather, name))
    path.write_text(epw_of(weather, "0"))
    assert read_weather(path).ir_sky_w_m2 == pytest.approx(weather.ir_sky_w_m2)
    path.write_text(epw_of(weather, "900"))
    with pytest.raises(BadWeather, match="infrared of the sky is 900 W/m2"):
        read_weather(path)


NORMALS = """
name = "Upper Vale"
source = "thirty years of the invented station"
latitude_deg = 36.1
longitude_deg = -79.95
elevation_m = 273
utc_offset_h = -5
mean_temp_c = [3.5, 5.4, 9.7, 14.7, 19.1, 23.5, 25.4, 24.6, 21.2, 14.9, 9.8, 5.1]
daily_range_k = [10, 11, 12, 12.5, 11.5, 11, 10.5, 10.5, 10.5, 12, 11.5, 10.5]
dew_point_c = [-3, -2, 2, 7, 13, 18, 20, 19.5, 16, 9, 3, -1]
sun_kwh_m2_day = [2.5, 3.3, 4.4, 5.4, 5.9, 6.2, 6.1, 5.5, 4.6, 3.6, 2.7, 2.2]
wind_m_s = [3.3, 3.5, 3.6, 3.5, 3.0, 2.7, 2.5, 2.4, 2.6, 2.8, 3.0, 3.0]
wind_dir_deg = [225, 225, 225, 225, 215, 215, 215, 215, 45, 45, 225, 225]
"""


def test_months_of_normals_become_a_year_of_lower_confidence(tmp_path: Path) -> None:
    path = tmp_path / "vale.toml"
    path.write_text(NORMALS)
    weather = read_weather(path)
    assert weather.monthly_mean_temp_c()[[0, 6]] == pytest.approx([3.5, 25.4])
    sun = np.bincount(MONTH_OF_HOUR, weather.ghi_w_m2)[[0, 6]] / 1000 / 31
    assert sun == pytest.approx([2.5, 6.1])
    assert "made from monthly normals" in weather.name
    assert "lower confidence" in weather.source


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("dew_point_c = [-3", "dew_point_c = [-3, -3", "dew_point_c: "),
        ("wind_m_s", "wind_mph", "wind_m_s: cannot say the weather without this key"),
        ("[2.5, 3.3", "[6.5, 3.3", "clearness of month 1"),
        ("latitude_deg = 36.1", "latitude_deg = 136.1", "latitude_deg: "),
        ("elevation_m = 273", "elevation_m = ", "this is not TOML"),
        ("[3.5, 5.4", "[nan, 5.4", "mean_temp_c.0: "),
    ],
)
def test_normals_with_a_fault_are_one_line(tmp_path: Path, old: str, new: str, told: str) -> None:
    path = tmp_path / "vale.toml"
    path.write_text(NORMALS.replace(old, new, 1))
    with pytest.raises(BadNormals) as caught:
        read_weather(path)
    assert told in caught.value.line()
    assert "\n" not in caught.value.line()
