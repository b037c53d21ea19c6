"""A savings sum over the years as data with stable keys, units in the names, and in lines."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from retrofit_desk.services.worth import SavingsSum
from retrofit_desk.services.worth_years import (
    Lasting,
    LaterMoney,
    LineYears,
    MoneyOverYears,
    SpareLeak,
    WorthYears,
)
from retrofit_desk.services.worth_years_words import (
    discounted_text,
    over_years,
    ratio_text,
    return_note,
    return_text,
)
from retrofit_desk.values.stated import Stated

EDITION = 4
"""Of the keys of the answer: it rises when some are added; the form's version when one changes or goes."""
STAGES_LEFT_OUT = ("A5 site energy", "C1 taking out", "D beyond the boundary")


def years_lines(years: WorthYears) -> tuple[str, ...]:
    """The money over the study period, for the command line."""
    money = years.reserved
    worth, why = over_years(years)
    return (
        f"  over {years.outlook.years} years       {worth}. {why}",
        f"  its ratios          savings to investment {ratio_text(money.savings_to_investment)}; discounted "
        f"payback {discounted_text(money, years.outlook.years)}",
        f"  internal return     {return_text(money)}; {return_note(years)}",
    )


def years_data(found: SavingsSum, years: WorthYears) -> dict[str, Any]:
    """What is added to the answer of the sum itself."""
    comfort = found.comfort
    return {
        "edition": EDITION,
        "over_years": _over_years(years),
        "carbon": _carbon(found, years),
        "comfort": None
        if comfort is None
        else {
            "waking_hours_per_year": comfort.waking_hours,
            "coldest_room": comfort.coldest.before.room,
            "hottest_room": comfort.hottest.before.room,
            "assumptions": comfort.assumptions,
        },
    }


def _over_years(years: WorthYears) -> dict[str, Any]:
    outlook, spread, returned = years.outlook, years.ranges.net_present, years.ranges.internal
    return {
        "outlook": {
            "study_years": outlook.years,
            "discount_rate_share_per_year": float(outlook.discount_rate),
            "fuel_price_growth_share_per_year": float(outlook.fuel_growth),
            "power_price_growth_share_per_year": float(outlook.power_growth),
            "inflation_share_per_year": float(outlook.inflation),
        },
        "whole": _money(years.reserved),
        "whole_with_hoped_rebates": None if years.hoped is None else _money(years.hoped),
        "hoped_rebates_cents": years.hoped_cents,
        "npv_low_cents": spread.low_cents,
        "npv_median_cents": spread.median_cents,
        "npv_high_cents": spread.high_cents,
        "npv_above_zero_share": spread.pays_share,
        "npv_moves_most": [{"factor": name, "share": share} for name, share in spread.moves],
        "irr_low_share_per_year": returned.low,
        "irr_median_share_per_year": returned.median,
        "irr_high_share_per_year": returned.high,
        "irr_none_share": returned.none_share,
        "measures": [_line(one, outlook.years) for one in years.lines],
        "left_out_measures": [one.line.key for one in years.lines if one.money is None],
        "cash_own_by_year_cents": list(years.cash.own_cents),
        "cash_with_loan_by_year_cents": _listed(years.cash.with_loan_cents),
        "bills_before_by_month_cents": [one.before_cents for one in years.months],
        "bills_after_by_month_cents": [one.after_cents for one in years.months],
        "loan": _loan(years),
    }


def _money(money: MoneyOverYears) -> dict[str, Any]:
    stake = money.stake
    return {
        "cost_cents": stake.cost_cents,
        "bought_anyway_cents": stake.avoided_cents,
        "rebates_cents": stake.rebates_cents,
        "extra_cost_cents": money.extra_cents,
        "first_year_saving_cents": stake.fuel_saved_cents + stake.power_saved_cents,
        "bought_again_with_cents": money.done.replacement_cents,
        "bought_again_without_cents": money.base.replacement_cents,
        "residual_with_cents": money.done.residual_cents,
        "residual_without_cents": money.base.residual_cents,
        "upkeep_with_cents": money.done.upkeep_cents,
        "upkeep_without_cents": money.base.upkeep_cents,
        "upkeep_is_complete": all(_is_complete(one) for one in stake.later),
        "npv_cents": money.net_present_cents,
        "sir_ratio": _number(money.savings_to_investment),
        "airr_share_per_year": _number(money.adjusted_return),
        "irr_share_per_year": money.internal.rate,
        "irr_warnings": list(money.internal.warnings),
        "discounted_payback_years": money.discounted_payback_years,
        "below_zero_again_in_year": money.falls_back_in,
        "flows_by_year_cents": list(money.flows_cents),
    }


