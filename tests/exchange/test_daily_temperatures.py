"""Daily outdoor temperatures from a table."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from retrofit_desk.exchange.daily_temperatures import (
    BadTemperatures,
    names_temperatures,
    read_daily_temperatures,
)


def read(tmp_path: Path, text: str) -> dict[date, float]:
    path = tmp_path / "days.csv"
    path.write_text(text, encoding="utf-8")
    return read_daily_temperatures(path)


@pytest.mark.parametrize(
    "text",
    [
        "date,mean (°F)\n2025-01-01,41\n2025-07-01,77\n",
        "Date,Mean temperature (C)\n2025-01-01,5\n2025-07-01,25\n",
        '"STATION","DATE","TMAX","TMIN"\n"X","2025-01-01","50","32"\n"X","2025-07-01","87","67"\n',
        "DATE,TAVG,TMAX\n1/1/2025,41,99\n7/1/2025,77,99\n",
        "date,high F,low F\n2025-01-01,50,32\n2025-01-02,,\n2025-07-01,87,67\n",
    ],
)
def test_the_mean_of_each_day_is_read(text: str, tmp_path: Path) -> None:
    assert read(tmp_path, text) == {
        date(2025, 1, 1): pytest.approx(41.0),
        date(2025, 7, 1): pytest.approx(77.0),
    }
    assert names_temperatures(text.splitlines()[0].replace('"', "").split(","))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "no column date"),
        ("day,mean\n", "no column date"),
        ("date,high\n2025-01-01,3\n", "no column of a mean"),
        ("date,mean\n", "holds no temperature"),
        ("date,mean\n2025-01-01,12\n", "cannot tell °F from °C"),
        ("date,mean F\n2025-01-01,cold\n", "row 2: 'cold' is no temperature"),
        ("date,mean F\n2025-13-01,12\n", "row 2: '2025-13-01' is no date"),
        ("date,mean F\n2025-01-01,12\n2025-01-01,13\n", "row 3: 2025-01-01 stands twice"),
        ("date,mean F\n2025-01-01,412\n", "412 °F on 2025-01-01 cannot be"),
    ],
)
def test_a_fault_is_one_line(text: str, told: str, tmp_path: Path) -> None:
    with pytest.raises(BadTemperatures) as error:
        read(tmp_path, text)
    assert told in error.value.line()
