"""Tables of bills as they come, and what is said of a row that cannot be taken."""

from datetime import date
from pathlib import Path

import pytest

from retrofit_desk.exchange.bills_file import BadBillsFile, names_bills, read_bills
from retrofit_desk.values.stated import Stated

HEAD = "period_start,period_end,quantity,unit,cost\n"


def bills(tmp_path: Path, rows: str, head: str = HEAD) -> Path:
    path = tmp_path / "gas.csv"
    path.write_text(head + rows, encoding="utf-8")
    return path


def test_bills_come_in_the_order_of_their_periods(tmp_path: Path) -> None:
    path = bills(
        tmp_path, '2025-02-03,2025-03-04,88.5,therm,$101.20\n2025-01-03,2025-02-03,120,therm,"1,230.05"\n'
    )
    first, second = read_bills(path).lines
    assert (first.period_start, first.cost_cents.value) == (date(2025, 1, 3), 123005)
    assert (second.quantity.value, second.cost_cents.value) == (88.5, 10120)


def test_empty_unknown_and_zero_stay_apart(tmp_path: Path) -> None:
    (line,) = read_bills(bills(tmp_path, "2025-01-03,2025-02-03,unknown,therm,\n")).lines
    assert (line.quantity.stated, line.cost_cents.stated) == (Stated.UNKNOWN, Stated.NOT_STATED)
    (line,) = read_bills(bills(tmp_path, "2025-01-03,2025-02-03,0,therm,0.00\n")).lines
    assert (line.quantity.value, line.cost_cents.value) == (0.0, 0)


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        ("2025-01-03,2025-02-03,12,BTUs,1\n", "row 2: unit 'BTUs' is not known"),
        ("2025-01-03,2025-01-03,12,therm,1\n", "row 2: ends on 2025-01-03, not after its start"),
        ("31/31/2025,2025-02-03,12,therm,1\n", "row 2: '31/31/2025' is not a date"),
        ("2025-01-03,2025-02-03,a lot,therm,1\n", "row 2: 'a lot' is not a number"),
        ("2025-01-03,2025-02-03,nan,therm,1\n", "row 2: 'nan' is no figure of a bill"),
        ("2025-01-03,2025-02-03,12,therm,1.005\n", "row 2: cost '1.005' has parts of a cent"),
        ("2025-01-03,2025-02-03,1,therm,1\n2025-02-01,2025-03-03,1,therm,1\n", "row 3: starts on 2025-02-01"),
    ],
)
def test_a_bad_row_is_named_in_one_line(tmp_path: Path, rows: str, says: str) -> None:
    with pytest.raises(BadBillsFile) as told:
        read_bills(bills(tmp_path, rows))
    assert says in str(told.value)
    assert "\n" not in str(told.value)


def test_a_missing_column_is_named(tmp_path: Path) -> None:
    with pytest.raises(BadBillsFile, match="no column quantity"):
        read_bills(bills(tmp_path, "", head="period_start,period_end,unit,cost\n"))
    with pytest.raises(BadBillsFile, match="no row names a period and a use"):
        read_bills(bills(tmp_path, "1,2\n", head="a,b\n"))


JANUARY, FEBRUARY, MARCH = date(2026, 1, 5), date(2026, 2, 4), date(2026, 3, 6)


@pytest.mark.parametrize(
    ("text", "unit", "use"),
    [
        (
            'Start,End,kWh,Amount\n01/05/2026,02/04/2026,812,$118.40\n02/04/2026,03/06/2026,"1,044",$149.02\n',
            "kWh",
            1044.0,
        ),
        (
            "period start;period end;therms;cost\n2026-01-05;2026-02-04;112,5;118,40\n"
            "2026-02-04;2026-03-06;98;149,02\n",
            "therm",
            98.0,
        ),
        (
            "Account,4471\nAddress,1 Elm\n\nBilling Period,Days,Usage (MCF),Energy charge,Total charges\n"
            "Jan 5 2026 - Feb 4 2026,30,9,80.00,118.40\nFeb 4 2026 - Mar 6 2026,30,7.5,90.00,149.02\n",
            "CCF",
            75.0,
        ),
        (
            "Read date,Usage,Unit,Cost\n2026-03-06,98,Therms,149.02\n2026-02-04,112,Therms,118.40\n"
            "2026-01-05,101,Therms,99.00\n",
            "therm",
            98.0,
        ),
        (
            "Bill Date,Number of Days,Gallons Delivered,Amount,Balance\n02/04/2026,30,80,118.40,0\n"
            "03/06/2026,30,60,149.02,0\n",
            "gal",
            60.0,
        ),
        (
            "From Date,To Date,Usage kWh,Bill ($)\n5/1/2026,3/2/2026,812,118.40\n"
            "4/2/2026,5/3/2026,1044,149.02\n6/3/2026,31/3/2026,1,1\n",
            "kWh",
            1044.0,
        ),
    ],
    ids=["us", "semicolons", "period-in-one-cell", "read-dates", "days", "day-first-last-day-in-it"],
)
def test_tables_as_utilities_export_them(tmp_path: Path, text: str, unit: str, use: float) -> None:
    path = tmp_path / "history.csv"
    path.write_text(text, encoding="utf-8")
    first, second = read_bills(path).lines[:2]
    assert names_bills(text.encode())
    assert (first.period_start, first.period_end, second.period_end) == (JANUARY, FEBRUARY, MARCH)
    assert (first.cost_cents.value, second.cost_cents.value) == (11840, 14902)
    assert (second.unit, second.quantity.value) == (unit, use)


def test_what_the_table_does_not_say_is_told(tmp_path: Path) -> None:
    table = read_bills(bills(tmp_path, "01/05/2026,02/04/2026,812\n", head="Start,End,Usage\n"))
    assert table.lines[0].unit == ""
    assert table.lines[0].cost_cents.stated is Stated.NOT_STATED
    assert table.notes == ("dates are taken as month/day/year, which no line proves", "no cost is stated")


@pytest.mark.parametrize(
    "text",
    [
        "Start,End,kWh\n2026-01-05 00:00,2026-01-05 01:00,1.2\n2026-01-05 01:00,2026-01-05 02:00,1.1\n",
        "Date,kWh\n2026-01-05,22\n2026-01-06,25\n2026-01-07,19\n",
        "Date,Start time,Usage\n2026-01-05,00:00,0.4\n2026-01-05,00:15,0.3\n",
        "nothing,of,that\n1,2,3\n",
        "",
    ],
)
def test_readings_of_hours_and_days_are_no_bills(text: str) -> None:
    assert not names_bills(text.encode())
