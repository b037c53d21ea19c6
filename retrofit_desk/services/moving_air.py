"""What the moving air of a ceiling or table fan is worth to a person in a warm room."""

from __future__ import annotations

from scipy.optimize import brentq

from retrofit_desk.estimate.comfort import AIR_SPEED_M_S, LIGHT_CLO, MET
from retrofit_desk.physics.two_node import effective_temperature_c

FAN_M_S, HUMIDITY = 0.8, 0.5
"""The most that ASHRAE 55 allows without a switch of one's own, 160 ft/min; half humid air (from memory)."""
FARTHEST_K = 15.0


def felt_beside_a_fan_c(room_c: float) -> float:
    """The still room that feels like this one in the air of a fan: equal effective temperature, ASHRAE 55."""
    with_fan = _felt_c(room_c, FAN_M_S)
    return float(
        brentq(lambda still_c: _felt_c(still_c, AIR_SPEED_M_S) - with_fan, room_c - FARTHEST_K, room_c + 1.0)
    )


def _felt_c(room_c: float, air_speed_m_s: float) -> float:
    return effective_temperature_c(room_c, room_c, air_speed_m_s, HUMIDITY, met=MET, clo=LIGHT_CLO)
