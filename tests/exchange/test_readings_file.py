"""Readings of a meter as utilities export them: layouts, clocks, units, faults."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, date, datetime, timedelta, timezone
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from retrofit_desk.exchange.clock_text import Dates, offset_of, time_of
from retrofit_desk.exchange.readings_file import BadReadings, read_readings
from retrofit_desk.physics.meter_readings import MeterReadings, by_day, by_hour, merged

NEW_YORK = ZoneInfo("America/New_York")
SPRING, FALL = date(2026, 3, 8), date(2026, 11, 1)
"""FMT-3: 23 h and 25 h long in New York, first moments 1772946000 and 1793505600."""
Read = Callable[[str], MeterReadings]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    def reading(text: str) -> MeterReadings:
        path = tmp_path / "readings.csv"
        path.write_text(text, encoding="utf-8")
        (found,) = read_readings(path, NEW_YORK)
        return found

    return reading


@pytest.fixture
def refusal(tmp_path: Path) -> Callable[[str], str]:
    def refused(text: str) -> str:
        path = tmp_path / "readings.csv"
        path.write_text(text, encoding="utf-8")
        with pytest.raises(BadReadings) as told:
            read_readings(path, NEW_YORK)
        line = told.value.line()
        assert "readings.csv" in line
        assert "othing was read in" in line
        return line

    return refused


def moments(day: date, minutes: int, days: int = 1) -> list[datetime]:
    """The starts of all readings of local days, in UTC."""
    start, end = (
        datetime(one.year, one.month, one.day, tzinfo=NEW_YORK).astimezone(UTC)
        for one in (day, day + timedelta(days=days))
    )
    return [
        start + timedelta(minutes=minutes * at)
        for at in range(round((end - start).total_seconds() / 60 / minutes))
    ]


def local_lines(day: date, minutes: int, write: Callable[[datetime, float], str], days: int = 1) -> str:
    """A line for each reading, the n-th of which is n/10."""
    return "\n".join(
        write(one.astimezone(NEW_YORK), at / 10)
        for at, one in enumerate(moments(day, minutes, days), start=1)
    )


def check_day(found: MeterReadings, day: date, hours: int, per_hour: int = 1) -> None:
    """Every reading of the day in its place, and its sum."""
    count = hours * per_hour
    assert len(found) == count
    assert found.gaps == ()
    assert int(found.starts_s[0]) == moments(day, 60)[0].timestamp()
    assert found.used == pytest.approx(np.arange(1, count + 1) / 10)
    table = by_day(found, NEW_YORK)
    assert table.days == (day,)
    assert table.hours[0] == table.hours_read[0] == hours
    assert table.used[0] == pytest.approx(count * (count + 1) / 20)


LAYOUTS: dict[str, tuple[str, Callable[[datetime, float], str]]] = {
    "one moment": ("Date/Time,Usage (kWh)", lambda t, use: f"{t:%Y-%m-%d %H:%M},{use}"),
    "american": ("Start,End,kWh", lambda t, use: f"{t:%m/%d/%Y %I:%M %p},,{use}"),
    "date and time apart": (
        "TYPE,DATE,START TIME,END TIME,USAGE,UNITS,COST,NOTES",
        lambda t, use: f"Electric usage,{t:%Y-%m-%d},{t:%H:%M},{t:%H}:59,{use},kWh,$0.10,",
    ),
    "with offset": ("timestamp;energy_kwh", lambda t, use: f"{t.isoformat()};{use}"),
    "with letters": (
        "Interval Start\tConsumption [Wh]",
        lambda t, use: f"{t:%Y-%m-%d %H:%M:%S %Z}\t{use * 1000}",
    ),
    "power": ("Reading Time,Demand (kW)", lambda t, use: f"{t:%d-%b-%Y %H:%M},{use}"),
    "decimal comma": (
        "Date;Time;Use (kWh)",
        lambda t, use: f"{t:%Y/%m/%d};{t:%H:%M};{use:.1f}".replace(".", ","),
    ),
    "four columns": (
        "Account,Start Date,Start Time,End Date,End Time,kWh",
        lambda t, use: f"9,{t:%m/%d/%y},{t:%H:%M},{t:%m/%d/%y},,{use}",
    ),
}


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize(("day", "hours"), [(SPRING, 23), (FALL, 25), (date(2026, 1, 14), 24)])
def test_every_layout_puts_every_hour_of_a_day_in_its_place(
    layout: str, day: date, hours: int, read: Read
) -> None:
    # FMT-3: 2026-03-08 has 23 hours and 2026-11-01 has 25 in New York
    heading, write = LAYOUTS[layout]
    preamble = "Name,Maren\nAddress,218 Quillback Lane\n\n" if layout == "date and time apart" else ""
    check_day(read(f"{preamble}{heading}\n{local_lines(day, 60, write)}\n"), day, hours)


@pytest.mark.parametrize("minutes", [15, 30])
@pytest.mark.parametrize(("day", "hours"), [(SPRING, 23), (FALL, 25)])
def test_finer_readings_of_a_day_that_the_clocks_change_in(
    minutes: int, day: date, hours: int, read: Read
) -> None:
    text = "Start,kWh\n" + local_lines(day, minutes, lambda t, use: f"{t:%m/%d/%Y %H:%M},{use}")
    check_day(read(text), day, hours, 60 // minutes)


def test_power_counts_over_its_step(read: Read) -> None:
    text = "Start,kW\n" + local_lines(SPRING, 15, lambda t, use: f"{t:%m/%d/%Y %H:%M},2.0")
    assert read(text).used == pytest.approx(0.5)


def test_a_file_with_the_newest_on_top_is_turned_round(read: Read) -> None:
    lines = local_lines(FALL, 60, lambda t, use: f"{t:%Y-%m-%d %H:%M},{use}").splitlines()
    check_day(read("Start,kWh\n" + "\n".join(reversed(lines))), FALL, 25)


def test_ends_of_readings_are_told_from_starts(read: Read) -> None:
    def write(t: datetime, use: float) -> str:
        return f"{(t.astimezone(UTC) + timedelta(hours=1)).astimezone(NEW_YORK):%Y-%m-%d %H:%M},{use}"

    for day, hours in ((FALL, 25), (date(2026, 1, 14), 24)):
        check_day(read("Interval End,kWh\n" + local_lines(day, 60, write)), day, hours)


def wide(day: date, minutes: int, heading: Callable[[int], str], extra: str = "") -> str:
    slots = range(24 * 60 // minutes)
    cells = ",".join(heading(at * minutes) for at in slots)
    values = ",".join(f"{(at + 1) / 10}" for at in slots)
    following = ",".join("1.0" for _ in slots)
    head, after = f"Meter,Date,Unit,{cells}{extra}", day + timedelta(1)
    return f"{head}\n7,{day:%m/%d/%Y},kWh,{values}\n7,{after:%m/%d/%Y},kWh,{following}\n"


@pytest.mark.parametrize("minutes", [15, 30, 60])
@pytest.mark.parametrize(
    "heading",
    [
        lambda minute: f"{minute // 60}:{minute % 60:02d}",
        lambda minute: f"{minute // 60 % 12 or 12}:{minute % 60:02d} {'AM' if minute < 720 else 'PM'}",
    ],
)
def test_a_line_for_each_day(minutes: int, heading: Callable[[int], str], read: Read) -> None:
    found = read(wide(date(2026, 1, 14), minutes, heading))
    assert found.step_s == minutes * 60
    per_day = 24 * 60 // minutes
    assert found.used[:per_day] == pytest.approx(np.arange(1, per_day + 1) / 10)
    assert int(found.starts_s[0]) == moments(date(2026, 1, 14), 60)[0].timestamp()


def test_columns_that_end_at_midnight_are_ends(read: Read) -> None:
    found = read(
        wide(date(2026, 1, 14), 30, lambda minute: f"{(minute + 30) // 60}:{(minute + 30) % 60:02d}")
    )
    assert int(found.starts_s[0]) == moments(date(2026, 1, 14), 60)[0].timestamp()
    assert len(found) == 96


def test_numbered_hours_and_the_hour_that_a_day_lacks(read: Read) -> None:
    cells = ",".join(f"Hour {hour}" for hour in range(1, 25))
    values = ",".join("" if hour == 3 else f"{hour}" for hour in range(1, 25))
    found = read(f"Date,{cells},kWh\n2026-03-08,{values},\n")
    assert len(found) == 23
    assert found.gaps == ()
    assert by_day(found, NEW_YORK).hours_read[0] == 23


def test_a_twenty_fifth_hour_is_counted_on(read: Read) -> None:
    cells = ",".join(f"HE{hour:02d}" for hour in range(1, 26))
    long_day, next_day = (
        ",".join(f"{hour / 10}" if hour <= last else "" for hour in range(1, 26)) for last in (25, 24)
    )
    found = read(f"Read date,{cells},Unit\n2026-11-01,{long_day},kWh\n2026-11-02,{next_day},kWh\n")
    assert list(by_day(found, NEW_YORK).hours_read) == [25, 24]
    assert found.gaps == ()


def test_a_file_in_standard_time_all_year_is_known_by_its_spring_day(read: Read) -> None:
    winter = timezone(timedelta(hours=-5))
    start = datetime(2026, 3, 7, 5, tzinfo=UTC)
    lines = [f"{(start + timedelta(hours=at)).astimezone(winter):%Y-%m-%d %H:%M},{at}" for at in range(72)]
    found = read("Start,kWh\n" + "\n".join(lines))
    assert "standard time all year" in " ".join(found.notes)
    assert found.gaps == ()
    assert list(by_day(found, NEW_YORK).hours_read) == [24, 23, 24, 1]


def test_gas_by_the_hour(read: Read) -> None:
    found = read(
        "Start,Usage,Units\n" + local_lines(SPRING, 60, lambda t, use: f"{t:%Y-%m-%d %H:%M},{use},MCF")
    )
    assert (found.fuel, found.unit) == ("natural gas", "CCF")
    assert found.used[0] == pytest.approx(1.0)  # an MCF is ten CCF


def test_what_is_fed_in_stands_apart_or_is_negative(read: Read) -> None:
    apart = read("Start,Delivered kWh,Received kWh\n2026-06-01 12:00,0.5,1.5\n2026-06-01 13:00,0,2\n")
    net = read("Start,Net usage (kWh)\n2026-06-01 12:00,0.5\n2026-06-01 13:00,-2\n")
    assert list(apart.fed_in) == [1.5, 2.0]
    assert (list(net.used), list(net.fed_in)) == ([0.5, 0.0], [0.0, 2.0])


def test_gaps_duplicates_and_empty_cells_are_counted_and_said(read: Read) -> None:
    hours = [0, 1, 2, 2, 3, 3, 7, 8]
    values = ["1", "1", "1", "1", "1", "4", "", "1"]
    lines = "\n".join(f"2026-01-14 {hour:02d}:00,{value}" for hour, value in zip(hours, values, strict=True))
    found = read(f"Start,kWh\n{lines}\n")
    assert list(found.used) == [1, 1, 1, 4, 1]
    ((_, missing),) = found.gaps
    assert missing == 4  # 4:00 to 7:00, of which 7:00 stands there without a figure
    told = " ".join(found.notes)
    assert "1 reading stood twice alike" in told
    assert "1 time stood twice with other figures; the later row counts" in told
    assert "1 line has no figure" in told


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "no row names a time and a use"),
        ("a,b\n1,2\n", "no row names a time and a use"),
        ("Start,kWh\n", "no line under the headings"),
        ("Start,Usage\n2026-01-01 00:00,1\n", "unit of the readings is not said"),
        ("Start,kWh\n2026-01-01 00:00,1\n2026-01-01 01:00,many\n", "row 3: 'many' is not a number"),
        (
            "Start,kWh\n2026-01-01 00:00,1\n2026-01-41 01:00,1\n",
            "row 3: '2026-01-41 01:00' is no date and time",
        ),
        ("Start,kWh\n2026-01-01,1\n2026-01-02,1\n", "readings every 1440 minutes cannot be taken"),
        (
            "Start,kWh\n2026-01-01 00:00,1\n2026-01-01 01:00,1\n2026-01-01 02:20,1\n",
            "row 4: this reading does not",
        ),
        ("Start,kWh\n2026-01-01 00:00,81204\n2026-01-01 01:00,81205\n", "more than a house can use"),
        (
            "Start,Usage,Unit\n2026-01-01 00:00,1,kWh\n2026-01-01 01:00,1,therm\n",
            "mixes the units kwh, therm",
        ),
        ("Start,Meter A kWh,Meter B kWh\n2026-01-01 00:00,1,2\n", "cannot tell which column is the use"),
        ("Start,kWh\n2026-01-01 00:00,1\n", "fewer than two readings"),
        ("<feed", "no XML that can be read"),
    ],
)
def test_a_fault_is_one_clear_line(text: str, told: str, refusal: Callable[[str], str]) -> None:
    assert told in refusal(text)


def test_bytes_that_are_no_text_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "readings.csv"
    path.write_bytes(b"\x89PNG\xff\xff\x00")
    with pytest.raises(BadReadings):
        read_readings(path, NEW_YORK)


def test_an_order_of_day_and_month_that_nothing_proves_is_said(read: Read) -> None:
    found = read("Start,kWh\n01/02/2026 00:00,1\n01/02/2026 01:00,1\n")
    assert datetime.fromtimestamp(int(found.starts_s[0]), NEW_YORK).date() == date(2026, 1, 2)
    assert "month/day/year" in " ".join(found.notes)
    day_first = read("Start,kWh\n14/02/2026 00:00,1\n14/02/2026 01:00,1\n")
    assert datetime.fromtimestamp(int(day_first.starts_s[0]), NEW_YORK).date() == date(2026, 2, 14)


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("00:15", 15),
        ("24:00", 1440),
        ("12:00 AM", 0),
        ("12:30 pm", 750),
        ("7 PM", 1140),
        ("25:00", None),
        ("x", None),
    ],
)
def test_times_of_day(text: str, minutes: int | None) -> None:
    assert time_of(text) == minutes


def test_offsets_and_letters_of_zones() -> None:
    assert offset_of("2026-01-01T00:00:00-05:00") == -18000
    assert offset_of("2026-01-01T00:00Z") == 0
    assert offset_of("2026-11-01 01:30 EDT") == -14400
    assert offset_of("2026-11-01 01:30") is None


@settings(max_examples=60, deadline=None)
@given(st.dates(date(1995, 1, 1), date(2090, 12, 31)), st.booleans())
def test_a_written_date_is_read_back(day: date, day_first: bool) -> None:
    text = f"{day:%d.%m.%Y}" if day_first else f"{day:%m/%d/%Y}"
    assert Dates(day_first).day(text) == day
    assert Dates(day_first).day(day.isoformat()) == day


# the open exchange form

GAS_TYPE = """<entry><link rel="self" href="ReadingType/2"/><content><ReadingType xmlns="http://naesb.org/espi">
<accumulationBehaviour>4</accumulationBehaviour><commodity>7</commodity><flowDirection>1</flowDirection>
<intervalLength>3600</intervalLength><powerOfTenMultiplier>-3</powerOfTenMultiplier><uom>169</uom></ReadingType>
</content></entry>"""


def entry(own: str, content: str, related: str = "", up: str = "") -> str:
    links = "".join(
        f'<link rel="{rel}" href="{href}"/>'
        for rel, href in (("self", own), ("related", related), ("up", up))
        if href
    )
    return f"<entry>{links}<content>{content}</content></entry>"


def block(starts: list[int], values: list[int]) -> str:
    readings = "".join(
        f"<IntervalReading><timePeriod><duration>3600</duration><start>{start}</start></timePeriod>"
        f"<value>{value}</value></IntervalReading>"
        for start, value in zip(starts, values, strict=True)
    )
    return f'<IntervalBlock xmlns="http://naesb.org/espi"><interval/>{readings}</IntervalBlock>'


def reading_type(uom: int = 72, flow: int = 1, power: int = 0, behaviour: int = 4) -> str:
    return (
        '<ReadingType xmlns="http://naesb.org/espi">'
        f"<accumulationBehaviour>{behaviour}</accumulationBehaviour><commodity>1</commodity>"
        f"<flowDirection>{flow}</flowDirection><intervalLength>3600</intervalLength>"
        f"<powerOfTenMultiplier>{power}</powerOfTenMultiplier><uom>{uom}</uom></ReadingType>"
    )


METER = '<MeterReading xmlns="http://naesb.org/espi"/>'
STARTS = [1793505600 + 3600 * at for at in range(5)]
VALUES = [410, 395, 388, 402, 377]
POINT = "RetailCustomer/1/UsagePoint/1/MeterReading/1"


def feed(*entries: str) -> str:
    return f'<?xml version="1.0"?><feed xmlns="http://www.w3.org/2005/Atom">{"".join(entries)}</feed>'


def xml(tmp_path: Path, *entries: str) -> tuple[MeterReadings, ...]:
    path = tmp_path / "usage.xml"
    path.write_text(feed(*entries), encoding="utf-8")
    return read_readings(path, NEW_YORK)


def one_meter(kind: str = "", up: str = f"{POINT}/IntervalBlock") -> list[str]:
    return [
        entry(f"{POINT}/IntervalBlock/1", block(STARTS, VALUES), up=up),
        entry(POINT, METER, related="ReadingType/1"),
        entry("ReadingType/1", kind or reading_type()),
    ]


def test_the_hand_made_sample_of_the_exchange_form(tmp_path: Path) -> None:
    # FMT-2: 410 395 388 402 377 Wh from 1793505600, together 1,972 Wh; local starts 00:00-04:00, 01:00-04:00,
    # 01:00-05:00 (the hour repeated), 02:00-05:00, 03:00-05:00
    (found,) = xml(tmp_path, *one_meter())
    assert found.used.sum() == pytest.approx(1.972)
    there = [datetime.fromtimestamp(int(start), NEW_YORK) for start in found.starts_s]
    assert [f"{one:%H:%M%z}" for one in there] == [
        "00:00-0400",
        "01:00-0400",
        "01:00-0500",
        "02:00-0500",
        "03:00-0500",
    ]


def test_the_order_of_entries_does_not_matter(tmp_path: Path) -> None:
    forward, backward = xml(tmp_path, *one_meter()), xml(tmp_path, *reversed(one_meter()))
    assert list(forward[0].used) == list(backward[0].used)


@pytest.mark.parametrize(
    ("kind", "unit", "first"),
    [
        (reading_type(72, power=3), "kWh", 410.0),
        (reading_type(72, power=-3), "kWh", 0.00041),
        (reading_type(38, behaviour=12), "kWh", 0.41),
        (reading_type(169, power=-2), "therm", 4.1),
        (reading_type(119), "CCF", 4.10),
        (reading_type(132, power=2), "therm", 0.41),
    ],
)
def test_units_and_powers_of_ten(kind: str, unit: str, first: float, tmp_path: Path) -> None:
    (found,) = xml(tmp_path, *one_meter(kind))
    assert found.unit == unit
    assert found.used[0] == pytest.approx(first)


def test_what_is_fed_in_and_gas_are_kept_apart(tmp_path: Path) -> None:
    back = POINT.replace("MeterReading/1", "MeterReading/2")
    gas = POINT.replace("UsagePoint/1", "UsagePoint/2")
    found = xml(
        tmp_path,
        *one_meter(),
        entry("ReadingType/9", reading_type(flow=19)),
        entry(back, METER, related="ReadingType/9"),
        entry(f"{back}/IntervalBlock/1", block(STARTS, [0, 0, 100, 200, 300])),
        GAS_TYPE,
        entry(gas, METER, related="ReadingType/2"),
        entry(f"{gas}/IntervalBlock/1", block(STARTS, [50, 50, 40, 40, 40])),
    )
    power, burned = found
    assert power.fed_in == pytest.approx([0, 0, 0.1, 0.2, 0.3])
    assert power.used[0] == pytest.approx(0.41)
    assert (burned.unit, float(burned.used[0])) == ("therm", pytest.approx(0.05))


@pytest.mark.parametrize(
    ("entries", "told"),
    [
        ([], "no intervals"),
        (one_meter(reading_type(29)), "code 29"),
        (one_meter(reading_type(behaviour=3)), "counter states"),
        ([*one_meter(), entry("ReadingType/7", reading_type(71 + 1, power=3))], ""),
    ],
)
def test_faults_of_the_exchange_form(entries: list[str], told: str, tmp_path: Path) -> None:
    if not told:  # an unused reading type beside the used one is no fault
        assert len(xml(tmp_path, *entries)) == 1
        return
    with pytest.raises(BadReadings, match=told):
        xml(tmp_path, *entries)


def test_an_entity_in_the_file_is_not_followed(tmp_path: Path) -> None:
    path = tmp_path / "usage.xml"
    path.write_text('<?xml version="1.0"?><!DOCTYPE f [<!ENTITY a "x">]><feed>&a;</feed>', encoding="utf-8")
    with pytest.raises(BadReadings, match="no XML that can be read"):
        read_readings(path, NEW_YORK)


# several files, days and hours


def made(starts: list[int], used: list[float], step: int = 3600) -> MeterReadings:
    values = np.array(used, float)
    return MeterReadings(
        "electricity", "kWh", step, np.array(starts, np.int64), values, np.zeros_like(values)
    )


def test_a_later_file_counts_where_two_overlap() -> None:
    found = merged([made(STARTS, [1, 1, 1, 1, 1]), made([*STARTS[3:], STARTS[-1] + 3600], [2, 2, 2])])
    assert list(found.used) == [1, 1, 1, 2, 2, 2]


def test_finer_readings_are_added_up_to_join_longer_ones() -> None:
    quarters = [STARTS[0] + 900 * at for at in range(7)]
    found = merged([made(quarters, [0.25] * 7, 900), made(STARTS[2:], [1, 1, 1])])
    assert list(found.starts_s) == [STARTS[0], *STARTS[2:]]  # the second hour lacks a quarter
    assert list(found.used) == [1, 1, 1, 1]


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(0, 5), min_size=24, max_size=200), st.integers(0, 200))
def test_days_and_hours_add_up_to_the_readings(used: list[float], late: int) -> None:
    start = 1772946000 + 3600 * late
    found = made([start + 3600 * at for at in range(len(used))], used)
    days, hours = by_day(found, NEW_YORK), by_hour(found, -5.0)
    assert days.used.sum() == pytest.approx(sum(used))
    assert np.nansum(hours.used) == pytest.approx(sum(used))
    assert all(after - before == timedelta(days=1) for before, after in pairwise(days.days))


ODD = "Start|End|Date|Time|kWh|kW|Usage|Unit|therm|2026-03-08 02:30|11/01/2026 01:00|00:15|24:00|12:61 PM|-3"
CELLS = st.sampled_from(
    [*ODD.split("|"), "", "n/a", "3,5", "Hour 1", "2026-13-01", "99/99/99", '"', "\ufeff"]
)


@settings(max_examples=150, deadline=None)
@given(st.lists(st.lists(CELLS, max_size=6), max_size=12), st.sampled_from([",", ";", "\t"]))
def test_whatever_a_table_holds_is_read_or_refused_in_one_line(
    tmp_path_factory: pytest.TempPathFactory, rows: list[list[str]], separator: str
) -> None:
    path = tmp_path_factory.getbasetemp() / "odd.csv"
    path.write_text("\n".join(separator.join(row) for row in rows), encoding="utf-8")
    with suppress(BadReadings):
        (found,) = read_readings(path, NEW_YORK)
        assert (np.diff(found.starts_s) > 0).all()
        assert np.isfinite(found.used).all()


@settings(max_examples=60, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused(tmp_path_factory: pytest.TempPathFactory, content: bytes) -> None:
    for beginning in (b"", b"<?xml", b"<feed>"):
        path = tmp_path_factory.getbasetemp() / "odd.bin"
        path.write_bytes(beginning + content)
        with pytest.raises(BadReadings):
            read_readings(path, NEW_YORK)
