"""Files into a project: bills, readings of a meter, daily temperatures, weather, a controller's log."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from sqlalchemy import select

from retrofit_desk.exchange.bills_file import BillLine, BillsTable, names_bills, read_bills
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.bill_entry import check_free, kind_for
from retrofit_desk.services.days import now_of
from retrofit_desk.services.papers import Filing, file_in
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import count_text

Kind = Literal["bills", "readings", "temperatures", "weather", "log"]
KINDS: tuple[Kind, ...] = ("bills", "readings", "temperatures", "weather", "log")
HEAD_BYTES = 20_000
EXCHANGE_MARK = b"http://naesb.org/espi"
"""The name space of the open exchange format of meter readings (NAESB REQ.21)."""
YEAR_IN_ONE_DAYS = 300
"""A longer bill is a year's sum, not a bill."""


class CannotReadIn(DeskError):
    """The file, or where it should go, is not clear."""


@dataclass(frozen=True)
class ReadIn:
    """What was read: how many rows, and a line for the owner."""

    kind: Kind
    rows: int
    line: str
    about: tuple[str, ...] = ()
    """What else was found in the file."""


def read_in(
    project: Project,
    path: Path,
    *,
    kind: Kind | None = None,
    meter: str | None = None,
    machine: str | None = None,
) -> ReadIn:
    """Read one file into the record, in one undo step. The kind is told from the file if not given.

    `meter`, `machine`: whose it is, where the record holds several.

    Raises `CannotReadIn`, `BadBillsFile`, `BadReadings`, `BadTemperatures`, and the weather reader's errors.
    """
    match kind or kind_of(path):
        case "bills":
            return _bills(project, path, meter)
        case "readings":
            return _readings(project, path, meter)
        case "temperatures":
            return _temperatures(project, path)
        case "weather":
            return _weather(project, path)
        case "log":
            return _log(project, path, machine)
        case _:
            raise CannotReadIn(
                "cannot tell what this file holds", where=path.name, do=f"add --kind {', '.join(KINDS)}"
            )


def look_into(
    project: Project,
    path: Path,
    *,
    kind: Kind | None = None,
    meter: str | None = None,
    machine: str | None = None,
) -> ReadIn:
    """What a file holds, with nothing kept. Raises as `read_in`."""
    match kind or kind_of(path):
        case "bills":
            table = read_bills(path)
            with project.session() as session:
                name = _meter(list(session.scalars(select(m.Meter))), table.lines, meter, path).name
            line = f"Holds {count_text(len(table.lines), 'bill')} of {name}"
            return ReadIn("bills", len(table.lines), line, _notes(table))
        case "readings":
            return _readings(project, path, meter, keeps=False)
        case "temperatures":
            return _temperatures(project, path, keeps=False)
        case "log":
            return _log(project, path, machine, keeps=False)
        case _:
            raise CannotReadIn("this kind of file is not looked into", where=path.name, do="read it in")


def kind_of(path: Path) -> Kind | None:
    """What a file seems to hold, by its ending and its headings; None where that cannot be told."""
    ending = path.suffix.lower()
    if ending in (".csv", ".txt"):
        return recognized(path) or ("bills" if ending == ".csv" else None)
    by_ending: dict[str, Kind] = {".epw": "weather", ".tm3": "weather", ".xml": "readings"}
    return by_ending.get(ending)


def recognized(path: Path) -> Kind | None:
    """What a file of figures says it holds, by its own words; None for every other file."""
    from retrofit_desk.exchange.daily_temperatures import names_temperatures
    from retrofit_desk.exchange.readings_file import names_readings
    from retrofit_desk.exchange.trend_file import names_trend

    ending = path.suffix.lower()
    if ending not in (".csv", ".txt", ".xml"):
        return None
    with path.open("rb") as file:
        head = file.read(HEAD_BYTES)
    if ending == ".xml":
        return "readings" if EXCHANGE_MARK in head else None
    line = head.decode("utf-8-sig", "replace").partition("\n")[0]
    first = [cell.strip().strip('"') for cell in line.split(",")]
    if names_bills(head):
        return "bills"
    if names_temperatures(first):
        return "temperatures"
    if names_trend(head):
        return "log"
    return "readings" if names_readings(head) else None


def _readings(project: Project, path: Path, meter: str | None, *, keeps: bool = True) -> ReadIn:
    from retrofit_desk.services.meter_readings import MeterReadingsService

    service = MeterReadingsService(project)
    found = service.keep(path, meter) if keeps else service.look(path, meter)
    rows = sum(one.readings for one in found)
    about = tuple(line for one in found for line in one.lines())
    names = ", ".join(one.meter for one in found)
    return ReadIn(
        "readings", rows, f"{'Kept' if keeps else 'Holds'} {count_text(rows, 'reading')} of {names}", about
    )


