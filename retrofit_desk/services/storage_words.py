"""Heat kept beside power kept, in words and lines."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from retrofit_desk.services.storage import Choice, Shift, StoreCompared, StoresCompared
from retrofit_desk.values.cents import cents_text, whole_dollars_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import Dimension, Units, billed_text, count_text, percent_text, show

HOW = (
    "Both are added to the whole line-up as the last measure. The battery is as large as it must be to move "
    "as much use as the store does, and is charged in the same hours. The store is taken to know the coming "
    "day. What is fed in takes nothing off the carbon."
)
CAUTION = (
    "Water is heavy, about 8.3 lb a gallon: an engineer looks at the floor first. Hot tanks scald. A battery "
    "belongs where the local code allows it, and a licensed electrician connects it."
)
NOTHING = "nothing"


@dataclass(frozen=True)
class Line:
    """One line of the comparison."""

    what: str
    store: str
    battery: str


def headline(found: StoresCompared) -> str:
    """What the comparisons say, one after the other."""
    return " ".join(sentence(one) for one in found.stores)


def made(found: StoresCompared) -> str:
    """When they were made, and how."""
    return f"Worked out on {day_text(found.made_at.date())}. {HOW}"


def sentence(one: StoreCompared) -> str:
    """What the comparison says, in words."""
    store, battery = one.found.store, one.found.battery
    if battery is None:
        return f"{one.title} moves too little use to be set beside a battery. {_why_nothing(one)}".strip()
    better = "more" if store.money_saved_cents > battery.money_saved_cents else "less"
    said = (
        f"{one.title}, after all other measures, saves {whole_dollars_text(round(store.money_saved_cents))} "
        f"a year: {better} than a battery of {one.found.battery_kwh:.1f} kWh that moves as much use "
        f"({whole_dollars_text(round(battery.money_saved_cents))})."
    )
    return f"{said} {_why_nothing(one)}".strip()


def _why_nothing(one: StoreCompared) -> str:
    """Why a store charged by the sun earns nothing before the modules are there."""
    if one.found.charges_by_sun and one.sun_comes_later:
        return (
            "In its own place in the line-up it earns nothing: it is charged with sun to spare, and there is "
            f"none before {_listed(one.sun_comes_later)}."
        )
    if one.found.charges_by_sun and not one.found.has_sun:
        return "It is charged with sun to spare, and the house has no modules: it is never charged."
    return ""


def lines(one: StoreCompared, units: Units) -> tuple[Line, ...]:
    """The comparison line by line."""
    store, battery = one.found.store, one.found.battery
    rows = [
        _pair("Use moved", store, battery, lambda it: _energy(it.shifted_kwh)),
        _pair("Power spent on charging", store, battery, lambda it: _energy(it.charged_kwh)),
        _pair("Of that comes back", store, battery, lambda it: percent_text(it.returned_share)),
        Line(
            "Lost on the way",
            f"{_energy(store.lost_kwh)} of heat and cold",
            _energy(battery.lost_kwh) if battery else NOTHING,
        ),
        Line("COP of the heat pump", _cop(one), "as before"),
        _pair("Less drawn", store, battery, lambda it: _energy(it.drawn_less_kwh)),
        _pair("Less fed in", store, battery, lambda it: _energy(it.fed_in_less_kwh)),
        _pair("Money saved", store, battery, lambda it: whole_dollars_text(round(it.money_saved_cents))),
        _pair("Carbon saved", store, battery, lambda it: _mass(it.carbon_saved_kg, units)),
        Line("Costs", _cost(one.store), _cost(one.battery)),
        Line("Lasts", _life(one.store), _life(one.battery)),
        Line("Cost of each kWh moved", _per_kwh(one.store), _per_kwh(one.battery)),
        Line("Carbon in it", _made(one.store_made_kg, units), _made(one.battery_made_kg, units)),
    ]
    return tuple(rows)


def basis(one: StoreCompared) -> str:
    """Where losses go, and what prices and lives rest on."""
    return (
        "What the store loses warms or cools the place where it stands. "
        f"Price of the battery: {one.battery.cost_source}; by the kWh, though none so small may be sold. "
        f"Years it lasts: {one.store.years_source}."
    )


def _pair(what: str, store: Shift, battery: Shift | None, text: Callable[[Shift], str]) -> Line:
    return Line(what, text(store), NOTHING if battery is None else text(battery))


def _cop(one: StoreCompared) -> str:
    before, after = one.found.cop_before, one.found.cop_with
    return NOTHING if before is None or after is None else f"{after:.2f} instead of {before:.2f}"


def _cost(choice: Choice) -> str:
    cents = choice.cost_cents.value
    return str(choice.cost_cents.stated) if cents is None else whole_dollars_text(cents)


def _life(choice: Choice) -> str:
    return f"{count_text(round(choice.years), 'year')} ({choice.years_low:.0f} to {choice.years_high:.0f})"


def _per_kwh(choice: Choice) -> str:
    if choice.cents_per_kwh is None:
        return "cannot say, needs its cost"
    return cents_text(round(choice.cents_per_kwh))


def _made(kg: float | None, units: Units) -> str:
    return "unknown" if kg is None else _mass(kg, units)


def _listed(titles: tuple[str, ...]) -> str:
    return " and ".join(f"“{title}”" for title in titles)


def _energy(kwh: float) -> str:
    return billed_text(kwh, "kWh")


def _mass(kg: float, units: Units) -> str:
    return show(kg, Dimension.MASS, units, decimals=0)
