"""Lays the owner's own figures over a worked-out year, to stand in the sums like what the model finds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.estimate.case import OwnFigures
from retrofit_desk.estimate.scenario import EnergyYear, MonthlyUse
from retrofit_desk.physics.plant_machines import FUELS, Fuel
from retrofit_desk.physics.plant_results import OWN_FIGURES
from retrofit_desk.physics.weather import MONTH_OF_HOUR

Array = NDArray[np.float64]
HOURS_OF_MONTH = np.bincount(MONTH_OF_HOUR, minlength=12)


def with_own_figures(energy: EnergyYear, figures: Sequence[OwnFigures]) -> EnergyYear:
    """The year with what the owner says is saved taken off, month by month.

    No more than a month uses can be saved; where the figures ask for more, a note says so.
    """
    for fuel in FUELS:
        asked = _asked(figures, fuel)
        if asked.any():
            energy = _saved(energy, fuel, asked)
    return energy


def _asked(figures: Sequence[OwnFigures], fuel: Fuel) -> Array:
    months = [kwh for one in figures for of, kwh in one.months_kwh if of == fuel]
    return np.asarray(np.sum(months, axis=0) if months else np.zeros(12))


def _saved(energy: EnergyYear, fuel: Fuel, asked_kwh: Array) -> EnergyYear:
    used = np.array(energy.months_kwh(fuel))
    kwh = np.minimum(asked_kwh, used)
    notes = energy.notes
    if (asked_kwh > used + 0.5).any():
        notes = (
            *notes,
            f"the owner's own figures ask for more {fuel} than a month uses; held at that",
        )
    uses = (*energy.uses, MonthlyUse(fuel, OWN_FIGURES, tuple(float(-month) for month in kwh)))
    if fuel == "electricity":
        return _less_power(replace(energy, uses=uses, notes=notes), kwh)
    by_hour_w = (kwh / HOURS_OF_MONTH)[MONTH_OF_HOUR] * 1000.0
    days = by_hour_w.reshape(-1, 24).sum(axis=1) / 1000.0
    burned = tuple(
        (one, np.maximum(of - days, 0.0) if one == fuel else of) for one, of in energy.burned_days_kwh
    )
    if fuel not in dict(burned):
        burned = (*burned, (fuel, np.maximum(-days, 0.0)))
    return replace(energy, uses=uses, notes=notes, burned_days_kwh=burned)


def _less_power(energy: EnergyYear, saved_kwh: Array) -> EnergyYear:
    """What is saved follows what is drawn, and what is added goes evenly over the month.

    What is saved beyond what is drawn was the roof's, and is fed in.
    """
    drawn_kwh = np.bincount(MONTH_OF_HOUR, energy.drawn_w, 12) / 1000.0
    less = np.clip(saved_kwh, 0.0, drawn_kwh)
    share = np.divide(less, drawn_kwh, out=np.zeros(12), where=drawn_kwh > 0)
    evenly_w = ((saved_kwh - less) / HOURS_OF_MONTH)[MONTH_OF_HOUR] * 1000.0
    drawn_w = energy.drawn_w * (1.0 - share[MONTH_OF_HOUR])
    added_w, freed_w = np.maximum(-evenly_w, 0.0), np.maximum(evenly_w, 0.0)
    from_roof_w = np.minimum(added_w, energy.fed_in_w)
    drawn_w = drawn_w + added_w - from_roof_w
    fed_in_w = energy.fed_in_w + freed_w - from_roof_w
    return replace(energy, drawn_w=drawn_w, fed_in_w=fed_in_w, peak_drawn_w=float(drawn_w.max()))
