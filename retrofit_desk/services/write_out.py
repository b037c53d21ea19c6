"""A project out to a file: the described house, a workbook of measures and money, a calendar."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.from_records import house_of
from retrofit_desk.exchange.calendar_file import CalendarDate, write_calendar
from retrofit_desk.exchange.house_file import write_house
from retrofit_desk.exchange.spreadsheet import Cell, Sheet, write_workbook
from retrofit_desk.money.rounding import to_dollars
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.values.errors import DeskError
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
    with project.session() as session:
        house = house_of(session)
    write_house(house, path)


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
    with project.session() as session:
        entries = (*_visits(project, session), *_tasks(project, session))
    write_calendar(path, entries, datetime.now(UTC))


def _visits(project: Project, session: Session) -> list[CalendarDate]:
    booked = select(m.Inspection).where(m.Inspection.booked_for.is_not(None))
    return [
        CalendarDate(
            uid=f"inspection-{one.id}@retrofit-desk",
            title=f"Inspection: {one.title}",
            first_day=one.booked_for,
            last_day=one.booked_for,
            revision=_revision(project, one),
            note=f"{one.permit.title}. {one.booked_window}".strip(),
            is_called_off=one.result is m.InspectionResult.CANCELLED,
        )
        for one in session.scalars(booked)
        if one.booked_for is not None
    ]


def _tasks(project: Project, session: Session) -> list[CalendarDate]:
    planned = select(m.Task).where(m.Task.planned_on.is_not(None))
    return [
        CalendarDate(
            uid=f"task-{one.id}@retrofit-desk",
            title=one.title,
            first_day=one.planned_on,
            last_day=one.planned_on,
            revision=_revision(project, one),
            note=one.notes,
            is_called_off=one.state is m.TaskState.DROPPED,
        )
        for one in session.scalars(planned)
        if one.planned_on is not None
    ]


def _revision(project: Project, row: m.Base) -> int:
    """How often the record changed this row: it only ever grows, as a calendar's sequence must."""
    return len(project.history_of(row.__tablename__, row.id))


_WRITERS: dict[str, Callable[[Project, Path], None]] = {
    ".json": _house,
    ".xlsx": _workbook,
    ".ics": _calendar,
}
