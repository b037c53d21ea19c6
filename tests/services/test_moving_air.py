"""A fan in a warm room."""

from __future__ import annotations

import pytest

from retrofit_desk.physics.two_node import effective_temperature_c
from retrofit_desk.services.moving_air import felt_beside_a_fan_c


@pytest.mark.parametrize("room_c", [25.0, 28.0, 31.0])
def test_a_fan_is_worth_what_makes_both_rooms_feel_alike(room_c: float) -> None:
    # ASHRAE 55, elevated air speed by equal SET (from memory)
    still_c = felt_beside_a_fan_c(room_c)
    with_fan = effective_temperature_c(room_c, room_c, 0.8, 0.5, met=1.2, clo=0.5)
    assert effective_temperature_c(still_c, still_c, 0.1, 0.5, met=1.2, clo=0.5) == pytest.approx(with_fan)


def test_a_fan_is_worth_some_three_kelvin() -> None:
    # ASHRAE 55, figure of the air speed that offsets a temperature: 0.8 m/s some 2 to 4 K (from memory)
    assert 2.0 < 28.0 - felt_beside_a_fan_c(28.0) < 4.0
