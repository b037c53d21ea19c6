"""Bills by tariff, against published bill comparisons and worked arithmetic."""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from retrofit_desk.money.bills import (
    MonthUse,
    bill_month,
    bill_year,
    bill_year_by_months,
    closed_account,
    plain_use,
)
from retrofit_desk.money.hour_marks import hour_marks
from retrofit_desk.money.rounding import split_cents, to_cents
from retrofit_desk.money.tariff import (
    DemandCharge,
    EnergyCharge,
    ExportKind,
    ExportRule,
    Tariff,
    Tier,
    Window,
)
from retrofit_desk.money.worth import net_present_value_cents
from retrofit_desk.values.errors import CannotSay


def a_tariff(*charges: EnergyCharge, fixed: str = "0", **more: object) -> Tariff:
    return Tariff("t", "a tariff", "kWh", Decimal(fixed), charges, **more)  # type: ignore[arg-type]


def flat(price: str, name: str = "Energy", **more: object) -> EnergyCharge:
    return EnergyCharge(name, (Tier(Decimal(price)),), **more)  # type: ignore[arg-type]


# BILL-1: a published residential tariff, non-summer tiers (second-hand)
TIERED = a_tariff(
    EnergyCharge(
        "Energy",
        (
            Tier(Decimal("0.088958"), Decimal(800)),
            Tier(Decimal("0.098073"), Decimal(2000)),
            Tier(Decimal("0.108615")),
        ),
    )
)


@pytest.mark.parametrize(("kwh", "dollars"), [("1050", "95.69"), ("800", "71.17")])
def test_tiers_are_rounded_line_by_line(kwh: str, dollars: str) -> None:
    bill = bill_month(TIERED, plain_use(TIERED, 1, 31, Decimal(kwh)))
    assert bill.total_cents == to_cents(Decimal(dollars))


def test_power_cost_and_tax_stand_on_top_of_tiers() -> None:
    # BILL-2: a published municipal tariff's bill comparison, winter, 1,200 kWh
    tariff = a_tariff(
        EnergyCharge(
            "Energy",
            (
                Tier(Decimal(".064"), Decimal(250)),
                Tier(Decimal(".049"), Decimal(700)),
                Tier(Decimal(".0446")),
            ),
        ),
        flat(".085", "Power cost"),
        fixed="7.50",
        tax_share=Decimal("0.01"),
    )
    bill = bill_month(tariff, plain_use(tariff, 1, 31, Decimal(1200)))
    assert [line.amount_cents for line in bill.lines] == [750, 1600, 2205, 2230, 10200, 170]
    assert bill.total_cents == 17155


def test_half_a_cent_is_rounded_up() -> None:
    # BILL-3: decimal half-up, constructed
    tariff = a_tariff(flat("0.0525"))
    assert bill_month(tariff, plain_use(tariff, 1, 31, Decimal(250))).total_cents == 1313


def test_a_season_brings_its_own_number_of_tiers() -> None:
    # BILL-4: common practice, no source
    summer, winter = (6, 7, 8, 9), (1, 2, 3, 4, 5, 10, 11, 12)
    tariff = a_tariff(
        EnergyCharge("Summer", (Tier(Decimal(".10"), Decimal(500)), Tier(Decimal(".20"))), Window(summer)),
        EnergyCharge("Winter", (Tier(Decimal(".09")),), Window(winter)),
    )
    use = [bill_month(tariff, plain_use(tariff, month, 30, Decimal(1000))) for month in (7, 1)]
    assert [bill.total_cents for bill in use] == [15000, 9000]


def test_a_baseline_is_a_credit_by_the_day() -> None:
    # BILL-5: constructed example
    peak = Window(hours=(16, 17, 18, 19, 20))
    rest = Window(hours=tuple(h for h in range(24) if h not in range(16, 21)))
    tariff = a_tariff(
        flat(".52", "Peak", window=peak),
        flat(".38", "Off peak", window=rest),
        EnergyCharge("Baseline", (Tier(Decimal("-.09"), Decimal(12)), Tier(Decimal(0))), limits_per_day=True),
        fixed="24.15",
    )
    assert (
        bill_month(tariff, MonthUse(6, 30, (Decimal(180), Decimal(620), Decimal(800)))).total_cents == 32095
    )


def test_time_of_day_comparison_of_a_published_tariff() -> None:
    # BILL-6: a published municipal time-of-day tariff, rates of 2020-09-29; savings from unrounded values
    on, off = Window(hours=tuple(range(12, 20))), Window(hours=(*range(12), *range(20, 24)))
    standard = a_tariff(flat(".1110"), fixed="14")
    clocked = a_tariff(flat(".1910", "On peak", window=on), flat(".0660", "Off peak", window=off), fixed="14")
    total = Decimal("675.54")
    plain = bill_month(standard, plain_use(standard, 4, 30, total))
    assert plain.total_cents == 8898

    def clock_bill(on_peak: Decimal) -> tuple[int, Decimal]:
        bill = bill_month(clocked, MonthUse(4, 30, (total * on_peak, total * (1 - on_peak))))
        return bill.total_cents, (plain.exact_dollars - bill.exact_dollars).quantize(Decimal("0.01"))

    assert clock_bill(Decimal(".45")) == (9658, Decimal("-7.60"))
    assert clock_bill(Decimal(".35"))[1] == Decimal("0.84")
    assert clock_bill(Decimal(".25"))[1] == Decimal("9.29")
    with pytest.raises(CannotSay, match="by the hour"):
        plain_use(clocked, 4, 30, total)


