"""Workbooks and CSV keep what is in the cells, and no text becomes a formula."""

import csv
import re
from datetime import date
from decimal import Decimal
from pathlib import Path
from tempfile import TemporaryDirectory

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.exchange.spreadsheet import Sheet, safe_text, write_csv, write_workbook
from retrofit_desk.money.rounding import to_dollars

MONEY = Sheet("Payments", ("To", "On", "Amount, $"), (("=Bore & Sons", date(2026, 3, 4), Decimal("-12.50")),))


@pytest.mark.parametrize("text", ["=1+1", "+1", "-2+3", "@SUM(A1)", "\t=1", "\r=1"])
def test_text_that_would_be_a_formula_is_escaped(text: str) -> None:
    # FMT-7: CWE-1236; OWASP ASVS 1.2.10
    assert safe_text(text) == "'" + text


@pytest.mark.parametrize("cell", ["a=b", "", "12.5", Decimal("-12.50"), -3, None])
def test_other_cells_stay_as_they_are(cell: object) -> None:
    # FMT-7: genuine negative numbers are not text
    assert safe_text(cell) == cell  # type: ignore[arg-type]


def test_a_workbook_round_trips(tmp_path: Path) -> None:
    sheet = openpyxl.load_workbook(write_workbook(tmp_path / "out.xlsx", [MONEY]))["Payments"]
    assert [cell.value for cell in sheet[1]] == list(MONEY.headings)
    name, on, amount = (cell.value for cell in sheet[2])
    assert (name, on.date(), amount) == ("'=Bore & Sons", date(2026, 3, 4), -12.5)


def test_a_csv_keeps_exact_money(tmp_path: Path) -> None:
    with write_csv(tmp_path / "out.csv", MONEY).open(newline="", encoding="utf-8") as file:
        assert list(csv.reader(file))[1] == ["'=Bore & Sons", "2026-03-04", "-12.50"]


@given(st.integers(-(10**9), 10**9), st.dates(date(1990, 1, 1), date(2090, 12, 31)))
def test_days_and_sums_are_written_as_claim_forms_take_them(cents: int, day: date) -> None:
    # REB-13: federal 50122 reporting schema: dates YYYY-MM-DD, money in multiples of 0.01
    row = Sheet("Claims", ("On", "Amount, $"), ((day, to_dollars(cents)),))
    with TemporaryDirectory() as folder:
        text = write_csv(Path(folder) / "out.csv", row).read_text(encoding="utf-8").splitlines()[1]
    on, amount = text.split(",")
    assert re.fullmatch(r"\d{4}-\d\d-\d\d", on)
    assert re.fullmatch(r"-?\d+(\.\d\d?)?", amount)
    assert Decimal(amount) * 100 == cents


def test_days_in_a_workbook_are_shown_as_claim_forms_take_them(tmp_path: Path) -> None:
    # REB-13: federal 50122 reporting schema
    sheet = openpyxl.load_workbook(write_workbook(tmp_path / "out.xlsx", [MONEY]))["Payments"]
    assert sheet["B2"].number_format == "yyyy-mm-dd"


def test_a_short_row_is_refused() -> None:
    with pytest.raises(ValueError, match="under 3 headings"):
        Sheet("Payments", ("To", "On", "Amount, $"), (("A",),))
