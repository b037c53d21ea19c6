"""Shades inside or outside of windows, drawn against the summer sun by a rule or by the clock."""

from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from retrofit_desk.estimate.case import HouseCase, changed
from retrofit_desk.estimate.fabric import change_windows
from retrofit_desk.estimate.measures.base import Inputs, MeasureKind, unweighed
from retrofit_desk.physics.description import Window
from retrofit_desk.physics.elements import Blind, Fraction, Name, NotNegative, Temperature
from retrofit_desk.physics.schedules import on_in

ClockHour = Annotated[int, Field(ge=0, le=23)]
ClockMonth = Annotated[int, Field(ge=1, le=12)]


class WindowShades(Inputs):
    openings: tuple[Name, ...] = Field(min_length=1)
    side: Literal["exterior", "interior"]
    solar_factor: Fraction = Field(
        title="Sun let through when drawn",
        description="share of the window's sun that comes in when drawn; exterior about 10 to 20%, "
        "interior 40 to 80% (common practice, no source)",
    )
    added_resistance_m2k_w: NotNegative = Field(
        0.0,
        title="The drawn shade adds",
        description="with the air behind it, to the window's R-value: loose about R-0.5, tight R-1 and more "
        "(ISO 10077-1, from memory)",
    )
    by_night: bool = Field(False, title="Drawn at night too", description="while the sun is down, all year")
    drawn_hours: tuple[ClockHour, ...] = Field(
        (),
        title="Drawn in the hours (0 to 23)",
        description="by the clock, standard time: 9-16; none: the rule below decides",
    )
    drawn_months: tuple[ClockMonth, ...] = Field(
        (),
        title="Drawn in the months (1 to 12)",
        description="in those hours: 5-9; none: all year",
        exclude_if=lambda months: not months,
    )
    sun_above_w_m2: NotNegative = Field(
        200.0, title="Else drawn in sun above", description="while the glass gets more sun"
    )
    outdoor_above_c: Temperature = Field(
        20.0, title="And while outdoors is above", description="both must hold"
    )

    @field_validator("drawn_months")
    @classmethod
    def _of_hours(cls, months: tuple[int, ...], others: ValidationInfo) -> tuple[int, ...]:
        if months and not others.data.get("drawn_hours"):
            raise ValueError("stand only beside the hours in which the shades are drawn")
        return months


def apply(case: HouseCase, inputs: WindowShades) -> HouseCase:
    blind = Blind(
        side=inputs.side,
        solar_factor=inputs.solar_factor,
        added_resistance_m2k_w=inputs.added_resistance_m2k_w,
        by_night=inputs.by_night,
        drawn=on_in(inputs.drawn_hours, inputs.drawn_months) if inputs.drawn_hours else None,
        sun_above_w_m2=inputs.sun_above_w_m2,
        outdoor_above_c=inputs.outdoor_above_c,
    )
    return change_windows(case, inputs.openings, lambda window: _hung(window, blind))


def _hung(window: Window, blind: Blind) -> Window:
    """In place of what hung on this side of the glass; a shade on the other side stays."""
    other = next((one for one in window.blinds if one.side != blind.side), None)
    return changed(window, blind=blind if other is None else other, blind_beside=blind if other else None)


KIND = MeasureKind("window_shades", "Shades", WindowShades, 32, apply, unweighed("shades"))
