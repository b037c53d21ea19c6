"""One table of commands, from which menus, keys and the help list grow."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMenu, QMenuBar, QWidget


@dataclass(frozen=True)
class Command:
    """One thing the owner can ask for: a stable key, its words, its keys, and what runs.

    `keys` are shortcuts in Qt's spelling ("Ctrl+Z"), the first one is shown. `may_run` tells whether the
    command can be asked for just now.
    """

    key: str
    title: str
    run: Callable[[], object]
    keys: tuple[str, ...] = ()
    menu: str = ""
    may_run: Callable[[], bool] | None = None


def actions_of(commands: Iterable[Command], owner: QWidget) -> dict[str, QAction]:
    """One action for each command, reachable by its keys wherever `owner`'s window has the focus."""
    made = {}
    for command in commands:
        action = QAction(command.title, owner)
        action.setObjectName(command.key)
        action.setShortcuts([QKeySequence(keys) for keys in command.keys])
        action.triggered.connect(lambda _checked=False, run=command.run: run())
        made[command.key] = action
    return made


def fill_menus(bar: QMenuBar, commands: Iterable[Command], actions: dict[str, QAction]) -> dict[str, QMenu]:
    """Menus in the order in which the commands name them; grayed when a command cannot run just now."""
    menus: dict[str, QMenu] = {}
    listed = tuple(command for command in commands if command.menu)
    for command in listed:
        if command.menu not in menus:
            menus[command.menu] = bar.addMenu(command.menu)
        menus[command.menu].addAction(actions[command.key])
    for title, menu in menus.items():
        menu.aboutToShow.connect(lambda title=title: update_enabled(listed, actions, title))
    return menus


def update_enabled(commands: Iterable[Command], actions: dict[str, QAction], menu: str = "") -> None:
    """Ask every command (of one menu) whether it may run now."""
    for command in commands:
        if command.may_run is not None and (not menu or command.menu == menu):
            actions[command.key].setEnabled(command.may_run())