def _log(project: Project, path: Path, machine: str | None, *, keeps: bool = True) -> ReadIn:
    from retrofit_desk.services.machine_trend import MachineTrendService

    service = MachineTrendService(project)
    could = service.machines()
    fits = [one for one in could if machine is None or machine == one[1]]
    if len(fits) != 1:
        names = ", ".join(name for _, name in could) or "none"
        raise CannotReadIn(
            "cannot tell which machine this log belongs to",
            where=path.name,
            kept="nothing was read in",
            do=f"name it with --machine; there are: {names}",
        )
    machine_id, _name = fits[0]
    sheet = service.look(path, machine_id)
    if keeps:
        service.keep(path, machine_id)
    line = f"{'Kept' if keeps else 'Holds'} {sheet.readings:,} readings of the controller of {sheet.machine}"
    points = (f"{one.title}: {one.words.rstrip('.')}" for one in sheet.points)
    return ReadIn("log", sheet.readings, line, (*points, *sheet.notes))


def _temperatures(project: Project, path: Path, *, keeps: bool = True) -> ReadIn:
    from retrofit_desk.exchange.daily_temperatures import read_daily_temperatures

    found = read_daily_temperatures(path)
    first, last = min(found), max(found)
    if keeps:
        with project.action(f"Read in daily temperatures from {path.name}") as work:
            filing = Filing(m.PaperKind.DAILY_TEMPERATURES, f"Daily temperatures {path.name}", last)
            file_in(work, path, filing)
    missing = (last - first).days + 1 - len(found)
    gaps = count_text(missing, "day in between is", "days in between are")
    about = (f"{gaps} missing",) if missing else ()
    days = f"{day_text(first)} to {day_text(last)}"
    line = f"{'Kept' if keeps else 'Holds'} {count_text(len(found), 'daily temperature')}, {days}"
    return ReadIn("temperatures", len(found), line, about)


def _bills(project: Project, path: Path, meter_name: str | None) -> ReadIn:
    table = read_bills(path)
    lines = table.lines
    with project.action(f"Read in bills from {path.name}") as work:
        meter = _meter(list(work.session.scalars(select(m.Meter))), lines, meter_name, path)
        gave_way = _make_way(meter, lines)
        known = {bill.period_start: bill for bill in meter.bills}
        for line in lines:
            bill = known.get(line.period_start)
            others = (one for one in meter.bills if one is not bill)
            check_free(line.period_start, line.period_end, others, path.name)
            if bill is None:
                bill = m.Bill(
                    period_start=line.period_start, period_end=line.period_end, kind=kind_for(meter)
                )
                meter.bills.append(bill)
            bill.period_end = line.period_end
            bill.set_stated("quantity", line.quantity)
            bill.set_stated("cost_cents", line.cost_cents)
        name = meter.name
    about = (*_notes(table), *gave_way)
    return ReadIn("bills", len(lines), f"Read {count_text(len(lines), 'bill')} into {name}", about)


def _make_way(meter: m.Meter, lines: tuple[BillLine, ...]) -> tuple[str, ...]:
    """A whole year in one sum, as a first guess gives it, makes way for the bills themselves."""
    if any((line.period_end - line.period_start).days > YEAR_IN_ONE_DAYS for line in lines):
        return ()
    sums = [
        bill
        for bill in meter.bills
        if (bill.period_end - bill.period_start).days > YEAR_IN_ONE_DAYS
        and any(line.period_start < bill.period_end and bill.period_start < line.period_end for line in lines)
    ]
    for bill in sums:
        meter.bills.remove(bill)
    return ("the year's sum that was entered first made way for them",) if sums else ()


def _notes(table: BillsTable) -> tuple[str, ...]:
    has_unit = any(line.unit for line in table.lines)
    return table.notes if has_unit else (*table.notes, "the unit is not said: taken is the meter's")


def _meter(meters: list[m.Meter], lines: tuple[BillLine, ...], name: str | None, path: Path) -> m.Meter:
    """The meter named, or the only one that counts in the file's unit."""
    units = {line.unit for line in lines}
    if len(units) != 1:
        raise CannotReadIn("the bills are not all in one unit", where=path.name, do="split the file by meter")
    unit = units.pop()
    could = [one for one in meters if unit in ("", one.unit)]
    fits = [one for one in could if name is None or name in (one.name, one.key, one.number)]
    if len(fits) == 1:
        return fits[0]
    names = ", ".join(one.name for one in could) or "none"
    these, those = (f"bills in {unit}", f"meters in {unit}") if unit else ("bills", "there are")
    raise CannotReadIn(
        f"cannot tell which meter these {these} belong to",
        where=path.name,
        kept="nothing was read in",
        do=f"name it with --meter; {those}: {names}",
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
