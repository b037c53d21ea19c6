"""Standard effective temperature: what moving air and bare skin are worth, by the two-node body."""

from __future__ import annotations

import math
from dataclasses import dataclass

from retrofit_desk.physics.errors import require_between
from retrofit_desk.physics.films import KELVIN
from retrofit_desk.physics.over_arrays import over_arrays

# Two-node model of ASHRAE 55 (Gagge, Fobelets & Berglund 1986), constants from memory. Pressures in torr.
MET_W_M2 = 58.2
MASS_KG, SKIN_M2 = 69.9, 1.8258
SKIN_NEUTRAL_C, CORE_NEUTRAL_C, BODY_NEUTRAL_C = 33.7, 36.8, 36.49
BLOOD_NEUTRAL, BLOOD_LEAST, BLOOD_MOST = 6.3, 0.5, 90.0  # kg/h·m2
SWEAT_MOST = 500.0  # g/h·m2
LEWIS = 2.2  # K/torr
SIGMA = 5.6697e-8
RADIATING = 0.95 * 0.73  # emissivity of the clothed body, and its area that sees the room
MINUTES = 60
CLOTHING_VAPOR = 0.45  # share of still air's vapor passage


@dataclass(frozen=True)
class Surroundings:
    """What the body feels: air and radiant temperature, air speed, vapor pressure, activity and clothing."""

    air_c: float
    radiant_c: float
    speed_m_s: float
    vapor_torr: float
    met: float
    clo: float

    @property
    def convection_w_m2k(self) -> float:
        return max(3.0, 8.600001 * math.pow(self.speed_m_s, 0.53))

    @property
    def most_wetness(self) -> float:
        dressed = self.clo > 0.0
        return 0.59 * math.pow(self.speed_m_s, -0.08) if dressed else 0.38 * math.pow(self.speed_m_s, -0.29)


@dataclass
class Body:
    """State of the body, moved on minute by minute."""

    skin_c: float = SKIN_NEUTRAL_C
    core_c: float = CORE_NEUTRAL_C
    blood: float = BLOOD_NEUTRAL
    skin_share: float = 0.1
    heat_w_m2: float = 0.0
    evaporation_w_m2: float = 0.0
    dry_w_m2: float = 0.0
    wetness: float = 0.0
    radiation_w_m2k: float = 4.7


@over_arrays
def effective_temperature_c(
    air_c: float, radiant_c: float, air_speed_m_s: float, relative_humidity: float, *, met: float, clo: float
) -> float:
    """Standard effective temperature (SET) after an hour; humidity 0 to 1. ASHRAE 55 (from memory).

    For comparing states of a room; the predicted vote is the figure that is shown.
    """
    require_between("activity in met", met, 0.8, 4.0)
    require_between("clothing in clo", clo, 0.0, 2.0)
    require_between("relative humidity", relative_humidity, 0.0, 1.0)
    vapor = relative_humidity * _saturated_torr(air_c)
    around = Surroundings(air_c, radiant_c, max(0.1, air_speed_m_s), vapor, met, clo)
    body = Body(heat_w_m2=met * MET_W_M2, evaporation_w_m2=0.1 * met)
    for _ in range(MINUTES):
        _minute(body, around)
    return _standard_room_c(body, around)


def _minute(body: Body, around: Surroundings) -> None:
    body.dry_w_m2 = _dry_loss(body, around)
    inward = (body.core_c - body.skin_c) * (5.28 + 1.163 * body.blood)
    breath = body.heat_w_m2 * (0.0023 * (44.0 - around.vapor_torr) + 0.0014 * (34.0 - around.air_c))
    to_core = body.heat_w_m2 - inward - breath
    to_skin = inward - body.dry_w_m2 - body.evaporation_w_m2
    per_minute = SKIN_M2 / (0.97 * MASS_KG * MINUTES)
    body.skin_c += to_skin * per_minute / body.skin_share
    body.core_c += to_core * per_minute / (1.0 - body.skin_share)
    _regulate(body, around)


