"""An owner before a window that has not been opened yet."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.theme import LIGHT, dress, load_fonts
from tests.journeys.owner import Owner


@pytest.fixture
def owner(
    qapp: QApplication, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> Iterator[Owner]:
    load_fonts()
    dress(qapp, LIGHT)
    someone = Owner(qtbot, monkeypatch, tmp_path)
    someone.starts_for_the_first_time()
    yield someone
    someone.leaves()
