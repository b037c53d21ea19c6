"""The sign of electric strips helping a heat pump, read from a house's load by the hour.

A heat pump delivers some units of heat for each it draws, fewer as it grows colder; a strip delivers one.
Below the outdoor temperature at which the pump alone no longer suffices the load therefore climbs faster with
the cold than the pump's own fall explains, and on cold mornings it climbs in steps of an element's size. Both
are indications: a car, a water heater or a dryer makes steps too. Temperatures in degree F, as stations state
them.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.meter_readings import HourTable
from retrofit_desk.values.errors import CannotSay

Floats = NDArray[np.float64]
NIGHT, MORNING = slice(0, 5), slice(3, 10)
"""Hours of standard time without sun, for the slopes; hours in which rooms are heated up."""
HEATING_BELOW_F, COLD_BELOW_F, MILD_FROM_F = 62.0, 40.0, 48.0
"""Nights of heating; cold ones; and the mild ones among them, from this to the first: own judgment."""
FEWEST_HEATING_DAYS, FEWEST_COLD_DAYS, FEWEST_MILD_DAYS = 40, 8, 8
FEWEST_BELOW_KNEE = 5
KNEE_AT_MOST_F, KNEE_BELOW_BALANCE_F = 44.0, 10.0
"""A pump that lacks heat in milder nights is none; nearer to the balance point heating only sets in."""
COP_AT_50_F, COP_FALL_PER_F, COP_LEAST = 3.6, 0.0433, 1.5
"""Of a common air-source heat pump: 3.6 at 50 F and 2.3 at 20 F; common practice, no source. The line of a
pump alone is drawn with this fall, so that what is steeper is not the pump's own."""
STEEP_RATIO = 1.5
"""Slope below the knee over that of the pump's line there, from which strips are likely: a pump whose COP is
2.0 at 20 F reaches 1.2 (arithmetic); strips add the whole lacking heat, which is 1.5 to 3 times."""
SURE = 0.001
"""Chance by which the knee may be a whim of the days, after an F test."""
ELEMENT_STEP_KW = 3.0
"""Rise from one hour to the next that a 5 kW element makes (NEC-10's smallest), starting at any minute."""
STEP_DAYS_SHARE, STEP_DAYS_TIMES = 0.25, 2.5
ELEMENTS_KW = (5.0, 7.5, 10.0, 15.0, 20.0)
"""Common sizes of strips (NEC-10)."""
BIN_F = 5.0


class StripAnswer(StrEnum):
    """What the load says of strips."""

    LIKELY = "strips are likely running"
    POSSIBLE = "strips may be running"
    NO_SIGN = "no sign of strips"


@dataclass(frozen=True)
class LoadBin:
    """Nights of one band of outdoor temperature: mean use, and what a pump alone would draw, kWh."""

    from_f: float
    days: int
    used_kwh: float
    pump_line_kwh: float


@dataclass(frozen=True)
class StripSign:
    """What was seen. Slopes below the knee, kWh a night and degree F: of a pump alone, and of the load.

    `beyond_kwh`: use of the nights below the knee that a heat pump's own fall in the cold does not explain.
    """

    answer: StripAnswer
    days: int
    cold_days: int
    balance_f: float
    knee_f: float | None
    pump_slope: float
    cold_slope: float
    is_knee_sure: bool
    cold_step_days: int
    mild_days: int
    mild_step_days: int
    step_kw: float | None
    beyond_kwh: float
    bins: tuple[LoadBin, ...]

    @property
    def slope_ratio(self) -> float:
        return self.cold_slope / self.pump_slope

    @property
    def is_steep(self) -> bool:
        return self.is_knee_sure and self.slope_ratio >= STEEP_RATIO

    @property
    def has_steps(self) -> bool:
        """Steps on cold mornings, and far rarer ones on mild mornings."""
        return _has_steps(self.cold_step_days, self.cold_days, self.mild_step_days, self.mild_days)


@dataclass(frozen=True)
class _Line:
    """base + slope (balance - T)+ COP(50)/COP(T) + more (knee - T)+"""

    balance_f: float
    base: float
    slope: float
    knee_f: float | None
    more: float
    error: float

    def pump(self, temps: Floats) -> Floats:
        """What a pump alone would draw."""
        return self.base + self.slope * _asked(temps, self.balance_f)

    def pump_slope(self, temps: Floats) -> float:
        """Its growth for each degree colder, at the middle of some days."""
        middle = np.array([temps.mean() - 0.5, temps.mean() + 0.5])
        return float(-np.diff(self.pump(middle))[0])