def _dry_loss(body: Body, around: Surroundings) -> float:
    """Heat from the skin through clothing to air and surfaces; the radiant coefficient is settled first."""
    clothing, area = 0.155 * around.clo, 1.0 + 0.15 * around.clo
    hc = around.convection_w_m2k
    surface = previous = math.inf
    while True:
        both = hc + body.radiation_w_m2k
        film = 1.0 / (area * both)
        operative = (body.radiation_w_m2k * around.radiant_c + hc * around.air_c) / both
        surface = (film * body.skin_c + clothing * operative) / (film + clothing)
        if abs(surface - previous) <= 0.01:
            return (body.skin_c - operative) / (film + clothing)
        previous = surface
        mean_k = (surface + around.radiant_c) / 2.0 + KELVIN
        body.radiation_w_m2k = 4.0 * SIGMA * mean_k**3 * RADIATING


def _regulate(body: Body, around: Surroundings) -> None:
    """Blood flow, sweat and shivering answer the new temperatures."""
    mean_c = body.skin_share * body.skin_c + (1.0 - body.skin_share) * body.core_c
    warm_skin, cold_skin = _apart(body.skin_c - SKIN_NEUTRAL_C)
    warm_core, cold_core = _apart(body.core_c - CORE_NEUTRAL_C)
    warm_body, _ = _apart(mean_c - BODY_NEUTRAL_C)
    flow = (BLOOD_NEUTRAL + 120.0 * warm_core) / (1.0 + 0.5 * cold_skin)
    body.blood = min(BLOOD_MOST, max(BLOOD_LEAST, flow))
    sweat = min(SWEAT_MOST, 170.0 * warm_body * math.exp(warm_skin / 10.7))
    _evaporate(body, around, 0.68 * sweat)
    body.heat_w_m2 = around.met * MET_W_M2 + 19.4 * cold_skin * cold_core
    body.skin_share = 0.0417737 + 0.7451833 / (body.blood + 0.585417)


def _evaporate(body: Body, around: Surroundings, sweat_w_m2: float) -> None:
    area = 1.0 + 0.15 * around.clo
    air = 1.0 / (LEWIS * area * around.convection_w_m2k)
    clothing = 0.155 * around.clo / (LEWIS * (CLOTHING_VAPOR if around.clo > 0.0 else 1.0))
    most = (_saturated_torr(body.skin_c) - around.vapor_torr) / (air + clothing)
    if most < 0.0:
        body.wetness, body.evaporation_w_m2 = around.most_wetness, most
        return
    share = sweat_w_m2 / most
    body.wetness = 0.06 + 0.94 * share
    if body.wetness > around.most_wetness:
        body.wetness = around.most_wetness
        share = around.most_wetness / 0.94
        body.evaporation_w_m2 = share * most + 0.06 * (1.0 - share) * most
    else:
        body.evaporation_w_m2 = body.wetness * most


def _standard_room_c(body: Body, around: Surroundings) -> float:
    """Temperature of the standard room (50 %, still air, standard clothing) with the same skin loss."""
    hc = max(3.0, 5.66 * math.pow(max(0.0, around.met - 0.85), 0.39))
    both = hc + body.radiation_w_m2k
    clo = 1.52 / (around.met + 0.6944) - 0.1835
    area = 1.0 + 0.25 * clo
    passes = 1.0 / (1.0 + 0.155 * area * both * clo)
    vapor = CLOTHING_VAPOR * hc / both * (1.0 - passes) / (hc / both - passes * CLOTHING_VAPOR)
    dry = 1.0 / (1.0 / (area * both) + 0.155 * clo)
    wet = 1.0 / (1.0 / (LEWIS * area * hc) + 0.155 * clo / (LEWIS * vapor))
    skin_loss, saturated = body.dry_w_m2 + body.evaporation_w_m2, _saturated_torr(body.skin_c)
    low, high = -80.0, 100.0
    for _ in range(50):
        room = (low + high) / 2.0
        lost = dry * (body.skin_c - room) + body.wetness * wet * (saturated - 0.5 * _saturated_torr(room))
        low, high = (room, high) if lost > skin_loss else (low, room)
    return (low + high) / 2.0


def _saturated_torr(temp_c: float) -> float:
    return math.exp(18.6686 - 4030.183 / (temp_c + 235.0))


def _apart(signal_k: float) -> tuple[float, float]:
    """A warm or a cold signal."""
    return max(0.0, signal_k), max(0.0, -signal_k)