def test_demand_is_billed_on_the_highest_hour_and_never_below_the_share_of_an_earlier_peak() -> None:
    # BILL-7: constructed example
    tariff = a_tariff(flat(".085"), fixed="18.50", demand=(DemandCharge("Demand", Decimal(11)),))
    assert (
        bill_month(tariff, MonthUse(1, 31, (Decimal(900),), peaks_kw=(Decimal("6.4"),))).total_cents == 16540
    )
    ratchet = a_tariff(
        flat("0"), demand=(DemandCharge("Demand", Decimal(10), earlier_peak_share=Decimal(".65")),)
    )
    drawn = np.zeros(8760)
    drawn[5], drawn[31 * 24 + 5] = 10.0, 2.0
    assert bill_year(ratchet, drawn).month_cents[:3] == (10000, 6500, 6500)


def test_net_metering_and_net_billing_differ() -> None:
    # BILL-8: constructed example; concept published second-hand
    metered = a_tariff(flat(".30"), fixed="12", export=ExportRule(ExportKind.NET_METERING))
    billed = a_tariff(
        flat(".30"), fixed="12", export=ExportRule(ExportKind.NET_BILLING, credits=(flat(".06", "Fed in"),))
    )
    use = MonthUse(5, 31, (Decimal(520),), fed_in=(Decimal(430),), credited=(Decimal(430),))
    assert bill_month(metered, use).total_cents == 3900
    assert bill_month(billed, use).total_cents == 14220


def test_surplus_units_roll_over_the_season_and_are_settled_once() -> None:
    summer, winter = tuple(range(5, 10)), (1, 2, 3, 4, 10, 11, 12)
    rule = ExportRule(ExportKind.NET_METERING, rolls_over=True, year_end_price=Decimal(".03"))
    tariff = a_tariff(
        flat(".20", "Summer", window=Window(summer)),
        flat(".10", "Winter", window=Window(winter)),
        flat(".02", "Always asked", on_all_imports=True),
        export=rule,
    )
    marks = hour_marks(daylight_saving=False)
    drawn, fed = np.zeros(8760), np.zeros(8760)
    fed[np.flatnonzero(marks.month == 9)[:10]] = 100.0
    drawn[np.flatnonzero(marks.month == 10)[:6]] = 100.0
    year = bill_year(tariff, drawn, fed, marks)
    assert year.month_cents[8:10] == (0, 1200)
    assert year.year_end_cents == to_cents(Decimal(400) * Decimal(".03"))


def test_the_gas_fixed_charge_ends_only_with_the_last_appliance() -> None:
    # BILL-9: constructed example; present value at 3 % over 20 years
    gas = Tariff("gas", "gas", "therm", Decimal("15.30"), (flat("1.10"),))
    saved = bill_year_by_months(gas, [0.0] * 12).total_cents - closed_account().total_cents
    assert saved == 18360
    # the printed 2,731.50 uses the factor 14.8775 unrounded: 183.60 x 14.87747
    assert net_present_value_cents((0, *[saved] * 20), Decimal("0.03")) == 273150


def test_a_clock_hour_runs_ahead_in_summer() -> None:
    # daylight saving in 2026: March 8, 2:00 to November 1, 2:00 (Energy Policy Act of 2005, sec. 110)
    marks = hour_marks(2026)
    assert [int(marks.hour[day * 24 + 12]) for day in (65, 66, 303, 304)] == [12, 13, 13, 12]
    assert len(marks.hour) == 8760
    assert sum(marks.days_in_month) == 365


def test_a_minimum_bill_tops_up() -> None:
    tariff = a_tariff(flat(".10"), fixed="5", minimum_bill=Decimal(12))
    assert bill_month(tariff, plain_use(tariff, 1, 31, Decimal(20))).total_cents == 1200
    assert bill_month(tariff, plain_use(tariff, 1, 31, Decimal(200))).total_cents == 2500


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(0, 5000), min_size=12, max_size=12), st.integers(0, 3))
def test_a_year_is_the_sum_of_its_lines_and_flat_energy_is_additive(kwh: list[int], seed: int) -> None:
    tariff = a_tariff(flat(".123456"), fixed="9.99", tax_share=Decimal("0.07"))
    year = bill_year_by_months(tariff, [float(units) for units in kwh])
    assert year.total_cents == sum(line.amount_cents for bill in year.months for line in bill.lines)
    energy = a_tariff(flat(".123456"))
    shares = np.random.default_rng(seed).random(8760)
    whole, first = bill_year(energy, shares), bill_year(energy, shares * 0.5)
    # each of the twelve lines may round by half a cent, on both sides
    assert abs(whole.total_cents - 2 * first.total_cents) <= 18


@given(st.integers(-(10**7), 10**7), st.lists(st.integers(0, 1000), min_size=1, max_size=9))
def test_split_cents_lose_nothing(total: int, weights: list[int]) -> None:
    exact = [Decimal(weight) for weight in weights]
    if sum(weights) == 0:
        with pytest.raises(ValueError, match="positive"):
            split_cents(total, exact)
    else:
        parts = split_cents(total, exact)
        assert sum(parts) == total
        assert all(
            abs(part - Decimal(total) * w / sum(exact)) < 1 for part, w in zip(parts, exact, strict=True)
        )
