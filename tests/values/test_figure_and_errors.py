"""Figures with their range, errors of one line, and dates as they are read."""

from datetime import date

import pytest

from retrofit_desk.values.dates import day_text, days_text
from retrofit_desk.values.errors import CannotSay, DeskError
from retrofit_desk.values.figure import Figure


def test_a_figure_lies_inside_its_range() -> None:
    with pytest.raises(ValueError, match="outside its range"):
        Figure(5.0, 6.0, 7.0, "kWh", "engine", date(2026, 11, 20))


def test_an_error_is_one_line_with_what_where_kept_and_do() -> None:
    error = DeskError(
        "the disk is full", where="/house", kept="what was recorded is kept", do="free some space"
    )
    assert str(error) == "/house: the disk is full. What was recorded is kept. Free some space."
    assert "\n" not in str(error)


def test_cannot_say_names_what_is_needed() -> None:
    assert str(CannotSay("the heating load", "the U-value of the den window")) == (
        "cannot say the heating load. Needs the U-value of the den window."
    )


@pytest.mark.parametrize(
    ("days", "text"), [(0, "today"), (1, "in 1 day"), (3, "in 3 days"), (-2, "2 days ago")]
)
def test_days_read_as_spoken(days: int, text: str) -> None:
    assert days_text(days) == text


def test_a_missing_date_is_said() -> None:
    assert (day_text(date(2026, 3, 4)), day_text(None)) == ("Mar 4, 2026", "no date")
