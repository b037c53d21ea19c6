"""*Did it work?* says what each answer leans on, why, and by which thresholds it is given."""

from __future__ import annotations

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages.worth_did_it_work import DidItWork
from retrofit_desk.desk.pages.worth_pane import WorthLook


def test_what_is_taken_what_is_missing_and_the_thresholds_are_said(sample_desk: Desk) -> None:
    pane = DidItWork(sample_desk)
    pane.fill(WorthLook(sample_desk))
    gas, power, counted = pane.grounds.text().splitlines()
    assert gas.startswith("Gas meter: by bills; no readings by the day or finer are filed.")
    assert "Left out: Aug 2025: nobody was at home for 30% of its days" in gas
    assert "its readings wait for the temperatures of their days" in power
    assert "3 parameters, CV(RMSE)" in power
    assert counted.startswith("All are counted from Nov 4, 2025 to")
    assert "at most 50% of it (ASHRAE Guideline 14)" in pane.rule.text()
    pane._choose_work(1)  # too soon: nothing is counted yet
    assert "All are counted" not in pane.grounds.text()
    assert pane.table.shown_texts()[0][2] == "none"
    pane.deleteLater()
