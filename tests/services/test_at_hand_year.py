"""The year ahead on one page."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from pypdf import PdfReader

from retrofit_desk.records.project import Project
from retrofit_desk.services.at_hand_year import AtHandYearService

TODAY = date(2026, 11, 20)


def test_everything_with_a_day_within_a_year_stands_in_its_order(sample_project: Project) -> None:
    lines = AtHandYearService(sample_project).lines()
    days = [line.on for line in lines]
    assert days == sorted(days)
    assert days[0] >= TODAY
    assert days[-1] <= date(2027, 11, 20)
    words = {line.words: line for line in lines}
    assert words["Runs out: Claim: Carraway Water Heating, Heat-pump water heater"].is_fixed
    assert words["Runs out: Registering Heat-pump water heater, parts warranty"].on == date(2026, 12, 7)
    assert any(line.words.startswith("Ask ") for line in lines)
    assert any(line.words.startswith("Comes, as planned: Gas cut off at the main") for line in lines)


def test_it_is_one_page_of_twelve_months(sample_project: Project, tmp_path: Path) -> None:
    (page,) = PdfReader(AtHandYearService(sample_project).write(tmp_path / "year.pdf")).pages
    words = page.extract_text()
    assert "Quillback Lane: a year from Nov 20, 2026" in words
    assert "November 2026" in words
    assert "October 2027" in words
    assert "Gas account closed" in words
