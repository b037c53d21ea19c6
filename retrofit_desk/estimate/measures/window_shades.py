"""Shades inside or outside of windows, drawn against the summer sun by a rule or by the clock."""

from typing import Literal

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase, changed
from retrofit_desk.estimate.fabric import change_windows
from retrofit_desk.estimate.measures.base import Inputs, MeasureKind
from retrofit_desk.physics.elements import Blind, Fraction, Name, NotNegative, Schedule, Temperature


class WindowShades(Inputs):
    openings: tuple[Name, ...] = Field(min_length=1)
    side: Literal["exterior", "interior"]
    solar_factor: Fraction = Field(
        description="share of the window's sun that comes in when drawn; exterior about 10 to 20 %, "
        "interior 40 to 80 % (common practice, no source)"
    )
    drawn_hours: tuple[int, ...] = Field((), description="by the clock; none: the rule below decides")
    sun_above_w_m2: NotNegative = Field(200.0, description="drawn while the glass gets more sun")
    outdoor_above_c: Temperature = Field(20.0, description="and while it is warmer outside")


def apply(case: HouseCase, inputs: WindowShades) -> HouseCase:
    by_clock = Schedule(hours=tuple(float(hour in inputs.drawn_hours) for hour in range(24)))
    blind = Blind(
        side=inputs.side,
        solar_factor=inputs.solar_factor,
        drawn=by_clock if inputs.drawn_hours else None,
        sun_above_w_m2=inputs.sun_above_w_m2,
        outdoor_above_c=inputs.outdoor_above_c,
    )
    return change_windows(case, inputs.openings, lambda window: changed(window, blind=blind))


KIND = MeasureKind("window_shades", "Shades", WindowShades, 32, apply)
