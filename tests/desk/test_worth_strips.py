"""Do strips run?: what the page says of a sign, and when there is none."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages.worth_strips import StripsSection, answer_line
from retrofit_desk.desk.theme import LIGHT, dress, load_fonts
from retrofit_desk.records.project import Project
from retrofit_desk.services.strip_heat import LoadBin, StripAnswer, StripHeat, StripHeatService, StripSign
from retrofit_desk.services.strip_heat_words import MAY_ELSE_BE
from retrofit_desk.values.quantity import Units

BINS = (LoadBin(15.0, 4, 40.0, 28.0), LoadBin(35.0, 20, 12.0, 12.0))


def a_sign(answer: StripAnswer = StripAnswer.LIKELY, *, sure: bool = True, steps: int = 12) -> StripSign:
    return StripSign(
        answer=answer,
        days=120,
        cold_days=30,
        balance_f=60.0,
        knee_f=26.0 if sure else None,
        pump_slope=0.5,
        cold_slope=1.3 if sure else 0.5,
        is_knee_sure=sure,
        cold_step_days=steps,
        mild_days=40,
        mild_step_days=1,
        step_kw=9.1 if steps else None,
        beyond_kwh=212.4,
        bins=BINS,
    )


def found(sign: StripSign | None, why_not: str = "") -> StripHeat:
    return StripHeat("Heat pump", date(2025, 11, 20), "Electric meter", sign, why_not, "the weather in use")


@pytest.fixture
def section(qapp: QApplication, qtbot: QtBot, sample_copy: Path) -> Iterator[StripsSection]:
    load_fonts()
    dress(qapp, LIGHT)
    desk = Desk(Project.open(sample_copy))
    made = StripsSection(desk)
    qtbot.addWidget(made)
    yield made
    desk.leave()


def words(section: StripsSection) -> str:
    return " ".join(label.text() for label in section.findChildren(QLabel))


def test_the_sample_house_says_that_nothing_heats_by_power_yet(section: StripsSection) -> None:
    section.refresh()
    assert "No heat pump or electric heater" in words(section)
    assert not section.picture.isVisibleTo(section)


def test_a_sign_is_told_as_an_indication_with_what_else_it_may_be(
    section: StripsSection, monkeypatch: pytest.MonkeyPatch
) -> None:
    # NEED-18: bills rise because strips run; the sign is read from the readings and said as an indication
    monkeypatch.setattr(StripHeatService, "look", lambda service: found(a_sign()))
    section.refresh()
    told = words(section)
    assert "strips are likely running" in told
    assert MAY_ELSE_BE in told
    assert "An indication, no proof" in told
    assert section.picture.isVisibleTo(section)


def test_the_reasons_stand_in_the_line_in_the_owners_units() -> None:
    line = answer_line(found(a_sign()), a_sign(), Units.US)
    assert line.needs_owner
    assert "Below 26 °F the load grows 2.6 times as fast as a heat pump's" in line.why
    assert "Steps of about 9.1 kW (elements come as 10 kW) on 12 of 30 mornings below 40 °F" in line.why
    assert line.aside == "212 kWh in the nights"
    assert "Below −3 °C" in answer_line(found(a_sign()), a_sign(), Units.SI).why


def test_no_sign_asks_nothing_of_the_owner() -> None:
    calm = a_sign(StripAnswer.NO_SIGN, sure=False, steps=0)
    line = answer_line(found(calm), calm, Units.US)
    assert not line.needs_owner
    assert "grows evenly with the cold" in line.why
    assert "No morning has a step" in line.why
    assert line.aside == ""
