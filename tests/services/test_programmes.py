"""Programmes for the measures of the sample house, by the rules as they stood on the day of its story."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables
from retrofit_desk.rules.programme_amounts import WorkFacts, WorkItem
from retrofit_desk.rules.programme_file import TaxTreatment
from retrofit_desk.rules.programmes import ProgrammeStatus, evaluate
from retrofit_desk.services.modeled_savings import ModeledSavings, filled
from retrofit_desk.services.programme_entry import ProgrammeEntryService
from retrofit_desk.services.programme_facts import WHOLE_HOUSE
from retrofit_desk.services.programmes import ProgrammeLine, ProgrammeService
from retrofit_desk.values.stated import Stated, StatedValue
from tests.services.test_programme_entry import lose_the_reservation


@pytest.fixture
def reading(sample_folder: Path) -> Iterator[Project]:
    with Project.open(sample_folder) as project:
        yield project


def line_of(project: Project, key: str, measure: str) -> ProgrammeLine:
    view = ProgrammeService(project).view()
    lines = (*view.chosen, *view.could_apply)
    return next(one for one in lines if one.programme_key == key and measure in one.measure)


def test_the_rules_give_what_the_reservations_promise(reading: Project) -> None:
    view = ProgrammeService(reading).view()
    assert view.today == date(2026, 11, 20)
    by_rule = {one.measure: one.amount_cents.value for one in view.chosen}
    on_record = {one.measure: one.rebate.expected_cents.value for one in view.chosen if one.rebate}
    assert by_rule == on_record
    assert view.together_cents.value == 80_000 + 145_200 + 300_000 + 450_000
    assert view.unreserved == ()


def test_the_cap_that_binds_is_named(reading: Project) -> None:
    assert line_of(reading, "triad-warm-walls", "sheathing").binding == "$3,000 a measure"


def test_the_day_to_claim_by_follows_from_the_day_in_service(reading: Project) -> None:
    line = line_of(reading, "carraway-water-heating", "water heater")
    assert (line.tested, line.claim_by) == ("placed in service Oct 9, 2026", date(2026, 12, 8))
    assert line_of(reading, "carraway-ground-heat", "Ground").claim_by is None


def test_every_rule_has_its_source_and_the_day_it_was_checked(reading: Project) -> None:
    view = ProgrammeService(reading).view()
    assert all(one.source and one.checked_on for one in (*view.chosen, *view.could_apply))


def test_federal_credits_that_ended_say_so_by_date(reading: Project) -> None:
    # IRS FS-2025-05 (2025-08-21), second-hand: 25C and 25D end with Dec 31, 2025
    for key, measure in (("federal-25d", "Solar"), ("federal-25c", "Casements")):
        line = line_of(reading, key, measure)
        assert (line.status, line.amount_cents.value) == (ProgrammeStatus.ENDED, 0)
        assert "ended Dec 31, 2025" in line.reasons[0]


def test_work_put_in_service_while_a_credit_stood_still_earns_it(reading: Project) -> None:
    # IRS FS-2025-01 (2025-01-17): 30 % of $2,980, below the cap of $1,200 a year
    line = line_of(reading, "federal-25c", "Air sealing")
    assert (line.status, line.amount_cents.value) == (ProgrammeStatus.PAYS, 89_400)


def test_a_changed_rule_tells_the_day_and_what_it_no_longer_covers(reading: Project) -> None:
    # Federal guidance of mid-2026 as told in the trade press, second-hand; the exact day is not known
    line = line_of(reading, "federal-hear", "Induction")
    assert (line.status, line.amount_cents.value) == (ProgrammeStatus.NOT_COVERED, 0)
    assert "the rule changed on Jun 2, 2026" in line.changes
    assert "fuel switch not covered" in line.reasons[0]


def test_what_is_not_known_leaves_the_amount_unknown(sample_project: Project) -> None:
    with sample_project.action("Forget the tons") as work:
        key = m.ProgrammeChoice.programme_key == "carraway-ground-heat"
        work.session.scalars(select(m.ProgrammeChoice).where(key)).one().facts = {}
    line = line_of(sample_project, "carraway-ground-heat", "Ground")
    assert line.amount_cents.stated is Stated.UNKNOWN
    assert line.needs == "how many tons the ground source heat pump has is not known"
    assert ProgrammeService(sample_project).view().together_cents.stated is Stated.UNKNOWN


def test_work_signed_without_a_reservation_loses_it_and_the_budget_says_what_that_costs(
    sample_project: Project,
) -> None:
    lose_the_reservation(sample_project)
    line = line_of(sample_project, "carraway-ground-heat", "Ground")
    assert line.status is ProgrammeStatus.LOST
    assert "begun Jul 15, 2026" in line.reasons[0]
    (net,) = ProgrammeService(sample_project).view().unreserved
    assert net.without_it_cents - net.with_it_cents == 450_000


def test_a_measure_without_a_cost_has_no_amount(sample_project: Project) -> None:
    with sample_project.action("Forget a cost") as work:
        measure = work.session.scalars(select(m.Measure).where(m.Measure.key == "south-glass")).one()
        measure.kind, measure.cost_cents, measure.cost_is = "insulation_cavity", None, Stated.UNKNOWN
    line = line_of(sample_project, "triad-warm-walls", "Clear high-gain glass")
    assert (line.status, line.needs) == (ProgrammeStatus.UNKNOWN, "the cost of the measure is not known")


def test_a_measure_not_begun_waits_for_its_reservation(sample_project: Project) -> None:
    with sample_project.action("Another kind") as work:
        work.session.scalars(
            select(m.Measure).where(m.Measure.key == "south-glass")
        ).one().kind = "insulation_cavity"
    line = line_of(sample_project, "triad-warm-walls", "Clear high-gain glass")
    assert (line.status, line.amount_cents.value) == (ProgrammeStatus.WAITS, 296_000)
    assert line.reasons == ("a written reservation before work",)


TOWN = """key = "town-seal"
name = "Town Draft Fund"
office = "Town hall"
[[versions]]
starts_on = 2025-01-01
checked_on = 2026-11-01
funding = "open"
date_tested = "placed in service"
kinds = ["air_sealing"]
amount = { kind = "flat", flat_dollars = 300 }
source = { title = "Town notice 4", retrieved = 2026-11-01, confidence = "published" }
"""


def test_two_programmes_for_one_work_are_taken_in_order_and_the_second_counts_what_is_left(
    sample_project: Project,
) -> None:
    # IRS FS-2025-01 (2025-01-17): what lowers the price lowers the cost of the credit first
    folder = sample_project.own_tables / "programmes"
    folder.mkdir(parents=True)
    (folder / "town-seal.toml").write_text(TOWN)
    air = line_of(sample_project, "federal-25c", "Air sealing")
    assert air.measure_id is not None
    entry = ProgrammeEntryService(sample_project)
    entry.choose(air.measure_id, "federal-25c", air.amount_cents)
    town = line_of(sample_project, "town-seal", "Air sealing")
    assert town.adds_cents == StatedValue(30_000 - 9_000)  # the credit loses 30 % of it
    entry.choose(air.measure_id, "town-seal", town.amount_cents)
    first, second = (
        line_of(sample_project, key, "Air sealing").taken for key in ("town-seal", "federal-25c")
    )
    assert first is not None
    assert second is not None
    assert (first.place, first.taken_cents) == (1, StatedValue(30_000))
    assert (second.place, second.taken_cents) == (2, StatedValue(80_400))  # 30 % of 2,680.00
    view = ProgrammeService(sample_project).view()
    assert view.together_cents.value == 975_200 + 30_000 + 80_400


def test_the_tax_of_each_programme_is_told_or_unknown(reading: Project) -> None:
    # IRS Announcement 2024-19 (2024-04-05), second-hand: a federal rebate lowers the price, no income
    assert line_of(reading, "federal-hear", "Induction").tax.treatment is TaxTreatment.LOWERS_PRICE
    assert line_of(reading, "federal-25c", "Air sealing").tax.treatment is TaxTreatment.CREDIT
    assert line_of(reading, "triad-warm-walls", "sheathing").tax.treatment is TaxTreatment.UNKNOWN


def test_the_desks_own_sum_stands_in_for_the_energy_saved_and_says_so() -> None:
    # 42 USC 18795 (second-hand): the office's assessor or meter decides; the sum is only what is expected
    modeled = ModeledSavings(saved_kwh=12_000.0, before_kwh=30_000.0, made_on=date(2026, 11, 2))
    house = WorkFacts((WorkItem(WHOLE_HOUSE, 4_000_000),), income_of_median=Decimal(1))
    by_model = Tables().programme("federal-homes-modeled")
    today = date(2026, 11, 20)
    assert evaluate(by_model, filled(house, by_model, None), today).status is ProgrammeStatus.UNKNOWN
    found = evaluate(by_model, filled(house, by_model, modeled), today)
    assert found.amount_cents == StatedValue(4_000_00)  # REB-4: from 35 %
    assert any(
        "40%, 12,000 kWh a year, by this desk's savings sum of Nov 2, 2026" in one for one in found.warnings
    )
    told = replace(house, savings_share=Decimal("0.3"))
    assert filled(told, by_model, modeled) == told  # what the assessor found is not touched
    by_meter = Tables().programme("federal-homes-measured")
    assert filled(told, by_meter, modeled).savings_share == Decimal("0.3")
    lacking = evaluate(by_meter, filled(told, by_meter, modeled), today)
    assert lacking.reasons == ("the average use of the state's homes is not known",)
    walls = Tables().programme("triad-warm-walls")
    assert filled(house, walls, modeled) == house


def test_what_the_office_told_of_the_energy_saved_is_kept_with_the_choice(sample_project: Project) -> None:
    # 6,000 kWh at $2,000 for 20 % of the state's average 24,000 kWh
    entry, key = ProgrammeEntryService(sample_project), "federal-homes-measured"

    def line() -> ProgrammeLine:
        view = ProgrammeService(sample_project).view()
        return next(one for one in (*view.chosen, *view.could_apply) if one.programme_key == key)

    first, *others = line().measure_ids
    choice = entry.choose(first, key, line().amount_cents, others=others, is_whole_house=True)
    entry.set_income(StatedValue(1.0))
    sheet = entry.sheet(choice)
    assert (sheet.by_kwh, sheet.by_savings) == (True, False)
    told = replace(sheet.written, savings_share=0.25, saved_kwh=6000.0, state_average_kwh=24000.0)
    entry.correct(choice, told)
    assert entry.sheet(choice).written == told
    assert line().amount_cents == StatedValue(2_500_00)
    assert not any("this desk's savings sum" in one for one in line().warnings)
    sample_project.undo()
    assert "average use of the state's homes" in line().needs


def test_every_amount_shows_its_source_its_day_and_what_bound_it(reading: Project) -> None:
    # CONS-2: every number with source and date; the result says which cap or date bound
    view = ProgrammeService(reading).view()
    for line in (*view.chosen, *view.could_apply):
        assert line.source, line.programme
        assert line.checked_on is not None, line.programme
        if line.amount_cents.value:
            assert line.binding, line.programme
        elif line.amount_cents.is_known:
            assert any(reason for reason in line.reasons), line.programme
        else:
            assert line.needs, line.programme
    ended = [line for line in view.could_apply if line.status is ProgrammeStatus.ENDED]
    assert ended
    assert all("the day that counts" in line.reasons[0] for line in ended)


def test_a_programme_invented_for_one_sample_house_is_offered_in_no_other(
    reading: Project, oil_folder: Path
) -> None:
    invented = {"carraway-ground-heat", "carraway-water-heating", "triad-warm-walls"}
    here = ProgrammeService(reading).view()
    assert {one.programme_key for one in here.chosen} == invented
    assert "triad-warm-walls" in {one.programme_key for one in here.could_apply}
    with Project.open(oil_folder) as elsewhere:
        offered = {one.programme_key for one in ProgrammeService(elsewhere).view().could_apply}
    assert offered
    assert not offered & invented
