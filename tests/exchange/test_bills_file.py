from datetime import date
from pathlib import Path

import pytest

from retrofit_desk.exchange.bills_file import BadBillsFile, read_bills
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
    first, second = read_bills(path)
    assert (first.period_start, first.cost_cents.value) == (date(2025, 1, 3), 123005)
    assert (second.quantity.value, second.cost_cents.value) == (88.5, 10120)


def test_empty_unknown_and_zero_stay_apart(tmp_path: Path) -> None:
    (line,) = read_bills(bills(tmp_path, "2025-01-03,2025-02-03,unknown,therm,\n"))
    assert (line.quantity.stated, line.cost_cents.stated) == (Stated.UNKNOWN, Stated.NOT_STATED)
    (line,) = read_bills(bills(tmp_path, "2025-01-03,2025-02-03,0,therm,0.00\n"))
    assert (line.quantity.value, line.cost_cents.value) == (0.0, 0)


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        ("2025-01-03,2025-02-03,12,BTUs,1\n", "row 2: unit 'BTUs' is not known"),
        ("2025-01-03,2025-01-03,12,therm,1\n", "row 2: ends on 2025-01-03, not after its start"),
        ("01/03/2025,2025-02-03,12,therm,1\n", "row 2: '01/03/2025' is not a date"),
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
    with pytest.raises(BadBillsFile, match="no column cost"):
        read_bills(bills(tmp_path, "", head="period_start,period_end,quantity,unit\n"))
