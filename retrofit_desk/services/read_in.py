"""Files into a project: bills, a weather file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from sqlalchemy import select

from retrofit_desk.exchange.bills_file import BillLine, read_bills
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.days import now_of
from retrofit_desk.values.errors import DeskError

Kind = Literal["bills", "weather"]


class CannotReadIn(DeskError):
    """The file, or where it should go, is not clear."""


@dataclass(frozen=True)
class ReadIn:
    """What was read: how many rows, and a line for the owner."""

    kind: Kind
    rows: int
    line: str


def read_in(project: Project, path: Path, *, kind: Kind | None = None, meter: str | None = None) -> ReadIn:
    """Read one file into the record, in one undo step. The kind is told from the file's ending if not given.

    Raises `CannotReadIn`, `BadBillsFile`, and the weather reader's errors.
    """
    told = kind or {".csv": "bills", ".epw": "weather", ".tm3": "weather"}.get(path.suffix.lower())
    match told:
        case "bills":
            return _bills(project, path, meter)
        case "weather":
            return _weather(project, path)
        case _:
            raise CannotReadIn(
                "cannot tell what this file holds", where=path.name, do="add --kind bills or --kind weather"
            )


def _bills(project: Project, path: Path, meter_name: str | None) -> ReadIn:
    lines = read_bills(path)
    with project.action(f"Read in bills from {path.name}") as work:
        meter = _meter(list(work.session.scalars(select(m.Meter))), lines, meter_name, path)
        known = {bill.period_start: bill for bill in meter.bills}
        for line in lines:
            bill = known.get(line.period_start)
            if bill is None:
                bill = m.Bill(period_start=line.period_start, period_end=line.period_end)
                meter.bills.append(bill)
            bill.period_end = line.period_end
            bill.set_stated("quantity", line.quantity)
            bill.set_stated("cost_cents", line.cost_cents)
        name = meter.name
    return ReadIn("bills", len(lines), f"Read {len(lines)} bills into {name}")


def _meter(meters: list[m.Meter], lines: tuple[BillLine, ...], name: str | None, path: Path) -> m.Meter:
    """The meter named, or the only one that counts in the file's unit."""
    units = {line.unit for line in lines}
    if len(units) != 1:
        raise CannotReadIn("the bills are not all in one unit", where=path.name, do="split the file by meter")
    unit = units.pop()
    fits = [
        one
        for one in meters
        if one.unit == unit and (name is None or name in (one.name, one.key, one.number))
    ]
    if len(fits) == 1:
        return fits[0]
    names = ", ".join(one.name for one in meters if one.unit == unit) or "none"
    raise CannotReadIn(
        f"cannot tell which meter these bills in {unit} belong to",
        where=path.name,
        kept="nothing was read in",
        do=f"name it with --meter; meters in {unit}: {names}",
    )


def _weather(project: Project, path: Path) -> ReadIn:
    from retrofit_desk.exchange.weather import read_weather

    weather = read_weather(path)
    with project.action(f"Use the weather of {path.name}") as work:
        stored = work.file(path)
        paper = m.Paper(
            kind=m.PaperKind.WEATHER_FILE,
            title=f"Weather file {path.name}",
            original_name=path.name,
            sha256=stored.sha256,
            size_bytes=stored.size_bytes,
            media_type=stored.media_type,
            filed_at=now_of(work.session),
        )
        work.session.add(paper)
        work.session.flush()
        for choice in work.session.scalars(select(m.WeatherChoice)):
            choice.in_use = False
        work.session.add(
            m.WeatherChoice(kind=m.WeatherKind.FILE, name=weather.name, paper_id=paper.id, in_use=True)
        )
    return ReadIn("weather", 8760, f"The sums now run on the weather of {weather.name}")
