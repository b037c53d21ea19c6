"""The section of the Worth page that holds the model against the bills."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot
from sqlalchemy import select

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.jobs import Job
from retrofit_desk.desk.pages.worth_fit import NOT_YET, FitSection, FitView
from retrofit_desk.desk.theme import LIGHT, dress, load_fonts
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.bills_fit import BillsFitService
from retrofit_desk.values.quantity import Units


@pytest.fixture
def desk(qapp: QApplication, fitted_folder: Path, tmp_path: Path) -> Iterator[Desk]:
    load_fonts()
    dress(qapp, LIGHT)
    made = Desk(Project.open(Path(shutil.copytree(fitted_folder, tmp_path / fitted_folder.name))))
    yield made
    made.leave()


def shown(desk: Desk, qtbot: QtBot) -> FitSection:
    section = FitSection(desk)
    qtbot.addWidget(section)
    section.refresh()
    return section


def words(section: FitSection) -> str:
    return "\n".join(label.text() for label in section.findChildren(QLabel) if not label.isHidden())


def test_the_section_says_how_well_the_model_meets_each_meter(desk: Desk, qtbot: QtBot) -> None:
    section = shown(desk, qtbot)
    assert "The model meets the bills" in section.headline.text()
    assert "Oct 24, 2025" in section.made.text()
    assert "typical year" in section.made.text()
    assert "Gas meter: meets the limits" in words(section)
    assert len(section.pictures) == 2


def test_it_says_which_traits_the_bills_cannot_tell_apart(desk: Desk, qtbot: QtBot) -> None:
    section = shown(desk, qtbot)
    told = [row.accessibleName() for row in section.traits.rows]
    leakage = next(one for one in told if one.startswith("Air leakage"))
    assert "cannot tell it apart from heat loss of the envelope" in leakage


def test_the_headline_says_plainly_what_the_bills_mix_up(desk: Desk, qtbot: QtBot) -> None:
    assert (
        "They cannot tell apart: air leakage, heat loss of the envelope" in shown(desk, qtbot).headline.text()
    )


def test_the_fit_is_read_one_view_at_a_time(desk: Desk, qtbot: QtBot) -> None:
    section = shown(desk, qtbot)
    assert section.meters.isVisibleTo(section)
    assert not section.traits.isVisibleTo(section)
    section.views.turn_to(FitView.TRAITS)
    assert section.traits.isVisibleTo(section)
    assert not section.meters.isVisibleTo(section)


def test_temperatures_follow_the_units(desk: Desk, qtbot: QtBot) -> None:
    assert "±0.9 °F before" in words(shown(desk, qtbot))
    desk.set_units(Units.SI)
    assert "±0.5 K before" in words(shown(desk, qtbot))


def test_a_changed_bill_asks_for_a_new_fit(desk: Desk, qtbot: QtBot) -> None:
    section = shown(desk, qtbot)
    assert section.stale.isHidden()
    with desk.project.action("Correct a bill") as work:
        bill = work.session.scalars(select(m.Bill).order_by(m.Bill.period_start)).first()
        assert bill is not None
        bill.quantity = 90.0
    section.refresh()
    assert not section.stale.isHidden()
    assert "the billing of Gas meter was changed" in words(section)


def test_without_a_fit_it_offers_one_and_shows_it_when_done(
    desk: Desk, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    service = desk.service(BillsFitService)
    kept = service.latest()
    monkeypatch.setattr(service, "latest", lambda: None)
    monkeypatch.setattr(service, "fit", lambda progress: kept)
    section = shown(desk, qtbot)
    assert section.headline.text() == NOT_YET
    started: list[Job] = []
    desk.jobs.started.connect(started.append)
    section.button.click()
    assert not section.button.isEnabled()
    monkeypatch.setattr(service, "latest", lambda: kept)
    qtbot.waitUntil(section.button.isEnabled)
    assert [job.title for job in started] == ["Fitting the model to the bills"]
    qtbot.waitUntil(lambda: "meets the bills" in section.headline.text())
