"""A project out to a file: the described house, a workbook of measures and money, a calendar."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.case import changed
from retrofit_desk.estimate.from_records import case_of, house_of
from retrofit_desk.exchange.house_file import write_house
from retrofit_desk.exchange.spreadsheet import Cell, Sheet, write_workbook
from retrofit_desk.money.rounding import to_dollars
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.work_calendar import WorkCalendarService
from retrofit_desk.values.errors import CannotSay, DeskError
from retrofit_desk.values.stated import StatedValue


class CannotWriteOut(DeskError):
    """The file's ending does not tell what to write."""


def write_out(project: Project, path: Path) -> Path:
    """Write the file that its ending asks for, whole or not at all. Raises `CannotWriteOut`, `CannotSay`."""
    writer = _WRITERS.get(path.suffix.lower())
    if writer is None:
        raise CannotWriteOut(
            f"cannot tell what to write from the ending '{path.suffix}'",
            where=path.name,
            do="end it in .json (the house), .xlsx (measures and money) or .ics (dates)",
        )
    half = path.with_name(f".{path.name}.part")
    try:
        writer(project, half)
        os.replace(half, path)
    except BaseException:
        half.unlink(missing_ok=True)
        raise
    return path


def _house(project: Project, path: Path) -> None:
    """With plant and family where the record tells them, else fabric alone, as the file then shows."""
    with project.session() as session:
        house = house_of(session)
        try:
            case = case_of(session)
        except CannotSay:
            write_house(house, path)
            return
    write_house(changed(house, plant=case.plant, household=case.use), path)


def _workbook(project: Project, path: Path) -> None:
    rows = MeasureService(project).rows()
    measures = Sheet(
        "Measures",
        ("Measure", "State", "Rooms", "Cost, $", "In service since"),
        tuple(
            (
                row.title,
                str(row.state),
                ", ".join(row.rooms),
                _money(row.cost_cents),
                row.placed_in_service_on,
            )
            for row in rows
        ),
    )
    with project.session() as session:
        write_workbook(path, [measures, _contracts(session), _payments(session)])


def _contracts(session: Session) -> Sheet:
    rows = tuple(
        (one.title, one.firm.name, one.signed_on, to_dollars(one.price_cents))
        for one in session.scalars(select(m.Contract).order_by(m.Contract.id))
    )
    return Sheet("Contracts", ("Contract", "Firm", "Signed", "Price, $"), rows)


def _payments(session: Session) -> Sheet:
    firms = {firm.id: firm.name for firm in session.scalars(select(m.Firm))}
    rows = tuple(
        (firms.get(one.firm_id, ""), one.on, one.how, to_dollars(one.amount_cents), one.cleared_on)
        for one in session.scalars(select(m.Payment).order_by(m.Payment.on, m.Payment.id))
    )
    return Sheet("Payments", ("To", "On", "How", "Amount, $", "Cleared"), rows)


def _money(value: StatedValue[int]) -> Cell:
    return str(value.stated) if value.value is None else to_dollars(value.value)


def _calendar(project: Project, path: Path) -> None:
    WorkCalendarService(project).write(path)


_WRITERS: dict[str, Callable[[Project, Path], None]] = {
    ".json": _house,
    ".xlsx": _workbook,
    ".ics": _calendar,
}
