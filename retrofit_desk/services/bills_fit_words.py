"""What the fit to the bills says in words, and its numbers as text in the owner's units."""

from __future__ import annotations

from retrofit_desk.services.bills_fit import Errors, FittedTrait, FitToBills, FuelFit
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import Dimension, Units, count_text, percent_text, show

LIMITS = "Limits of ASHRAE Guideline 14, monthly: scatter (CV(RMSE)) 15%, bias (NMBE) 5%."


def headline(found: FitToBills) -> str:
    """The answer in two sentences."""
    missed = [fuel.name for fuel in found.fuels if not fuel.fitted.is_within_limits]
    if missed:
        first = (
            f"The model misses the bills of {', '.join(missed)}, even with every trait moved: "
            "something is described wrong, or the bills hold a use that the description lacks."
        )
    elif all(fuel.described.is_within_limits for fuel in found.fuels):
        first = "The model meets the bills, as the house is described."
    else:
        first = "The model meets the bills once the traits below are moved."
    told = [trait for trait in found.traits if trait.is_told]
    second = f"The bills say something about {len(told)} of {len(found.traits)} uncertain traits."
    return " ".join(
        (first, second, *(f"They cannot tell apart: {', '.join(one)}." for one in _groups(found)))
    )


def _groups(found: FitToBills) -> list[list[str]]:
    """Traits that the bills mix up with each other, each in one group, in their order."""
    import networkx

    order = [trait.name for trait in found.traits]
    mixed = networkx.Graph([(pair.one, pair.other) for pair in found.alike])
    groups = [sorted(group, key=order.index) for group in networkx.connected_components(mixed)]
    return sorted(groups, key=lambda group: order.index(group[0]))


def basis(found: FitToBills) -> str:
    """What the fit rests on."""
    until = f" up to {day_text(found.until)}, when the first work began" if found.until else ""
    return (
        f"Fitted on {day_text(found.made_at.date())} to the bills{until}. {LIMITS} "
        f"The model runs on {found.weather}."
    )


def meter_why(fuel: FuelFit) -> str:
    periods = count_text(len(fuel.periods), "billed period")
    days = count_text(sum((one.end - one.start).days for one in fuel.periods), "day")
    return f"{periods}, {days}. As described: {errors_text(fuel.described)}."


def errors_text(errors: Errors) -> str:
    """`scatter 4.0%, model 2.0% low`."""
    size = percent_text(abs(errors.bias), 1)
    side = "low" if errors.bias > 0 else "high"
    bias = "no bias" if abs(errors.bias) < 0.0005 else f"model {size} {side}"
    return f"scatter {percent_text(errors.cv, 1)}, {bias}"


def trait_title(trait: FittedTrait) -> str:
    return trait.name[:1].upper() + trait.name[1:]


def trait_change(trait: FittedTrait, units: Units) -> str:
    """How far the bills move what is described."""
    shown = _size(abs(trait.change), trait, units)
    if not any(digit in shown for digit in "123456789"):
        return "as described"
    above, below = ("higher", "lower") if trait.in_kelvin else ("more", "less")
    return f"{shown} {above if trait.change > 0 else below}"


def trait_why(found: FitToBills, trait: FittedTrait, units: Units) -> str:
    """How sure it was, how sure it is now, and what it can be taken for."""
    was, now = _size(trait.size, trait, units), _size(trait.spread * trait.size, trait, units)
    sure = f"sure to ±{was} before the bills, ±{now} after"
    parts = [f"{sure[:1].upper()}{sure[1:]}" if trait.is_told else f"The bills hardly tell: {sure}"]
    others = [
        pair.other if pair.one == trait.name else pair.one
        for pair in found.alike
        if trait.name in (pair.one, pair.other)
    ]
    if others:
        parts.append(f"the bills cannot tell it apart from {', '.join(others)}")
    return "; ".join(parts) + "."


def _size(size: float, trait: FittedTrait, units: Units) -> str:
    if trait.in_kelvin:
        return show(size, Dimension.TEMPERATURE_STEP, units, decimals=1)
    return percent_text(size)
