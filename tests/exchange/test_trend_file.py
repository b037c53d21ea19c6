"""Logs of a machine's controller as controllers export them, and what they say about its runs."""

from __future__ import annotations

from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.exchange.readings_file import BadReadings
from retrofit_desk.exchange.trend_file import read_trend
from retrofit_desk.physics.machine_trend import MachineTrend, Quantity, TrendLine, kept, running, runs_of

NEW_YORK = ZoneInfo("America/New_York")
HEAD = "Time,Supply (°F),Return (°F),Power (kW),Flow (gpm),Supply setpoint (°F)\n"


def a_file(folder: Path, text: str) -> Path:
    path = folder / "log.csv"
    path.write_text(text, encoding="utf-8")
    return path


def rows(count: int = 12, line: str = "104.0,95.0,2.1,8.0,110") -> str:
    return "".join(f"2026-12-18 {6 + at // 4:02d}:{at % 4 * 15:02d},{line}\n" for at in range(count))


def test_a_log_in_us_units_is_read_by_its_headings(tmp_path: Path) -> None:
    # NIST SP 811, B.8: 1 gal = 3.785411784 L; 104 F = 40 C, 95 F = 35 C by definition
    found = read_trend(a_file(tmp_path, HEAD + rows()), NEW_YORK)
    assert [line.quantity for line in found.lines] == [
        Quantity.SUPPLY,
        Quantity.RETURN,
        Quantity.POWER,
        Quantity.FLOW,
    ]  # a set point is not a reading
    apart, flow, power = found.difference_k, found.of(Quantity.FLOW), found.of(Quantity.POWER)
    assert apart is not None
    assert flow is not None
    assert power is not None
    assert apart == pytest.approx(5.0)
    assert flow == pytest.approx(8.0 * 3.785411784e-3 / 60.0)
    assert power == pytest.approx(2100.0)
    assert found.step_s == 900
    first = datetime(2026, 12, 18, 6, tzinfo=NEW_YORK).astimezone(UTC)
    assert found.moments_s[0] == round(first.timestamp())


def test_date_and_time_apart_metric_names_and_a_newest_first_log_are_the_same_log(tmp_path: Path) -> None:
    lines = [f"18.12.2026;{6 + at // 4:02d}:{at % 4 * 15:02d};40,0;35,0;2100\n" for at in range(12)]
    text = "Export\nDate;Time;Flow temperature [°C];Inlet [°C];Input [W]\n" + "".join(reversed(lines))
    metric = read_trend(a_file(tmp_path, text), NEW_YORK)
    us = read_trend(a_file(tmp_path, HEAD + rows()), NEW_YORK)
    assert np.array_equal(metric.moments_s, us.moments_s)
    for quantity in (Quantity.SUPPLY, Quantity.RETURN, Quantity.POWER):
        mine, other = metric.of(quantity), us.of(quantity)
        assert mine is not None
        assert other is not None
        assert mine == pytest.approx(other)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("Time,Supply,Return (F)\n" + rows(12, "104,95"), "'Supply' stands without its unit"),
        ("Time,Supply (W),Return (F)\n" + rows(12, "104,95"), "'Supply .W.' stands in w"),
        ("When,Supply (F),Return (F)\n" + rows(12, "104,95"), "no column tells the time"),
        ("Time,Noise,Color\n" + rows(12, "1,2"), "no row names what was logged"),
        ("Time,Supply 1 (F),Supply 2 (F)\n" + rows(12, "1,2"), "are each a supply temperature"),
        ("Time,Supply (F),Return (F)\n" + rows(12, "104,warm"), "'warm' is not a number"),
        ("Time,Supply (F),Return (F)\n" + rows(12, "104,950"), "'950' in 'Return .F.' cannot be"),
        ("Time,Supply (F),Return (F)\nnever,1,2\n" + rows(12, "104,95"), "'never' is no date and time"),
        ("Time,Supply (F),Return (F)\n" + rows(3, "104,95"), "fewer than 10 readings"),
    ],
)
def test_what_cannot_be_taken_is_told_in_one_line_and_nothing_is_guessed(
    tmp_path: Path, text: str, says: str
) -> None:
    with pytest.raises(BadReadings, match=says) as trouble:
        read_trend(a_file(tmp_path, text), NEW_YORK)
    assert "\n" not in trouble.value.line()
    assert "log.csv" in trouble.value.line()


