"""Inspections in order, pressure tests with their limits, hazards by age."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from retrofit_desk.records.tables import NotInTable, Tables
from retrofit_desk.rules.hazards import Finding, HazardState, needs_lead_safe_firm, stopping, to_look_for
from retrofit_desk.rules.permits import (
    InspectionResult,
    InspectionRule,
    PermitDates,
    Visit,
    may_book,
    may_close,
    permit_ends,
    ready_for,
)
from retrofit_desk.rules.site_tests import TestLimits, TestRecord, judge, limits_for, limits_kept

TABLES = Tables()
PSI_KPA = 6.894757
BUILDING, ELECTRICAL = (
    next(one for one in TABLES.permit_templates if one.key == key) for key in ("building", "electrical")
)
ROUGH = Visit("v1", "rough_electrical", "Rough electrical", InspectionResult.PASSED)
FRAMING = Visit("v2", "framing", "Framing")
RULES: tuple[InspectionRule, ...] = (*BUILDING.inspections, *ELECTRICAL.inspections)


def test_framing_is_not_booked_before_rough_trades_have_passed() -> None:
    # PER-6: from IRC R109.1.2, R109.1.4
    waits = may_book(FRAMING, [replace(ROUGH, result=InspectionResult.BOOKED), FRAMING], RULES)
    assert waits.sentence == "Not yet: don't book Framing until Rough electrical has passed."
    assert may_book(FRAMING, [ROUGH, FRAMING], RULES).may_book


def test_corrections_are_closed_before_a_visit_is_booked_again() -> None:
    failed = replace(ROUGH, result=InspectionResult.FAILED, open_corrections=("Staple the cable",))
    again = Visit("v3", "rough_electrical", "Rough electrical, second visit", again_of="v1")
    found = may_book(again, [failed, again], RULES)
    assert not found.may_book
    assert "Staple the cable" in found.sentence
    assert may_book(again, [replace(failed, open_corrections=()), again], RULES).may_book
    assert "put right: Staple the cable" in ready_for(again, RULES, [failed])


def test_a_second_visit_answers_for_the_first() -> None:
    failed = replace(ROUGH, result=InspectionResult.FAILED)
    again = Visit("v3", "rough_electrical", "Second visit", InspectionResult.PASSED, again_of="v1")
    assert may_book(FRAMING, [failed, again, FRAMING], RULES).may_book
    assert may_close([failed, again]) == ()
    assert may_close([failed]) == ("Rough electrical has passed",)


def test_another_room_is_not_waited_for() -> None:
    loft = replace(ROUGH, key="v9", result=InspectionResult.NOT_BOOKED, place="loft")
    assert may_book(replace(FRAMING, place="den"), [replace(ROUGH, place="den"), loft], RULES).may_book


def test_a_permit_lapses_after_days_without_activity() -> None:
    # IRC R105.5: 180 days (second-hand)
    dates = PermitDates(date(2026, 1, 10), 180, activity_on=(date(2026, 3, 1),))
    assert permit_ends(dates) == date(2026, 8, 28)
    assert permit_ends(replace(dates, ends_on=date(2026, 6, 1))) == date(2026, 6, 1)
    assert permit_ends(replace(dates, final_on=date(2026, 5, 1))) is None
    assert permit_ends(PermitDates(date(2026, 1, 10), None)) is None
    # a visit after it lapsed on July 9 brings nothing back; one within an extension does
    late = replace(dates, activity_on=(date(2026, 10, 1),))
    assert permit_ends(late) == date(2026, 7, 9)
    extended = replace(late, extended_until=date(2026, 10, 31))
    assert permit_ends(extended) == date(2027, 3, 30)


@pytest.mark.parametrize(
    ("key", "design_psi", "psi", "minutes"),
    [
        ("hydronic_piping_pressure", 30, 100, 15),  # PER-1: IRC 2018 M2101.10
        ("hydronic_piping_pressure", 80, 120, 15),  # PER-2: IRC 2018 M2101.10
        ("embedded_tubing_pressure", 30, 100, 30),  # PER-3: IRC 2018 M2103.4
    ],
)
def test_pressure_and_time_of_a_test(key: str, design_psi: float, psi: float, minutes: float) -> None:
    found = limits_for(TABLES.test_kind(key), design_psi * PSI_KPA)
    assert found.low == pytest.approx(psi * PSI_KPA, abs=0.1)
    assert found.minutes == minutes


WHOLE = TestRecord(690.0, 690.0, 30, True, "G-1", "water", 0.5, "A. Neighbor", has_photo=True)


@pytest.mark.parametrize(
    ("blank", "word"),
    [
        ({"gauge": ""}, "gauge"),
        ({"end_value": None}, "end"),
        ({"has_times": False}, "time"),
        ({"ambient_change_c": None}, "outdoor temperature"),
        ({"witness": " "}, "witnessed"),
        ({"has_photo": False}, "photo"),
    ],
)
def test_a_test_with_a_blank_is_incomplete(blank: dict[str, object], word: str) -> None:
    # PER-4: common practice
    kind = TABLES.test_kind("embedded_tubing_pressure")
    limits = limits_for(kind)
    assert judge(kind, WHOLE, limits).passed is True
    found = judge(kind, replace(WHOLE, **blank), limits)  # type: ignore[arg-type]
    assert found.passed is None
    assert word in found.sentence


def test_a_pressure_that_fell_or_stood_too_short_fails() -> None:
    kind = TABLES.test_kind("embedded_tubing_pressure")
    limits = limits_for(kind)
    assert judge(kind, replace(WHOLE, end_value=600.0), limits).passed is False
    assert "held 10 of 30 minutes" in judge(kind, replace(WHOLE, minutes=10), limits).sentence
    gas = TABLES.test_kind("gas_piping_pressure")
    found = judge(gas, replace(WHOLE, medium="Oxygen"), TestLimits(20.7, None, 10))
    assert found.passed is False


@pytest.mark.parametrize(
    ("medium", "passed"),
    [("Oxygen", False), ("O2", False), ("oxygen-free nitrogen", True), ("CO2", True), ("air", True)],
)
def test_gas_piping_is_never_tested_with_oxygen(medium: str, *, passed: bool) -> None:
    # IRC 2021 G2417.2 (from memory): air, nitrogen, carbon dioxide or an inert gas; never oxygen
    gas = TABLES.test_kind("gas_piping_pressure")
    record = replace(WHOLE, value=21.0, end_value=21.0, medium=medium)
    assert judge(gas, record, limits_for(gas)).passed is passed


def test_a_fault_is_said_before_the_record_is_complete() -> None:
    gas = TABLES.test_kind("gas_piping_pressure")
    found = judge(gas, TestRecord(24.0, 22.0), limits_for(gas))
    assert found.passed is False
    assert "fell from 24 kPa to 22 kPa" in found.sentence
    assert "its gauge" in found.sentence


@pytest.mark.parametrize(
    ("key", "figure"),
    [
        # NIST SP 811 (2008), appendix B.8: 1 psi = 6.894757 kPa, 1 ft = 0.3048 m, C = (F - 32) / 1.8
        ("embedded_tubing_pressure", 100 * PSI_KPA),
        ("gas_piping_pressure", 3 * PSI_KPA),
        ("loop_purge", 2 * 0.3048),
        ("tank_temperature", (120 - 32) / 1.8),
    ],
)
def test_a_round_us_figure_meets_its_limit(key: str, figure: float) -> None:
    limit = TABLES.test_kind(key).low_limit
    assert limit is not None
    assert limit <= figure
    assert limit == pytest.approx(figure, rel=1e-3)


def test_a_stated_limit_may_be_looser_only_with_its_source() -> None:
    kind, looser = TABLES.test_kind("embedded_tubing_pressure"), TestLimits(345.0, None, 15.0)
    assert limits_kept(kind, looser, "") == limits_for(kind)
    assert limits_kept(kind, looser, kind.origin.source) == limits_for(kind)
    assert limits_kept(kind, looser, "Local sheet") == looser
    assert limits_kept(kind, TestLimits(800.0, None, None), "") == TestLimits(800.0, None, kind.minutes)


def test_a_test_without_any_limit_says_nothing() -> None:
    kind = TABLES.test_kind("blower_door")
    assert "a limit to keep" in judge(kind, WHOLE, limits_for(kind)).sentence
    assert judge(kind, WHOLE, TestLimits(None, 700.0, None)).passed is True


def test_an_unknown_test_is_said() -> None:
    with pytest.raises(NotInTable, match="unheard_of"):
        TABLES.test_kind("unheard_of")


def test_hazards_come_with_age_and_work() -> None:
    keys = {one.key for one in to_look_for(TABLES.hazards, 1964, ["casement_windows"])}
    assert {"lead_paint", "asbestos", "flue_gas"} <= keys
    assert "knob_and_tube" not in keys
    new = {one.key for one in to_look_for(TABLES.hazards, 2005, ["casement_windows"])}
    assert "lead_paint" not in new
    unknown = {one.key for one in to_look_for(TABLES.hazards, None, ["insulation_cavity"])}
    assert "knob_and_tube" in unknown
    cleared = Finding("lead_paint", HazardState.CLEARED, stops_work=True)
    assert "lead_paint" not in {
        one.key for one in to_look_for(TABLES.hazards, 1964, ["casement_windows"], [cleared])
    }
    found = replace(cleared, state=HazardState.FOUND)
    assert stopping([cleared, found]) == (found,)


@pytest.mark.parametrize(
    ("year", "inside", "outside", "windows", "paid", "needs"),
    [
        (1964, 6.0, 20.0, False, True, False),
        (1964, 6.1, 0.0, False, True, True),
        (1964, 0.0, 20.5, False, True, True),
        (1964, 0.0, 0.0, True, True, True),
        (1978, 50.0, 50.0, True, True, False),
        (None, 50.0, 0.0, False, True, True),
        (1964, 50.0, 50.0, True, False, False),
    ],
)
def test_lead_safe_firm(
    *, year: int | None, inside: float, outside: float, windows: bool, paid: bool, needs: bool
) -> None:
    # 40 CFR 745, 2010 (second-hand): above 6 sq ft a room or 20 sq ft outside, any window
    assert (
        needs_lead_safe_firm(
            year,
            paid_work=paid,
            inside_sqft_per_room=inside,
            outside_sqft=outside,
            replaces_windows=windows,
        )
        is needs
    )


def test_every_hold_and_every_visit_of_the_templates_points_at_something_known() -> None:
    visits = {one.kind for template in TABLES.permit_templates for one in template.inspections}
    tests = {one.key for one in TABLES.test_kinds}
    for template in TABLES.permit_templates:
        for one in template.inspections:
            known = set(one.after) <= visits | {"rough_plumbing"}
            assert known, one.kind
    for hold in TABLES.hold_templates:
        for need in hold.needs:
            assert not need.inspection_kind or need.inspection_kind in visits, hold.key
            assert not need.test_kind or need.test_kind in tests, hold.key
