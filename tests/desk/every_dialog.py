"""Every dialog of the window, made on the sample house from what its constructor asks for."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import typing
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from PySide6.QtWidgets import QDialog, QWidget
from sqlalchemy import select

from retrofit_desk.desk import dialogs
from retrofit_desk.desk.commands import Command
from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.dialogs.pay import ToPay
from retrofit_desk.paperwork.contents import PacketKind
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.account_closing import AccountClosingService
from retrofit_desk.services.account_entry import AccountEntryService
from retrofit_desk.services.at_hand import AtHandService
from retrofit_desk.services.hazards import HazardLine, HazardService
from retrofit_desk.services.house import HouseService
from retrofit_desk.services.house_faces import FaceService, SurfaceSheet
from retrofit_desk.services.inside import HiddenKind, KeptMark, WrittenHidden
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.meters import MeterService
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.packets import SentRow
from retrofit_desk.services.papers import PaperService
from retrofit_desk.services.people import PeopleService
from retrofit_desk.services.permit_sheet import CorrectionLine
from retrofit_desk.services.permits import PermitService
from retrofit_desk.services.quotes import QuoteService
from retrofit_desk.services.read_in import ReadIn
from retrofit_desk.services.schedule import ScheduleService
from retrofit_desk.services.tariff_entry import TariffEntryService
from tests.journeys.papers import a_letter

OF_ONE_ROW = {
    "measure_id": "measure",
    "surface_id": "surface",
    "machine_id": "equipment",
    "choice_id": "programme_choice",
    "panel_id": "panel",
    "circuit_id": "circuit",
    "loan_id": "loan",
    "task_id": "task",
    "firm_id": "firm",
    "warranty_id": "warranty",
}
"""Ids that a constructor takes, and the table whose first row stands for them."""


def dialog_classes() -> list[type[QDialog]]:
    """Every dialog of the package that is shown by itself."""
    found = []
    for module in pkgutil.iter_modules(dialogs.__path__):
        loaded = importlib.import_module(f"{dialogs.__name__}.{module.name}")
        for name, kind in vars(loaded).items():
            is_mine = inspect.isclass(kind) and kind.__module__ == loaded.__name__
            if is_mine and issubclass(kind, QDialog) and not name.startswith("_") and kind is not FormDialog:
                found.append(kind)
    shown = [one for one in found if not any(one in other.__mro__[1:] for other in found)]
    return sorted(shown, key=lambda one: (one.__module__, one.__name__))


class CannotMake(Exception):
    """No value of the sample house fits what a constructor asks for."""


class DialogMaker:
    """Gives each constructor what it names, from the sample house."""

    def __init__(self, desk: Desk, tmp_path: Path, parent: QWidget) -> None:
        self._desk, self._project, self._tmp, self._parent = desk, desk.project, tmp_path, parent

    def make(self, kind: type[QDialog]) -> QDialog:
        """Raises `CannotMake`."""
        hints = typing.get_type_hints(kind.__init__, include_extras=False)
        given: dict[str, Any] = {}
        for name, parameter in inspect.signature(kind).parameters.items():
            if parameter.default is inspect.Parameter.empty or name in OF_ONE_ROW:
                given[name] = self._value(kind, name, hints.get(name))
        return kind(**given)

    def _value(self, kind: type[QDialog], name: str, hint: Any) -> Any:
        if name in OF_ONE_ROW:
            return self._first_id(OF_ONE_ROW[name])
        by_name = {"desk": self._desk, "parent": self._parent, "asks": True, "find_id": 1}
        if name in by_name:
            return by_name[name]
        if hint is str:
            return {"form": f"form:{kind.__name__}"}.get(name, "Den north wall")
        if hint is Path:
            return a_letter(self._tmp / "a letter.pdf", "A letter")
        if "| None" in str(hint):
            return None
        for wanted, factory in self._factories():
            if wanted in str(hint):
                return factory()
        raise CannotMake(f"{kind.__name__}: {name}: {hint}")

    def _first_id(self, table: str) -> int:
        with self._project.session() as session:
            row = session.connection().exec_driver_sql(f"select min(id) from {table}").scalar()
        assert row is not None, table
        return int(row)

    def _factories(self) -> Iterator[tuple[str, Callable[[], Any]]]:
        project = self._project
        measure = self._first_id("measure")
        yield "RequestSheet", lambda: _requests(project)
        yield "QuoteSheet", lambda: _requests(project).quotes[0]
        yield "MeasureSheet", lambda: MeasureService(project).sheet(measure)
        yield "MeasureRow", lambda: MeasureService(project).rows()[0]
        yield "ContractSheet", lambda: MoneyService(project).sheet(MoneyService(project).contracts()[0].id)
        yield "LoanSheet", lambda: MoneyService(project).loans()[0]
        yield "Budget", lambda: MoneyService(project).budget()
        yield "FirmSheet", lambda: PeopleService(project).sheet(self._first_id("firm"))
        yield "PermitSheet", lambda: PermitService(project).sheet(self._first_id("permit"))
        yield "VisitSheet", lambda: PermitService(project).sheet(self._first_id("permit")).visits[0]
        yield "RoomSheet", lambda: HouseService(project).room(self._first_id("room"))
        yield "SurfaceSheet", lambda: _wall(project)
        yield "OpeningSheet", lambda: _wall(project).openings[0]
        yield "MeterSheet", lambda: MeterService(project).meters()[0]
        yield "AccountSheet", lambda: AccountEntryService(project).of_meter(self._first_id("meter"))
        yield "MeterTariffs", lambda: TariffEntryService(project).of_meter(self._first_id("meter"))
        yield "AccountEnd", lambda: AccountClosingService(project).of_meter(self._first_id("meter"))
        correction = CorrectionLine(1, "Box fill exceeded", "", "Den", None, "")
        yield "CorrectionLine", lambda: correction
        yield "ToPay", lambda: ToPay("pay:test", "Stage", 100_000, lambda _written: None)
        yield "ReadIn", lambda: ReadIn("bills", 12, "12 bills of the gas meter")
        yield "PaperSheet", lambda: PaperService(project).sheet(PaperService(project).rows()[0].id)
        made = datetime(2026, 11, 20, tzinfo=UTC)
        row = SentRow(1, PacketKind.REBATE, "Rebate packet", made, 3, "", None, "", "", None, None, None)
        yield "SentRow", lambda: row
        yield "Waiting", lambda: AtHandService(project).look().with_others[0]
        yield "StepRow", lambda: ScheduleService(project).view().open_steps[0]
        yield "ScheduleView", lambda: ScheduleService(project).view()
        yield "HazardLine", lambda: _hazard(project)
        lamp = WrittenHidden(HiddenKind.BOX, "Lamp box", _wall(project).row.id, ((1.0, 1.0),))
        yield "KeptMark", lambda: KeptMark(1, lamp, "Lamp box", "", "")
        yield "Command", lambda: [Command("one", "One command", lambda: None, ("Ctrl+1",))]


def _requests(project: Project) -> Any:
    quotes = QuoteService(project)
    return next(sheet for row in quotes.rows() if (sheet := quotes.sheet(row.id)).quotes)


def _wall(project: Project) -> SurfaceSheet:
    """A face with a window."""
    with project.session() as session:
        surface_id = session.scalars(select(m.Opening.surface_id).order_by(m.Opening.id)).first()
    assert surface_id is not None
    return FaceService(project).sheet(surface_id)


def _hazard(project: Project) -> HazardLine:
    for row in MeasureService(project).rows():
        before = HazardService(project).before_work(row.id)
        if before is not None and before.found:
            return before.found[0]
    raise CannotMake("no find on record")