def test_a_failed_sensor_leaves_gaps_and_the_hour_that_comes_twice_stays_two_hours(tmp_path: Path) -> None:
    # FMT-3: 2026-11-01 in New York has 25 hours
    times = ["00:30", "01:00", "01:30", "01:00", "01:30", "02:00", "02:30", "03:00", "03:30", "04:00"]
    body = "".join(f"2026-11-01 {one},{'' if at == 4 else 104},95\n" for at, one in enumerate(times))
    found = read_trend(a_file(tmp_path, "Time,Supply (F),Return (F)\n" + body), NEW_YORK)
    assert np.diff(found.moments_s).tolist() == [1800] * 9
    supply = found.of(Quantity.SUPPLY)
    assert supply is not None
    assert np.isnan(supply).tolist() == [at == 4 for at in range(10)]


def a_trend(power_w: list[float], step_s: int = 60) -> MachineTrend:
    moments = np.arange(len(power_w), dtype=np.int64) * step_s
    return MachineTrend(moments, (TrendLine(Quantity.POWER, "Power (W)", np.array(power_w)),))


def test_short_cycling_is_counted_over_any_hour() -> None:
    # own example: 4 minutes on, 4 off is a start every 8 minutes: 8 starts begin within 60 minutes
    trend = a_trend(([60.0] * 4 + [2000.0] * 4) * 15)
    ran = running(trend)
    assert ran is not None
    runs = runs_of(trend, ran)
    assert (runs.starts, runs.most_starts_in_hour, runs.median_minutes) == (15, 8, 4.0)
    assert runs.share_of_time == 0.5


def test_a_machine_that_never_ran_has_no_runs_and_one_without_power_is_told_by_its_water() -> None:
    nothing = a_trend([0.0] * 20)
    ran = running(nothing)
    assert ran is not None
    assert runs_of(nothing, ran).starts == 0
    supply = TrendLine(Quantity.SUPPLY, "S", np.array([40.0] * 10 + [30.0] * 10))
    back = TrendLine(Quantity.RETURN, "R", np.array([35.0] * 10 + [29.8] * 10))
    by_water = MachineTrend(nothing.moments_s, (supply, back))
    ran = running(by_water)
    assert ran is not None
    assert ran.tolist() == [True] * 10 + [False] * 10
    assert running(MachineTrend(nothing.moments_s, (supply,))) is None  # cannot be said is not "stands still"


@given(st.lists(st.booleans(), min_size=2, max_size=200))
def test_every_start_is_a_reading_that_ran_after_one_that_did_not(ran: list[bool]) -> None:
    trend = a_trend([2000.0 if one else 0.0 for one in ran])
    runs = runs_of(trend, np.array(ran))
    assert runs.starts == sum(not before and after for before, after in pairwise(ran))
    assert runs.most_starts_in_hour <= runs.starts
    assert 0.0 <= runs.share_of_time <= 1.0


def test_readings_outside_a_limit_are_a_share_of_those_that_count() -> None:
    values = np.array([2.0, 5.0, 6.0, 9.0, np.nan, 50.0])
    counted = np.array([True, True, True, True, True, False])
    found = kept(values, counted, 3.0, 8.0)
    assert found is not None
    assert (found.low, found.high, found.readings, found.share_outside) == (2.0, 9.0, 4, 0.5)
    free = kept(values, counted, None, None)
    assert free is not None
    assert free.share_outside is None  # no limit is not "kept"
    assert kept(values, np.zeros(6, bool), 3.0, 8.0) is None
