"""Numbers and stated values in words."""

from __future__ import annotations

from datetime import date

import pytest

from retrofit_desk.paperwork.charts import nice_top
from retrofit_desk.paperwork.show import number_with_range, quantity, stated, total_cents, with_range
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.figure import Figure
from retrofit_desk.values.quantity import Dimension, Units
from retrofit_desk.values.stated import Stated, StatedValue, total


def figure(value, low, high, unit):
    return Figure(value, low, high, unit, "bills", date(2026, 11, 1))


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (StatedValue(0), "$0.00"),
        (StatedValue(None, Stated.UNKNOWN), "unknown"),
        (StatedValue(None, Stated.NOT_STATED), "not stated"),
        (StatedValue(None, Stated.EXCLUDED), "excluded"),
    ],
)
def test_zero_unknown_not_stated_and_excluded_are_four_words(value, words):
    assert stated(value, cents_text) == words


def test_a_sum_with_something_unknown_is_at_least_what_is_known():
    parts = [StatedValue(400_000), StatedValue(None, Stated.UNKNOWN), StatedValue(None, Stated.EXCLUDED)]
    assert total_cents(total(parts)) == "at least $4,000.00 (1 unknown, 1 excluded)"
    assert total_cents(total(parts[:1])) == "$4,000.00"


def test_a_figure_shows_its_range_in_the_readers_unit():
    # NIST SP 811 (2008), appendix B: 1 therm = 105.505 585 262 MJ = 29.3071 kWh
    fuel = figure(29307.1, 26000.0, 31000.0, "kWh/year")
    assert with_range(fuel, Dimension.GAS, Units.US) == "1,000 therms a year (887 to 1,058)"
    assert number_with_range(fuel, Dimension.GAS, Units.SI) == "29,307 (26,000 to 31,000)"


def test_a_range_is_as_fine_as_its_largest_number():
    assert with_range(figure(24.12, 9.66, 33.8, "years"), None, Units.US) == "24.1 years (9.7 to 33.8)"
    assert (
        with_range(figure(-190.2, -260.0, -0.2, "kWh/year"), None, Units.US) == "−190 kWh a year (−260 to 0)"
    )


def test_money_a_year_is_whole_dollars_with_its_range():
    saved = figure(98_400, -71_000, 124_000, "cents/year")
    assert with_range(saved, None, Units.US) == "$984 a year (−$710 to $1,240)"


def test_a_figure_known_exactly_shows_no_range():
    assert with_range(figure(15.3, 15.3, 15.3, "kg"), None, Units.US) == "15.3 kg"


def test_an_unknown_quantity_has_no_unit():
    assert quantity(StatedValue[float](None, Stated.UNKNOWN), Dimension.AREA, Units.US) == "unknown"


@pytest.mark.parametrize(
    ("largest", "top"), [(0.0, 1.0), (0.3, 0.5), (1.0, 1.0), (153.0, 200.0), (230.0, 250.0)]
)
def test_a_scale_ends_on_a_round_number(largest, top):
    assert nice_top(largest) == pytest.approx(top)
