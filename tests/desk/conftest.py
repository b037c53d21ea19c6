"""Desks on an empty project and on the sample house, and pages shown on them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TypeVar

import pytest
from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.page import Page
from retrofit_desk.desk.settings import Settings
from retrofit_desk.desk.theme import LIGHT, dress, load_fonts
from retrofit_desk.records.project import Project

AnyPage = TypeVar("AnyPage", bound=Page)


class OpenPage:
    """Shows a page as the window would, and closes it with the test."""

    def __init__(self, qtbot: QtBot) -> None:
        self._qtbot = qtbot

    def __call__(self, page: AnyPage, width: int = 1100, height: int = 640) -> AnyPage:
        self._qtbot.addWidget(page)
        page.resize(width, height)
        page.refresh()
        page.show()
        return page


@pytest.fixture(autouse=True)
def _let_go_of_widgets() -> Iterator[None]:
    """Closed windows go at once: thousands left over would make every change of the look slow."""
    yield
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    return Settings(tmp_path / "window.ini")


@pytest.fixture
def empty_desk(qapp: QApplication, tmp_path: Path) -> Iterator[Desk]:
    load_fonts()
    dress(qapp, LIGHT)
    desk = Desk(Project.create(tmp_path / "Elm Street"))
    yield desk
    desk.leave()


@pytest.fixture
def sample_desk(qapp: QApplication, sample_copy: Path) -> Iterator[Desk]:
    """A desk on a copy of the sample house of this test's own."""
    load_fonts()
    dress(qapp, LIGHT)
    desk = Desk(Project.open(sample_copy))
    yield desk
    desk.leave()


@pytest.fixture
def open_page(qtbot: QtBot) -> OpenPage:
    return OpenPage(qtbot)
