"""Daily outdoor temperatures from a plain table, such as weather services give out."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from retrofit_desk.exchange.clock_text import Dates
from retrofit_desk.values.errors import DeskError

LIMITS_F = (-80.0, 140.0)
MUST_BE_F = 50.0
"""A year's warmest daily figure above this is in degree F: own judgment."""
_MEAN = re.compile(
    r"^(t ?avg|t ?mean|mean|average|avg)( daily| air| outdoor)?( temp(erature)?)?$|^temp(erature)?$"
)
_HIGH = re.compile(r"^(t ?max|max(imum)?|high(est)?)( temp(erature)?)?$")
_LOW = re.compile(r"^(t ?min|min(imum)?|low(est)?)( temp(erature)?)?$")


class BadTemperatures(DeskError):
    """A table of temperatures that cannot be taken as it stands."""

    def __init__(self, path: Path, what: str, do: str, row: int | None = None) -> None:
        where = path.name if row is None else f"{path.name}, row {row}"
        super().__init__(what, where=where, kept="nothing was read in", do=do)


def read_daily_temperatures(path: Path, name: str = "") -> dict[date, float]:
    """Mean of each day in degree F; of highest and lowest where no mean is given. Empty cells are no days.

    Raises `BadTemperatures`.
    """
    called = Path(name or path.name)
    try:
        table = list(csv.reader(path.read_text(encoding="utf-8-sig").splitlines()))
    except (UnicodeDecodeError, csv.Error) as cause:
        raise BadTemperatures(
            called, "this is no table of temperatures", "save it as CSV in UTF-8"
        ) from cause
    head = table[0] if table else []
    names = [_plain(cell) for cell in head]
    if "date" not in names:
        raise BadTemperatures(
            called, "no column date", "name the columns date and mean, or date, high and low"
        )
    columns = _temperature_columns(called, names)
    found = _days(called, table[1:], names.index("date"), columns)
    unit = _unit(head, columns) or _guess(called, found)
    scaled = {day: value if unit == "F" else value * 1.8 + 32.0 for day, value in found.items()}
    for day, value in scaled.items():
        if not LIMITS_F[0] <= value <= LIMITS_F[1]:
            raise BadTemperatures(called, f"{found[day]:g} °{unit} on {day} cannot be", "correct the cell")
    return scaled


def names_temperatures(heading: Sequence[str]) -> bool:
    """Whether a table's first row is one of daily temperatures."""
    names = [_plain(cell) for cell in heading]
    return "date" in names and bool(
        _matching(names, _MEAN) or (_matching(names, _HIGH) and _matching(names, _LOW))
    )


def _temperature_columns(path: Path, names: Sequence[str]) -> tuple[int, ...]:
    """Columns of which the mean is the day's."""
    mean, high, low = (_matching(names, one) for one in (_MEAN, _HIGH, _LOW))
    if mean:
        return (mean[0],)
    if high and low:
        return (high[0], low[0])
    raise BadTemperatures(path, "no column of a mean, or of high and low", "name them mean, or high and low")


def _days(
    path: Path, rows: Sequence[Sequence[str]], date_at: int, columns: Sequence[int]
) -> dict[date, float]:
    dates = Dates.told_by(row[date_at] for row in rows if len(row) > date_at)
    found: dict[date, float] = {}
    for number, row in enumerate(rows, start=2):
        cells = [row[at].strip() if at < len(row) else "" for at in columns]
        if not any(row) or "" in cells:
            continue
        day = dates.day(row[date_at])
        if day is None:
            raise BadTemperatures(path, f"'{row[date_at]}' is no date", "write it like 2026-03-14", number)
        if day in found:
            raise BadTemperatures(path, f"{day} stands twice", "keep one station in the table", number)
        try:
            found[day] = sum(float(cell) for cell in cells) / len(cells)
        except ValueError:
            raise BadTemperatures(
                path, f"'{' '.join(cells)}' is no temperature", "correct the cell", number
            ) from None
    if not found:
        raise BadTemperatures(path, "it holds no temperature", "export it again")
    return found


def _unit(head: Sequence[str], columns: Sequence[int]) -> str:
    told = {letter for at in columns for letter in re.findall(r"\b[CF]\b", head[at])}
    return told.pop() if len(told) == 1 else ""


def _guess(path: Path, found: dict[date, float]) -> str:
    if max(found.values()) > MUST_BE_F:
        return "F"
    raise BadTemperatures(
        path, "cannot tell °F from °C", "write the unit into the heading, such as 'mean (°F)'", row=1
    )


def _plain(cell: str) -> str:
    return re.sub(r"[^a-z]+", " ", re.sub(r"\(.*?\)|°\s*[CF]|\b[CF]\b", " ", cell).casefold()).strip()


def _matching(names: Sequence[str], fits: re.Pattern[str]) -> list[int]:
    return [at for at, name in enumerate(names) if fits.match(name)]
