"""Heat kept or power kept, on the Worth page of the sample house."""

from __future__ import annotations

from PySide6.QtWidgets import QTableView
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages.worth_storage import NOT_YET, StorageSection
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.storage import StorageService
from retrofit_desk.services.storage_words import sentence


def section_of(desk: Desk, qtbot: QtBot) -> StorageSection:
    section = StorageSection(desk)
    qtbot.addWidget(section)
    section.refresh()
    return section


def test_before_the_first_comparison_it_says_so(sample_desk: Desk, qtbot: QtBot) -> None:
    section = section_of(sample_desk, qtbot)
    assert section.headline.text() == NOT_YET
    assert not section.isHidden()


def test_a_house_without_a_store_has_no_such_section(empty_desk: Desk, qtbot: QtBot) -> None:
    assert section_of(empty_desk, qtbot).isHidden()


def test_the_store_of_the_sample_house_says_why_it_earns_nothing_in_its_place(
    sample_desk: Desk, qtbot: QtBot
) -> None:
    service = sample_desk.service(StorageService)
    (one,) = service.compare().stores
    assert one.found.store.money_saved_cents > 0
    assert "In its own place in the line-up it earns nothing" in sentence(one)
    section = section_of(sample_desk, qtbot)
    (table,) = section.tables
    shown = {line.what: line for line in table.model.rows}
    assert shown["Use moved"].store == shown["Use moved"].battery
    back = one.found.store.shifted_kwh / one.found.store.charged_kwh
    assert shown["Of that comes back"].store == f"{back:.0%}"
    assert shown["Lasts"].store == "20 years (15 to 30)"
    assert shown["Carbon in it"].store == "unknown"
    assert section.findChildren(QTableView)
    assert service.changed_since() == ()
    rows = sample_desk.service(MeasureService).rows()
    sample_desk.service(MeasureService).set_order([row.id for row in reversed(rows)])
    section.refresh()
    assert not section.stale.isHidden()