def _line(one: LineYears, study_years: int) -> dict[str, Any]:
    later = one.money.stake.later[0] if one.money is not None else None
    return {
        "key": one.line.key,
        "is_done": one.is_done,
        "money": None if one.money is None else _money(one.money),
        "upkeep_cents_per_year": None if later is None else later.upkeep_cents.value,
        "upkeep_is": "unknown" if later is None else str(later.upkeep_cents.stated),
        "ended_upkeep_cents_per_year": None if later is None else later.ended_upkeep_cents.value,
        "ended_upkeep_is": "unknown" if later is None else str(later.ended_upkeep_cents.stated),
        "parts": [] if later is None else [_part(part, study_years) for part in later.own],
        "bought_anyway": [] if later is None else [_part(part, study_years) for part in later.instead],
        "made_power_dollars_per_kwh": _number(one.made_dollars_kwh),
    }


def _part(part: Lasting, study_years: int) -> dict[str, Any]:
    life = part.life
    return {
        "name": part.name,
        "price_cents": part.price_cents,
        "next_price_cents": part.again_cents,
        "life_years": None if life is None else life.years,
        "life_low_years": None if life is None else life.low_years,
        "life_high_years": None if life is None else life.high_years,
        "life_source": "" if life is None else life.source,
        "bought_in_year": part.bought_in,
        "bought_in_year_because": part.bought_because,
        "bought_again_in_years": [year for year, _ in part.again(study_years)],
        "left_at_end_cents": part.left_cents(study_years),
    }


def _loan(years: WorthYears) -> dict[str, Any] | None:
    loan = years.loan
    if loan is None:
        return None
    return {
        "name": loan.name,
        "principal_cents": loan.principal_cents,
        "fees_cents": loan.fees_cents.value,
        "months": loan.months,
        "payment_cents": loan.payment_cents,
        "total_interest_cents": loan.total_interest_cents,
        "apr_percent": loan.apr_percent.value,
        "above_inflation_share_per_year": _number(years.loan_above_inflation),
    }


def _carbon(found: SavingsSum, years: WorthYears) -> dict[str, Any]:
    carbon, again, end = years.carbon, years.carbon_again, years.carbon.end
    told = end if end is not None and end.is_told else None
    gases = [line.refrigerant for line in found.lines if line.refrigerant is not None]
    rows = zip(carbon.saved_kg, carbon.leaked_kg, carbon.left_kg[1:], strict=True)
    return {
        "by_stage": {
            "made_a1_a3_kg": sum(line.material.made_kg for line in found.lines),
            "hauled_a4_kg": sum(line.material.hauled_kg for line in found.lines),
            "wasted_a5_kg": sum(line.material.wasted_kg for line in found.lines),
            "put_in_again_b4_kg": again.kg if again.titles else None,
            "put_in_again_b4_low_kg": again.low_kg if again.titles else None,
            "put_in_again_b4_high_kg": again.high_kg if again.titles else None,
            "put_in_again_unknown": list(again.unknown),
            "ended_c2_c4_kg": None if told is None else told.kg,
            "ended_c2_c4_low_kg": None if told is None else told.low_kg,
            "ended_c2_c4_high_kg": None if told is None else told.high_kg,
            "ended_unknown": [] if end is None else list(end.unknown),
            "refrigerant_installing_kg_co2e": carbon.installing_kg,
            "refrigerant_in_use_kg_co2e": sum(one.in_use_kg_co2e for one in gases),
            "refrigerant_at_end_kg_co2e": sum(one.at_end_kg_co2e for one in gases),
            "biogenic_stored_kg_co2": carbon.store.taken_up_kg,
            "biogenic_given_back_kg_co2": carbon.store.given_back_kg,
            "left_out": list(STAGES_LEFT_OUT),
        },
        "leaked_before_the_house": [_upstream(one) for one in years.upstream.known],
        "leaked_before_the_house_unknown": list(years.upstream.unknown),
        "put_in_at_start_kg": carbon.left_kg[0],
        "payback_years": found.whole.carbon_payback_years,
        "by_year": [
            {
                "year": year,
                "saved_in_use_kg": saved,
                "refrigerant_lost_kg_co2e": lost,
                "put_in_not_yet_saved_kg": left,
            }
            for year, (saved, lost, left) in enumerate(rows, start=1)
        ],
    }


def _upstream(one: SpareLeak) -> dict[str, Any]:
    return {
        "fuel": one.fuel,
        "spared_kg_co2e": one.kg,
        "low_kg_co2e": one.low_kg,
        "high_kg_co2e": one.high_kg,
        "in_20_years_kg_co2e": one.in_20_years_kg,
        "source": one.origin.line,
    }


def _is_complete(one: LaterMoney) -> bool:
    said = (one.upkeep_cents, one.ended_upkeep_cents)
    return all(value.stated in (Stated.KNOWN, Stated.EXCLUDED) for value in said)


def _number(value: Decimal | None) -> float | None:
    return None if value is None else float(value)


def _listed(cents: tuple[int, ...] | None) -> list[int] | None:
    return None if cents is None else list(cents)
