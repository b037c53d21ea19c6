"""Lines over the years and bars below nothing: what is drawn reaches what is told."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QApplication

from retrofit_desk.desk.pictures.canvas import draw_on_image
from retrofit_desk.desk.pictures.month_bars import MonthSeries, draw_month_bars, scale_text, signed_scale
from retrofit_desk.desk.pictures.year_lines import YearLine, draw_year_lines
from retrofit_desk.desk.theme import LIGHT, load_fonts


@pytest.mark.parametrize(
    ("values", "scale"),
    [
        ((0.0,), (1.0, 0, 1)),
        ((50.0, -120.0), (25.0, 5, 2)),
        ((-3.0,), (1.0, 3, 0)),
        ((4.0, 9.0), (2.0, 0, 5)),
    ],
)
def test_the_scale_reaches_every_amount_on_both_sides(
    values: tuple[float, ...], scale: tuple[float, int, int]
) -> None:
    step, below, above = signed_scale(values)
    assert (step, below, above) == scale
    assert -below * step <= min(values)
    assert above * step >= max(values)


def test_an_amount_below_nothing_has_a_true_minus() -> None:
    assert scale_text(-2000.0, 500.0) == "−2,000"


def test_a_falling_line_is_drawn_from_the_upper_left_to_the_lower_right(qapp: QApplication) -> None:
    load_fonts()
    line = YearLine("left", (100.0, -100.0))
    image = draw_on_image(lambda canvas: draw_year_lines(canvas, [line], "$"), 400, 240, LIGHT)
    ink = QColor(LIGHT.ink)

    def rows_of_ink(column: int) -> list[int]:
        return [y for y in range(50, 190) if image.pixelColor(column, y).value() < ink.value() + 60]

    left, right = rows_of_ink(110), rows_of_ink(330)
    assert min(left) < min(right)
    assert max(left) < max(right)


def test_a_bar_below_nothing_hangs_from_the_line(qapp: QApplication) -> None:
    load_fonts()
    series = [MonthSeries("left", (-10.0,) * 6 + (10.0,) * 6)]
    image = draw_on_image(lambda canvas: draw_month_bars(canvas, series, "$"), 600, 300, LIGHT)
    paper = image.pixelColor(2, 2)

    def is_filled(x: int, y: int) -> bool:
        return image.pixelColor(x, y) != paper

    above = sum(is_filled(x, y) for x in range(60, 320, 3) for y in range(60, 120))
    below = sum(is_filled(x, y) for x in range(60, 320, 3) for y in range(180, 240))
    assert below > 3 * above
