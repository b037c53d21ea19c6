"""Sizes before buying, from the Measures page."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot
from sqlalchemy import select

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.before_you_buy import BeforeYouBuyDialog
from retrofit_desk.desk.pages.measures import MeasuresPage
from retrofit_desk.records import models as m
from retrofit_desk.values.place import PageKey, Place
from tests.desk.conftest import OpenPage


def at_measure(desk: Desk, open_page: OpenPage, kind: str) -> MeasuresPage:
    page = open_page(MeasuresPage(desk))
    with desk.project.session() as session:
        found = session.scalar(select(m.Measure.id).where(m.Measure.kind == kind))
    page.show_item(Place(PageKey.MEASURES, "measure", found))
    return page


def test_the_sizes_come_from_the_background_and_open(
    sample_desk: Desk, open_page: OpenPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[BeforeYouBuyDialog] = []

    def take(dialog: BeforeYouBuyDialog) -> None:
        opened.append(dialog)

    monkeypatch.setattr(BeforeYouBuyDialog, "open", take)
    page = at_measure(sample_desk, open_page, "radiant_floor")
    page.before_you_buy()
    qtbot.waitUntil(lambda: bool(opened), timeout=60_000)
    (dialog,) = opened
    qtbot.addWidget(dialog)
    words = " ".join(label.text() for label in dialog.findChildren(QLabel))
    assert "Kitchen and dining" in words
    assert "beyond the limit" in words
    assert "EN 1264-2" in words
    assert "Take care" in words


def test_a_measure_without_sizes_says_so_at_once(sample_desk: Desk, open_page: OpenPage) -> None:
    said: list[str] = []
    sample_desk.notices.told.connect(lambda line, _owner: said.append(line))
    page = at_measure(sample_desk, open_page, "induction_range")
    page.before_you_buy()
    assert not sample_desk.jobs.running
    assert any("nothing to size" in one for one in said)