def strip_sign(hours: HourTable, outdoor_f: Floats) -> StripSign:
    """Look for the sign. `outdoor_f`: of each hour of the table, (days, 24), not a number where unknown.

    Raises `CannotSay` with too few nights of heating, of cold or of mild ones, or without any heating.
    """
    use_of, temp_of = hours.used[:, NIGHT].sum(axis=1), outdoor_f[:, NIGHT].mean(axis=1)
    rise_of = np.diff(hours.largest, axis=1)[:, MORNING].max(axis=1)
    is_cool = np.nan_to_num(temp_of, nan=99.0) <= HEATING_BELOW_F
    heats = np.isfinite(use_of) & np.isfinite(rise_of) & is_cool
    temps, use, rises = temp_of[heats], use_of[heats], rise_of[heats]
    cold, mild = temps < COLD_BELOW_F, temps >= MILD_FROM_F
    if len(temps) < FEWEST_HEATING_DAYS or cold.sum() < FEWEST_COLD_DAYS or mild.sum() < FEWEST_MILD_DAYS:
        raise CannotSay(
            "whether strips run",
            f"{FEWEST_HEATING_DAYS} nights of heating by the hour, {FEWEST_COLD_DAYS} of them colder than "
            f"{COLD_BELOW_F:.0f} °F and {FEWEST_MILD_DAYS} mild; there are {len(temps)}, "
            f"{int(cold.sum())} and {int(mild.sum())}",
        )
    straight, bent = _fitted(temps, use)
    if straight.slope <= 0:
        raise CannotSay("whether strips run", "a load that grows with the cold; this one does not")
    sure = bent is not None and _is_sure(straight, bent, len(temps))
    line = bent if sure and bent is not None else straight
    stepping = rises >= ELEMENT_STEP_KW
    cold_rises = rises[stepping & cold]
    deep = temps[temps < line.knee_f] if line.knee_f is not None else temps[cold]
    pump_slope = line.pump_slope(deep)
    steps = (int((stepping & cold).sum()), int(cold.sum()), int((stepping & mild).sum()), int(mild.sum()))
    steep = sure and (pump_slope + line.more) / pump_slope >= STEEP_RATIO
    return StripSign(
        _answer(steep, _has_steps(*steps)),
        len(temps),
        int(cold.sum()),
        line.balance_f,
        line.knee_f,
        pump_slope,
        pump_slope + line.more,
        sure,
        steps[0],
        steps[3],
        steps[2],
        float(np.median(cold_rises)) if len(cold_rises) else None,
        _beyond(line, temps, use),
        _bins(line, temps, use),
    )


def nearest_element_kw(step_kw: float) -> float:
    """The common strip size nearest to a step that may have begun within its hour."""
    return min(ELEMENTS_KW, key=lambda size: abs(size - step_kw))


def _answer(steep: bool, steps: bool) -> StripAnswer:
    if steep and steps:
        return StripAnswer.LIKELY
    return StripAnswer.POSSIBLE if steep or steps else StripAnswer.NO_SIGN


def _has_steps(cold_steps: int, cold_days: int, mild_steps: int, mild_days: int) -> bool:
    on_cold, on_mild = cold_steps / cold_days, mild_steps / mild_days
    return on_cold >= STEP_DAYS_SHARE and on_cold >= STEP_DAYS_TIMES * on_mild


def _fitted(temps: Floats, use: Floats) -> tuple[_Line, _Line | None]:
    """The best straight line below a balance point, and the best one with a knee further down."""
    straight: _Line | None = None
    bent: _Line | None = None
    for balance in np.arange(MILD_FROM_F, HEATING_BELOW_F + 0.5, 1.0):
        one = _solved(temps, use, float(balance), None)
        straight = one if straight is None or one.error < straight.error else straight
        highest = min(KNEE_AT_MOST_F, balance - KNEE_BELOW_BALANCE_F)
        for knee in np.arange(float(temps.min()) + 3.0, highest + 0.5, 1.0):
            if (temps < knee).sum() < FEWEST_BELOW_KNEE:
                continue
            two = _solved(temps, use, float(balance), float(knee))
            if two.slope > 0 and two.more > 0 and (bent is None or two.error < bent.error):
                bent = two
    assert straight is not None
    return straight, bent


def _solved(temps: Floats, use: Floats, balance: float, knee: float | None) -> _Line:
    columns = [np.ones_like(temps), _asked(temps, balance)]
    if knee is not None:
        columns.append(np.maximum(knee - temps, 0.0))
    matrix = np.column_stack(columns)
    found, *_ = np.linalg.lstsq(matrix, use, rcond=None)
    error = float(((use - matrix @ found) ** 2).sum())
    more = float(found[2]) if knee is not None else 0.0
    return _Line(balance, float(found[0]), float(found[1]), knee, more, error)


def _is_sure(straight: _Line, bent: _Line, days: int) -> bool:
    """F test of the knee's two parameters."""
    from scipy.stats import f

    left = days - 5
    if bent.error <= 0:
        return True
    value = (straight.error - bent.error) / 2 / (bent.error / left)
    return bool(f.sf(value, 2, left) < SURE)


def _asked(temps: Floats, balance_f: float) -> Floats:
    """Degrees below the balance point, each counted for the more the less a pump delivers at it."""
    cop = np.clip(COP_AT_50_F + COP_FALL_PER_F * (temps - 50.0), COP_LEAST, None)
    return np.asarray(np.maximum(balance_f - temps, 0.0) * COP_AT_50_F / cop)


def _beyond(line: _Line, temps: Floats, use: Floats) -> float:
    if line.knee_f is None:
        return 0.0
    below = temps < line.knee_f
    return max(float((use - line.pump(temps))[below].sum()), 0.0)


def _bins(line: _Line, temps: Floats, use: Floats) -> tuple[LoadBin, ...]:
    told, slots = line.pump(temps), np.floor(temps / BIN_F) * BIN_F
    return tuple(
        LoadBin(
            float(slot),
            int((slots == slot).sum()),
            float(use[slots == slot].mean()),
            float(told[slots == slot].mean()),
        )
        for slot in np.unique(slots)
    )
