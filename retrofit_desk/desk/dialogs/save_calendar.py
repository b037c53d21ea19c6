"""Asks where to, and writes the calendar file."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.services.work_calendar import WorkCalendarService


def save_calendar(desk: Desk, parent: QWidget | None) -> None:
    """Booked visits, agreed days and what runs out, as a file that a calendar program reads."""
    name, _ = QFileDialog.getSaveFileName(parent, "Write a calendar", "dates.ics", "Calendar (*.ics)")
    if not name:
        return
    path = Path(name) if Path(name).suffix else Path(name).with_suffix(".ics")
    with desk.notices.caught():
        count = desk.service(WorkCalendarService).write(path)
        told = f"{count} dates are in {path.name}. Written again later, it moves them and doubles none."
        desk.notices.tell(told)
