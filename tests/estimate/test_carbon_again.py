"""What is put in again within the study, against the count of EN 15978."""

from __future__ import annotations

from dataclasses import replace

import pytest

from retrofit_desk.carbon.materials import replacements
from retrofit_desk.estimate.carbon_again import carbon_again
from retrofit_desk.estimate.later_money import Lasting, LaterMoney, Life
from retrofit_desk.estimate.savings import RefrigerantCarbon, SavingsLine, SavingsSum
from tests.estimate.test_over_years import the_sum

LIFE = Life(15, 10, 20, "own")


def one_line(**changes: object) -> tuple[SavingsSum, SavingsLine]:
    first = the_sum().lines[0]
    material = replace(first.material, made_kg=100.0, hauled_kg=8.0, wasted_kg=2.0, unknown=("wire",))
    line = replace(first, material=material, refrigerant=None, refrigerant_is_unknown=False, **changes)
    return replace(the_sum(), lines=(line,)), line


def lasting(*lives: Life | None) -> LaterMoney:
    return LaterMoney("A", tuple(Lasting(f"part {n}", 1, 1, life) for n, life in enumerate(lives)))


@pytest.mark.parametrize("years", [14, 15, 16, 25, 30, 31, 60])
def test_material_is_counted_as_often_as_it_is_bought_again(years: int) -> None:
    # EN 15978:2011, 9.3.3: ceil(study / life - 1) replacements (from memory)
    found, line = one_line()
    again = carbon_again(found, {line.key: lasting(LIFE)}, years)
    assert again.kg == pytest.approx(110.0 * replacements(years, 15))
    assert again.low_kg == pytest.approx(110.0 * replacements(years, 20))
    assert again.high_kg == pytest.approx(110.0 * replacements(years, 10))
    assert again.unknown == ((f"wire ({line.title})",) if again.kg else ())


def test_a_part_that_wears_out_before_the_others_is_named_and_not_counted_for_all_of_them() -> None:
    found, line = one_line()
    again = carbon_again(found, {line.key: lasting(LIFE, Life(50, 40, 60, "own"))}, 25)
    assert (again.kg, again.titles) == (0.0, ())
    assert again.unknown == (f"part 0 ({line.title})",)


def test_a_new_machine_loses_at_installing_and_the_old_one_at_its_end() -> None:
    gas = RefrigerantCarbon("R-32", 2.0, 675.0, 0.0, 27.0, "", 800.0, 270.0, 15.0)
    found, line = one_line()
    bare = replace(line, refrigerant=gas, material=replace(line.material, unknown=()))
    again = carbon_again(replace(found, lines=(bare,)), {line.key: lasting(LIFE)}, 25)
    assert again.kg == pytest.approx(110.0 + 27.0 + 270.0)


def test_a_thing_without_told_material_is_named() -> None:
    found, line = one_line()
    bare = replace(
        line, material=replace(line.material, made_kg=0.0, hauled_kg=0.0, wasted_kg=0.0, unknown=())
    )
    again = carbon_again(replace(found, lines=(bare,)), {line.key: lasting(LIFE)}, 25)
    assert (again.kg, again.unknown) == (0.0, (f"material ({line.title})",))


def test_a_life_that_nobody_knows_is_named() -> None:
    found, line = one_line()
    again = carbon_again(found, {line.key: lasting(None)}, 25)
    assert (again.kg, again.titles) == (0.0, ())
    assert again.unknown == (f"how long {line.title} lasts",)
