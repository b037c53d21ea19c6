"""A savings sum in words for the command line, and as data with stable keys."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from retrofit_desk.estimate.savings import (
    Gain,
    RoomChange,
    RoomYear,
    SavingsLine,
    SavingsSum,
    YearSummary,
)
from retrofit_desk.values.cents import whole_dollars_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.figure import Figure
from retrofit_desk.values.quantity import (
    Dimension,
    Units,
    count_text,
    number_text,
    show,
    unit_after,
    unit_word,
)
from retrofit_desk.values.stated import StatedTotal, StatedValue

NOTHING_CENTS = 50.0
"""Less is told as nothing a year."""


def savings_lines(found: SavingsSum, over_years: tuple[str, ...] = ()) -> tuple[str, ...]:
    """The headline and one line for each measure, in US units, with likely ranges.

    `over_years`: lines of the study period, told after the payback.
    """
    whole = found.whole
    head = (
        f"Savings sum of {day_text(found.made_at.date())}, on the weather of {found.weather}",
        f"  fuel removed        {_fuel(whole.fuel_removed, found.fuel_dimension)} a year",
        f"  electricity drawn   {_change(whole.electricity_added)} a year",
        f"  bills               {whole_dollars_text(found.before.total_cents)} before, "
        f"{whole_dollars_text(found.after.total_cents)} after, a year",
        f"  money saved         {_money(whole.money_saved)} a year",
        f"  carbon saved        {_mass(whole.carbon_saved)} in the first year",
        f"  carbon put in       {show(whole.made_kg, Dimension.MASS, Units.US)} in material"
        f"{_left_out(whole.made_unknown)}, "
        f"{show(whole.refrigerant_kg, Dimension.MASS, Units.US)} of refrigerant over its life",
        f"  cost                {_total(whole.cost)}, "
        f"{whole_dollars_text(whole.rebates_cents)} of rebates reserved or paid",
        f"  simple payback      {_payback(whole.payback, whole.payback_words)}",
        *over_years,
        f"  ranges              10 to 90%. {found.range_basis}",
        *(f"  note                {note}" for note in found.notes),
        "",
        "Each measure in its place in the line-up (likely range in brackets):",
    )
    return (
        *head,
        *(_line(number, line, found.fuel_dimension) for number, line in enumerate(found.lines, start=1)),
    )


def savings_data(found: SavingsSum) -> dict[str, Any]:
    """The whole sum with stable keys, units in the names."""
    whole = found.whole
    return {
        "made_at": found.made_at.isoformat(),
        "fingerprint": found.fingerprint,
        "weather": found.weather,
        "range_basis": found.range_basis,
        "before": _year(found.before),
        "after": _year(found.after),
        "whole": {
            "fuel_removed_kwh_per_year": _figure(whole.fuel_removed),
            "electricity_added_kwh_per_year": _figure(whole.electricity_added),
            "money_saved_cents_per_year": _figure(whole.money_saved),
            "carbon_saved_kg_per_year": _figure(whole.carbon_saved),
            "cost_known_cents": whole.cost.known,
            "cost_is_complete": whole.cost.is_complete,
            "rebates_cents": whole.rebates_cents,
            "payback_years": _figure(whole.payback),
            "carbon_in_material_kg": whole.made_kg,
            "carbon_in_material_unknown": list(whole.made_unknown),
            "refrigerant_kg_co2e": whole.refrigerant_kg,
            "biogenic_stored_kg_co2": whole.stored_kg,
        },
        "measures": [_measure(line) for line in found.lines],
        "rooms": [_room(room) for room in found.comfort.rooms] if found.comfort else [],
        "moves_most": [{"factor": name, "share": share} for name, share in found.moves],
        "sources": [
            {
                "subject": one.subject,
                "source": one.source,
                "as_of": one.as_of.isoformat() if one.as_of else None,
            }
            for one in found.sources
        ],
        "notes": list(found.notes),
    }


def _line(number: int, line: SavingsLine, fuel: Dimension) -> str:
    cost = _stated(line.cost_cents)
    parts = (
        f"fuel removed {_fuel(line.fuel_removed, fuel)}",
        f"electricity {_change(line.electricity_added)}",
        f"saves {_money(line.money_saved)} a year",
        f"costs {cost}",
        line.payback_words if line.payback is None else f"payback {_payback(line.payback, '')}",
        *_fair_part(line),
    )
    later = later_words(line)
    return f"{number:3}. {line.title}: " + "; ".join(parts) + (f". {later}" if later else "")


def _fair_part(line: SavingsLine) -> tuple[str, ...]:
    """Its share of the whole, with the standard error where orders were drawn; empty until it is counted."""
    if line.fair_part is None:
        return ()
    error = line.fair_part_error_cents
    unsure = "" if error is None else f" ± {whole_dollars_text(round(error))}"
    return (f"fair part {whole_dollars_text(round(line.fair_part.money_saved_cents))}{unsure} a year",)


def later_words(line: SavingsLine) -> str:
    """Why a measure saves nothing in its place though it saves as the last of all; else empty."""
    here, last = line.in_its_place.money_saved_cents, line.last
    if last is None or abs(here) >= NOTHING_CENTS or abs(last.money_saved_cents) < NOTHING_CENTS:
        return ""
    saved = whole_dollars_text(round(last.money_saved_cents))
    return f"It works with what comes after it in the line-up: as the last of all it saves {saved} a year."


def _measure(line: SavingsLine) -> dict[str, Any]:
    refrigerant = line.refrigerant
    return {
        "key": line.key,
        "title": line.title,
        "fuel_removed_kwh_per_year": _figure(line.fuel_removed),
        "electricity_added_kwh_per_year": _figure(line.electricity_added),
        "money_saved_cents_per_year": _figure(line.money_saved),
        "carbon_saved_kg_per_year": _figure(line.carbon_saved),
        "alone": _gain(line.alone),
        "last": _gain(line.last),
        "last_leaves_out": list(line.last_without),
        "in_its_place": _gain(line.in_its_place),
        "fair_part": _gain(line.fair_part),
        "fair_part_standard_error_cents_per_year": line.fair_part_error_cents,
        "fuel_removed_by_month_kwh": list(line.fuel_months_kwh),
        "electricity_added_by_month_kwh": list(line.electricity_months_kwh),
        "end_use_changes_kwh_per_year": [
            {"fuel": fuel, "end_use": end_use, "change_kwh": change}
            for fuel, end_use, change in line.end_uses
        ],
        "cost_cents": line.cost_cents.value,
        "cost_is": str(line.cost_cents.stated),
        "rebates_cents": line.rebates_cents,
        "payback_years": _figure(line.payback),
        "payback_words": line.payback_words,
        "carbon_in_material_kg": line.material.made_kg,
        "carbon_in_material_low_kg": line.material.low_kg,
        "carbon_in_material_high_kg": line.material.high_kg,
        "carbon_in_material_unknown": list(line.material.unknown),
        "biogenic_stored_kg_co2": line.material.stored_kg,
        "refrigerant_kg_co2e": refrigerant.escaped_kg_co2e if refrigerant else None,
        "carbon_payback_years": line.carbon_payback_years,
    }


def _year(year: YearSummary) -> dict[str, Any]:
    return {
        "uses": [
            {"fuel": use.fuel, "end_use": use.end_use, "by_month_kwh": list(use.kwh)} for use in year.uses
        ],
        "bills": [
            {
                "fuel": bill.fuel,
                "by_month_cents": list(bill.month_cents),
                "total_cents": bill.total_cents,
                "tariff": bill.tariff.subject,
                "is_closed": bill.is_closed,
            }
            for bill in year.bills
        ],
        "drawn_kwh": year.drawn_kwh,
        "fed_in_kwh": year.fed_in_kwh,
        "solar_kwh": year.solar_kwh,
        "carbon_kg": year.carbon_kg,
        "peak_drawn_w": year.peak_drawn_w,
        "unmet_kwh": year.unmet_kwh,
    }


def _room(room: RoomChange) -> dict[str, Any]:
    return {"room": room.before.room, "before": _felt(room.before), "after": _felt(room.after)}


def _felt(year: RoomYear) -> dict[str, float | None]:
    return {
        "too_cold_waking_hours": year.too_cold_hours,
        "too_warm_waking_hours": year.too_warm_hours,
        "lowest_felt_c": year.lowest_c,
        "highest_felt_c": year.highest_c,
        "coldest_face_c": year.coldest_face_c,
    }


def _figure(figure: Figure | None) -> dict[str, float] | None:
    return None if figure is None else {"value": figure.value, "low": figure.low, "high": figure.high}


def _gain(gain: Gain | None) -> dict[str, float] | None:
    if gain is None:
        return None
    told = {
        "fuel_removed_kwh": gain.fuel_removed_kwh,
        "electricity_added_kwh": gain.electricity_added_kwh,
        "fed_in_kwh": gain.fed_in_kwh,
        "money_saved_cents": gain.money_saved_cents,
        "carbon_saved_kg": gain.carbon_saved_kg,
    }
    return {name: value + 0.0 for name, value in told.items()}  # nothing is 0, never -0


def _fuel(figure: Figure, dimension: Dimension) -> str:
    unit = unit_word(dimension, Units.US)
    return _ranged(figure, lambda value: number_text(value, dimension, Units.US, decimals=0), unit)


def _change(figure: Figure) -> str:
    return _ranged(figure, _signed, "kWh")


def _signed(value: float) -> str:
    return f"{value:+,.0f}".replace("-", "−") if abs(value) >= 0.5 else "0"


def _money(figure: Figure) -> str:
    return _ranged(figure, lambda value: whole_dollars_text(round(value)))


def _mass(figure: Figure) -> str:
    return _ranged(figure, lambda value: number_text(value, Dimension.MASS, Units.US, decimals=0), "lb")


def _ranged(figure: Figure, number: Callable[[float], str], unit: str = "") -> str:
    """`1,058 therms [932 to 1,183]`; no brackets where all three read the same."""
    low, value, high = number(figure.low), number(figure.value), number(figure.high)
    head = f"{value} {unit_after(value, unit)}".rstrip()
    return head if low == value == high else f"{head} [{low} to {high}]"


def _payback(figure: Figure | None, words: str) -> str:
    if figure is None:
        return words
    return f"{count_text(round(figure.value), 'year')} [{figure.low:.0f} to {figure.high:.0f}]"


def _total(cost: StatedTotal) -> str:
    left = cost.unknown + cost.not_stated
    return whole_dollars_text(cost.known) + (f" and {left} costs not known" if left else "")


def _stated(cost: StatedValue[int]) -> str:
    return str(cost.stated) if cost.value is None else whole_dollars_text(cost.value)


def _left_out(unknown: tuple[str, ...]) -> str:
    return f" (without {', '.join(unknown)}: unknown)" if unknown else ""
