"""The owner's own figures of a measure's years, typed into their form."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.over_the_years import OverTheYearsDialog
from retrofit_desk.services.later_money import LaterMoneyService
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.values.stated import Stated, StatedValue


def test_what_is_typed_is_kept_and_what_is_unknown_stays_unknown(sample_desk: Desk, qtbot: QtBot) -> None:
    rows = sample_desk.service(MeasureService).rows()
    row = next(one for one in rows if one.kind == "induction_range")
    form = OverTheYearsDialog(sample_desk, None, row)
    qtbot.addWidget(form)
    form.life.set_stated(StatedValue(18.0))
    form.upkeep.set_stated(StatedValue(0))
    form.record()
    kept = sample_desk.service(LaterMoneyService).own_figures(row.id)
    assert kept.life_years == StatedValue(18)
    assert kept.upkeep_cents == StatedValue(0)  # zero is not unknown
    assert kept.ended_upkeep_cents.stated is Stated.UNKNOWN
    assert kept.replacement_cents == StatedValue(90_000)
    assert kept.as_of is not None
