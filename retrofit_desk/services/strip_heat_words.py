"""What the meter's hours say of electric strips, in words."""

from __future__ import annotations

from retrofit_desk.services.strip_heat import COLD_BELOW_F, StripHeat, StripSign, nearest_element_kw
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import Dimension, Units, count_text, show

MAY_ELSE_BE = (
    "An indication, no proof. The same signs come from a car charged or water heated by an element on cold "
    "mornings, a dryer, portable heaters, or defrosting. Strips that heat in every weather show no bend: "
    "then only the use itself is too high. To be sure, let the installer read the current of the strips' "
    "circuit, the lockout temperature and the settings of the thermostat."
)


def title(found: StripHeat, sign: StripSign) -> str:
    return f"{found.machine}: {sign.answer}"


def why(found: StripHeat, sign: StripSign, units: Units) -> str:
    """The reasons of the answer."""
    since = f" since {day_text(found.since)}" if found.since is not None else ""
    nights = f"{count_text(sign.days, 'night')} of heating{since}"
    return f"{found.meter}, {nights}. {_slope(sign, units)} {_steps(sign, units)}"


def beyond(sign: StripSign) -> str:
    """What the nights took beyond a heat pump's own fall; empty where that is nothing."""
    return f"{sign.beyond_kwh:,.0f} kWh in the nights" if sign.beyond_kwh >= 1 and sign.is_steep else ""


def basis(found: StripHeat) -> str:
    """What else it may be, and whose temperatures were taken."""
    return f"{MAY_ELSE_BE} Outdoor temperatures: {found.weather}."


def band(from_f: float, units: Units) -> str:
    """The lower end of a band of temperature."""
    return show((from_f - 32.0) / 1.8, Dimension.TEMPERATURE, units, decimals=0)


def _slope(sign: StripSign, units: Units) -> str:
    if not sign.is_knee_sure or sign.knee_f is None:
        return "The load grows evenly with the cold, as a heat pump's does."
    knee = band(sign.knee_f, units)
    verdict = "which a heat pump alone does not do" if sign.is_steep else "which a weak heat pump does too"
    return f"Below {knee} the load grows {sign.slope_ratio:.1f} times as fast as a heat pump's, {verdict}."


def _steps(sign: StripSign, units: Units) -> str:
    cold = band(COLD_BELOW_F, units)
    counted = (
        f"{sign.cold_step_days} of {sign.cold_days} mornings below {cold}, "
        f"{sign.mild_step_days} of {sign.mild_days} mild ones"
    )
    if sign.step_kw is None:
        return f"No morning has a step of an element's size ({counted})."
    size = nearest_element_kw(sign.step_kw)
    return f"Steps of about {sign.step_kw:.1f} kW (elements come as {size:g} kW) on {counted}."
