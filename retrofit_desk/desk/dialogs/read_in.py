"""Reads a file in: shows what it holds, asks whose it is where that is not clear, and keeps it if told to."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from PySide6.QtWidgets import QInputDialog, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.keep_file import ask_to_keep
from retrofit_desk.desk.dialogs.machine_trend import keep_trend
from retrofit_desk.services.machine_trend import MachineTrendService
from retrofit_desk.services.read_in import CannotReadIn, ReadIn, kind_of, look_into, read_in
from retrofit_desk.values.errors import DeskError


def read_in_file(desk: Desk, parent: QWidget, path: Path, meter_shown: str | None = None) -> None:
    """Show what a file holds, and read it in, in one step, when the owner says so.

    `meter_shown`: whose bills or readings they are where the file does not say so.
    """
    with desk.notices.caught():
        if kind_of(path) == "log":
            machine_id = _machine_of(desk, parent, path)
            if machine_id is not None:
                keep_trend(desk, parent, path, machine_id)
            return
        meter, found = _looked(desk, path, meter_shown)
        if ask_to_keep(parent, path.name, found):
            told = read_in(desk.project, path, kind=found.kind, meter=meter)
            desk.notices.tell(f"{told.line}.")


def _looked(desk: Desk, path: Path, shown: str | None) -> tuple[str | None, ReadIn]:
    """What a file holds; where its meter is not clear, of the meter shown. Raises as `look_into`."""
    try:
        return None, look_into(desk.project, path)
    except DeskError:
        if shown is None or kind_of(path) == "temperatures":
            raise
        with suppress(DeskError):
            return shown, look_into(desk.project, path, meter=shown)
        raise


def _machine_of(desk: Desk, parent: QWidget, path: Path) -> int | None:
    """The machine whose log it is, asked for where there are several; none where the owner will not say."""
    could = desk.service(MachineTrendService).machines()
    if not could:
        raise CannotReadIn(
            "it is the log of a machine, and none with a controller is recorded",
            where=path.name,
            kept="nothing was read in",
            do="record the machine on the House page first",
        )
    if len(could) == 1:
        return could[0][0]
    names = [f"{at}. {name}" for at, (_, name) in enumerate(could, 1)]  # two machines may be called alike
    name, said = QInputDialog.getItem(parent, f"Read in {path.name}", "Whose log is it?", names, 0, False)
    return could[names.index(name)][0] if said else None
