"""Contracts, payments, waivers, rebates, loan and months, on the record of the sample house."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import permutations
from pathlib import Path

import pytest
from sqlalchemy import func, select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.rules.holds import NotYet
from retrofit_desk.rules.waivers import WaiverKind
from retrofit_desk.services.contract_entry import ContractUnclear
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import (
    ContractSheet,
    PaymentUnclear,
    StageRow,
    WrittenBudget,
    WrittenChange,
    WrittenContract,
    WrittenInvoice,
    WrittenPayment,
    WrittenWaiver,
)
from retrofit_desk.services.quote_values import WrittenStage
from retrofit_desk.values.stated import Stated, StatedValue
from tests.services.test_programme_entry import lose_the_reservation

TODAY = date(2026, 11, 20)


def sheet_named(project: Project, word: str) -> ContractSheet:
    service = MoneyService(project)
    return service.sheet(next(row.id for row in service.contracts() if word in row.title))


def stage_named(sheet: ContractSheet, word: str) -> StageRow:
    return next(stage for stage in sheet.stages if word in stage.title)


def a_payment(cents: int, reason: str = "") -> WrittenPayment:
    return WrittenPayment(cents, TODAY, "bank transfer", reason=reason)


def a_waiver(kind: WaiverKind, stage_id: int, party_id: int | None = None) -> WrittenWaiver:
    return WrittenWaiver(kind, party_id, stage_id, TODAY, StatedValue(None, Stated.NOT_STATED), TODAY, TODAY)


def test_a_contract_adds_up_to_the_cent_with_its_changes_and_retainage(sample_project: Project) -> None:
    sheet = sheet_named(sample_project, "Ground-source")
    row = sheet.row
    assert (row.price_cents, row.changes_cents, row.open_changes_cents) == (4_185_000, 42_000, -30_000)
    assert row.total_cents == 4_227_000
    assert row.paid_cents == 418_500 + 1_431_412
    assert row.held_back_cents == 75_338  # 5 % of 15,067.50, half a cent up
    assert row.left_cents == row.total_cents - row.paid_cents
    assert [change.running_cents for change in sheet.changes] == [4_227_000, 4_197_000]


def test_a_stage_is_not_paid_while_a_hold_or_a_waiver_is_missing(sample_project: Project) -> None:
    # NEED-20
    service = MoneyService(sample_project)
    stage = stage_named(sheet_named(sample_project, "Ground-source"), "Machine")
    assert stage.holds
    assert any("Ottermark Drilling" in text for text in stage.waivers)
    with pytest.raises(NotYet):
        service.pay_stage(stage.id, a_payment(stage.due_cents))
    assert not stage_named(sheet_named(sample_project, "Ground-source"), "Machine").is_paid


def test_a_stage_without_a_recorded_hold_still_waits_for_its_waivers(sample_project: Project) -> None:
    # QUO-6: own example of the waiver set; Cal. Civ. Code 8132-8138 for the four kinds
    service = MoneyService(sample_project)
    sheet = sheet_named(sample_project, "sheathing")
    stage = stage_named(sheet, "East")
    assert stage.holds == ()
    with pytest.raises(NotYet, match="Linden Yard Supply"):
        service.pay_stage(stage.id, a_payment(stage.due_cents))
    conditional = WaiverKind.CONDITIONAL_PROGRESS
    service.record_waiver(sheet.row.id, a_waiver(conditional, stage.id))
    service.record_waiver(sheet.row.id, a_waiver(conditional, stage.id, sheet.parties[0].id))
    now = stage_named(sheet_named(sample_project, "sheathing"), "East")
    assert now.may_be_paid
    service.pay_stage(stage.id, a_payment(now.due_cents))
    # the bank shows stage 2 as gone: from now on its unconditional waivers are asked for
    paid = next(one for one in sheet.payments if one.cleared_on is None)
    service.clear(paid.id, TODAY)
    final = stage_named(sheet_named(sample_project, "sheathing"), "Siding up")
    assert any("unconditional waiver" in text and "North side" in text for text in final.waivers)


def test_a_waiver_that_was_sent_out_frees_its_payment_when_it_comes_back_signed(
    sample_project: Project,
) -> None:
    # QUO-6, NEED-20
    service = MoneyService(sample_project)
    sheet = sheet_named(sample_project, "Solar")
    stage = stage_named(sheet, "Modules delivered")
    out = replace(
        a_waiver(WaiverKind.CONDITIONAL_PROGRESS, stage.id),
        signed_on=None,
        received_on=None,
        amount_cents=StatedValue(stage.due_cents - 100),
    )
    waiver_id = service.record_waiver(sheet.row.id, out)
    row = next(one for one in service.sheet(sheet.row.id).waivers if one.id == waiver_id)
    assert row.is_out
    assert stage_named(service.sheet(sheet.row.id), "Modules delivered").waivers
    with pytest.raises(PaymentUnclear, match="nobody signed"):
        service.correct_waiver(waiver_id, replace(out, received_on=TODAY))
    service.correct_waiver(waiver_id, replace(out, signed_on=TODAY, received_on=TODAY))
    back = next(one for one in service.sheet(sheet.row.id).waivers if one.id == waiver_id)
    assert not back.is_out
    assert "It speaks of $11,449.00; the payment is $11,450.00" in back.point
    assert stage_named(service.sheet(sheet.row.id), "Modules delivered").may_be_paid
    sample_project.undo()
    assert not stage_named(service.sheet(sheet.row.id), "Modules delivered").may_be_paid


def test_paying_for_a_reason_is_one_step_and_stays_visible(sample_project: Project) -> None:
    service = MoneyService(sample_project)
    stage = stage_named(sheet_named(sample_project, "Ground-source"), "Machine")
    reason = "The driller was paid in front of me"
    service.pay_stage(stage.id, a_payment(stage.due_cents, reason))
    paid = stage_named(sheet_named(sample_project, "Ground-source"), "Machine")
    assert paid.is_paid
    assert any(reason in text and "Ottermark" in text for text in paid.gone_past)
    assert sum(reason in view.sentence for view in HoldService(sample_project).overridden()) == 2
    sample_project.undo()
    assert not stage_named(sheet_named(sample_project, "Ground-source"), "Machine").is_paid
    assert not any(reason in view.sentence for view in HoldService(sample_project).overridden())


@pytest.mark.parametrize("order", list(permutations(range(4)))[::5])
def test_no_order_of_clicks_pays_past_a_hold_in_silence(
    sample_project: Project, order: tuple[int, ...]
) -> None:
    service = MoneyService(sample_project)
    sheet = sheet_named(sample_project, "Radiant floors")
    for at in order:
        stage = sheet.stages[at]
        before = service.sheet(sheet.row.id).stages[at]
        if before.is_paid or not before.may_be_paid:
            with pytest.raises((NotYet, PaymentUnclear)):
                service.pay_stage(stage.id, a_payment(max(before.due_cents, 1)))
        else:
            service.pay_stage(stage.id, a_payment(before.due_cents))
    assert service.sheet(sheet.row.id).row.paid_cents == sheet.row.paid_cents


@pytest.mark.parametrize("cents", [0, -1, 10**9])
def test_nothing_below_zero_and_no_more_than_is_due_is_paid(sample_project: Project, cents: int) -> None:
    stage = stage_named(sheet_named(sample_project, "Nine casements"), "Units delivered")
    with pytest.raises(PaymentUnclear):
        MoneyService(sample_project).pay_stage(stage.id, a_payment(cents, "because"))


def test_what_is_held_back_leaves_only_with_the_final_waivers_of_all(sample_project: Project) -> None:
    service = MoneyService(sample_project)
    sheet = sheet_named(sample_project, "sheathing")
    assert sheet.row.held_back_cents == 37_750
    assert len(sheet.release_waits) == 2
    with pytest.raises(NotYet, match="Brindle"):
        service.release(sheet.row.id, a_payment(37_750))
    last = sheet.stages[-1].id
    service.record_waiver(sheet.row.id, a_waiver(WaiverKind.CONDITIONAL_FINAL, last))
    service.record_waiver(sheet.row.id, a_waiver(WaiverKind.UNCONDITIONAL_FINAL, last, sheet.parties[0].id))
    with pytest.raises(PaymentUnclear):
        service.release(sheet.row.id, a_payment(37_751))
    service.release(sheet.row.id, a_payment(37_750))
    assert sheet_named(sample_project, "sheathing").row.held_back_cents == 0


def test_a_change_order_counts_when_both_have_signed(sample_project: Project) -> None:
    service = MoneyService(sample_project)
    sheet = sheet_named(sample_project, "Ground-source")
    service.sign_change(sheet.changes[1].id, TODAY)
    row = sheet_named(sample_project, "Ground-source").row
    assert (row.total_cents, row.open_changes_cents) == (4_197_000, 0)
    with pytest.raises(PaymentUnclear, match="reason"):
        service.record_change(row.id, WrittenChange(TODAY, " ", 100))
    service.record_change(row.id, WrittenChange(TODAY, "A second purge valve", 12_000))
    assert sheet_named(sample_project, "Ground-source").changes[-1].running_cents == 4_209_000


def test_a_change_counts_when_the_firm_signs_later_and_a_supplier_gives_notice_later(
    sample_project: Project,
) -> None:
    service = MoneyService(sample_project)
    row = sheet_named(sample_project, "sheathing").row
    change_id = service.record_change(
        row.id, WrittenChange(TODAY, "Rotten sill", 31_000, signed_by_owner_on=TODAY)
    )
    assert sheet_named(sample_project, "sheathing").row.open_changes_cents == 31_000
    service.sign_change(change_id, TODAY, by_firm=True)
    assert sheet_named(sample_project, "sheathing").row.total_cents == row.total_cents + 31_000
    party_id = service.record_party(row.id, "Osier Nails", "fasteners", None, None)
    assert not next(
        one for one in sheet_named(sample_project, "sheathing").parties if one.id == party_id
    ).can_claim
    service.correct_party(party_id, "Osier Nails", "fasteners", TODAY, TODAY)
    party = next(one for one in sheet_named(sample_project, "sheathing").parties if one.id == party_id)
    assert (party.can_claim, party.last_work_on) == (True, TODAY)
    waits = stage_named(sheet_named(sample_project, "sheathing"), "East").waivers
    assert any("Osier Nails" in one for one in waits)
    sample_project.undo()
    assert not next(
        one for one in sheet_named(sample_project, "sheathing").parties if one.id == party_id
    ).can_claim


def test_a_contract_paid_to_the_end_is_complete(sample_project: Project) -> None:
    service = MoneyService(sample_project)
    firm = service.choices().firms[0][0]
    written = WrittenContract(
        firm, 13, "", "", TODAY, 42_000, 0.0, (WrittenStage("All", 42_000, is_final=True),)
    )
    with pytest.raises(ContractUnclear, match="add up"):
        service.record_contract(replace(written, price_cents=42_001))
    contract_id = service.record_contract(written)
    (stage,) = service.sheet(contract_id).stages
    assert stage.waivers  # the last payment waits for the final waiver
    service.record_waiver(contract_id, a_waiver(WaiverKind.CONDITIONAL_FINAL, stage.id))
    service.pay_stage(stage.id, a_payment(42_000))
    assert service.sheet(contract_id).row.state is m.ContractState.COMPLETE


def test_a_bill_without_a_contract_is_entered_filed_and_paid(sample_project: Project, tmp_path: Path) -> None:
    service = MoneyService(sample_project)
    paper = tmp_path / "tape.pdf"
    paper.write_bytes(b"%PDF-1.4 tape")
    firm = next(firm_id for firm_id, name in service.choices().firms if "Linden" in name)
    bill_id = service.record_invoice(
        WrittenInvoice(firm, TODAY, 12_345, measure_id=4, number="LY-1", paper=paper)
    )
    with pytest.raises(PaymentUnclear, match="more than"):
        service.pay_invoice(bill_id, a_payment(12_346))
    service.pay_invoice(bill_id, replace(a_payment(12_345), paper=paper))
    with sample_project.session() as session:
        payment = session.scalar(select(m.Payment).where(m.Payment.invoice_id == bill_id))
        assert payment is not None
        assert payment.paper_id is not None
    row = next(one for one in service.purchases() if one.id == bill_id)
    assert row.open_cents == 0


def test_what_measures_have_paid_is_all_that_left(sample_project: Project) -> None:
    budget = MoneyService(sample_project).budget()
    with sample_project.session() as session:
        left = session.scalar(select(func.sum(m.Payment.amount_cents)))
    assert sum(line.money.paid_cents for line in budget.lines) == left
    assert budget.project.paid_cents == left
    assert budget.could_be_cents >= budget.project.forecast.known


def test_what_is_set_aside_is_taken_by_a_change_order_and_undone(sample_project: Project) -> None:
    # NEED-17
    service = MoneyService(sample_project)
    before = service.budget().contingency
    assert before.left_cents.value is not None
    assert before.set_cents.value == 1_653_900  # 10 % of the 165,390.00 of all own costings
    row = next(one for one in service.contracts() if "sheathing" in one.title)
    change = WrittenChange(
        TODAY, "Rotten sill", 125_000, signed_by_owner_on=TODAY, signed_by_firm_on=TODAY
    )  # for the whole contract: no measure is named
    service.record_change(row.id, change)
    after = service.budget().contingency
    assert after.by_changes_cents == before.by_changes_cents + 125_000
    assert after.left_cents.value == before.left_cents.value - 125_000
    sample_project.undo()
    assert service.budget().contingency == before


def test_the_share_set_aside_is_changed_refused_and_undone(sample_project: Project) -> None:
    service = MoneyService(sample_project)
    before = service.budget()
    service.set_budget(WrittenBudget(StatedValue(20_000_000), StatedValue(12.5)))
    now = service.budget()
    assert (now.meant_cents.value, now.contingency.set_cents.value) == (20_000_000, 2_067_375)
    with pytest.raises(PaymentUnclear, match="between 0 and 100"):
        service.set_budget(WrittenBudget(StatedValue(1), StatedValue(101.0)))
    service.set_budget(WrittenBudget(before.meant_cents, StatedValue(None, Stated.UNKNOWN)))
    assert service.budget().contingency.left_cents.stated is Stated.UNKNOWN  # not set is not zero
    assert not service.budget().is_short
    sample_project.undo()
    sample_project.undo()
    assert service.budget() == before


def test_a_measure_given_up_has_no_budget_and_what_it_cost_is_lost(sample_project: Project) -> None:
    service = MoneyService(sample_project)
    before = service.budget().contingency
    with sample_project.action("Give the batts up") as work:
        row = work.session.scalars(select(m.Measure).where(m.Measure.title.contains("batts"))).one()
        row.state = m.MeasureState.DROPPED
    line = next(one for one in service.budget().lines if "batts" in one.title)
    assert line.money.budget_cents.stated is Stated.EXCLUDED
    after = service.budget().contingency
    assert after.base_cents == before.base_cents - 96_000
    assert after.taken_cents == before.taken_cents + 96_000


def test_the_budget_is_shown_with_and_without_a_rebate_that_is_not_reserved(sample_project: Project) -> None:
    # NEED-2
    service = MoneyService(sample_project)
    before = service.budget().project
    lose_the_reservation(sample_project)
    after = service.budget().project
    assert after.net_with_all_cents == before.net_with_all_cents
    assert after.net_with_reserved_cents == before.net_with_reserved_cents + 450_000
    row = next(one for one in service.rebates() if "Ground" in one.measure)
    assert (row.is_reserved, row.needs_owner) == (False, True)
    assert row.words.startswith("reservation declined Nov 20, 2026 (“The machine is not on the list”)")


def test_a_reserved_rebate_counts_though_nobody_said_what_to_expect(sample_project: Project) -> None:
    service = MoneyService(sample_project)
    row = next(one for one in service.rebates() if one.is_reserved)
    reserved = row.reserved_cents
    with sample_project.action("Nobody said") as work:
        choice = work.session.get_one(m.ProgrammeChoice, row.choice_id)
        choice.set_stated("expected_cents", StatedValue(None, Stated.UNKNOWN))
    found = next(one for one in service.rebates() if one.choice_id == row.choice_id)
    assert found.expected_cents == reserved
    project = service.budget().project
    assert project.net_with_all_cents <= project.net_with_reserved_cents


def test_months_of_cash_close_with_all_that_moved(sample_project: Project) -> None:
    view = MoneyService(sample_project).cash()
    months = view.plan.months
    assert months[-1].balance_cents == sum(month.in_cents - month.out_cents for month in months)
    october = next(month for month in months if (month.year, month.month) == (2026, 10))
    assert october.in_cents == 1_431_412
    assert any("Retainage" in move.what for move in view.plan.undated)


def test_a_bill_that_says_nothing_holds_back_what_the_contract_lets(sample_project: Project) -> None:
    # 5 % of 8,370.05 is 418.5025, half up; of the last stage and of a sum written down nothing is worked out
    service = MoneyService(sample_project)
    sheet = service.sheet(next(row.id for row in service.contracts() if row.firm.startswith("Sorrel")))
    by_title = {stage.title: stage.id for stage in sheet.stages}

    def held(stage: str, written: int | None) -> int:
        bill = WrittenInvoice(
            firm_id=None,
            on=date(2026, 11, 20),
            amount_cents=837_005,
            contract_id=sheet.row.id,
            stage_id=by_title[stage],
            retained_cents=written,
        )
        bill_id = service.record_invoice(bill)
        return next(one.retained_cents for one in service.sheet(sheet.row.id).invoices if one.id == bill_id)

    assert held("Tested and running", None) == 41_850
    assert held("Tested and running", 0) == 0
    assert held("Retainage", None) == 0


def test_a_part_payment_leaves_the_rest_of_a_stage_due(sample_project: Project) -> None:
    service = MoneyService(sample_project)
    stage = stage_named(sheet_named(sample_project, "Ground-source"), "Machine")
    assert stage.due_cents == 1_192_725
    for part, left in ((1_000_000, 192_725), (192_725, 0)):
        reason = WrittenPayment(amount_cents=part, on=date(2026, 11, 20), how="check", reason="They ask")
        service.pay_stage(stage.id, reason)
        after = stage_named(sheet_named(sample_project, "Ground-source"), "Machine")
        assert (after.due_cents, after.is_paid) == (left, left == 0)


def test_cash_to_come_is_all_that_is_left_of_a_contract_to_the_cent(sample_project: Project) -> None:
    # by hand: 42,270.00 with the change, less 18,499.12 paid, less 11,927.25 due on the day of bill SR-1241
    title = "Ground-source heat pump and bores"
    assert _to_come(sample_project, title) == 4_227_000 - 1_849_912 - 1_192_725
    contract_id = next(row.id for row in MoneyService(sample_project).contracts() if row.title == title)
    today = date(2026, 11, 20)
    for cents, reason in ((33_333, "One bore more"), (-50_000, "Shorter trench")):
        before = _to_come(sample_project, title)
        MoneyService(sample_project).record_change(
            contract_id,
            WrittenChange(
                on=today,
                reason=reason,
                change_cents=cents,
                signed_by_owner_on=today,
                signed_by_firm_on=today,
            ),
        )
        assert _to_come(sample_project, title) == before + cents


def _to_come(project: Project, title: str) -> int:
    """What is still to be paid under a contract, of the moves without a date."""
    undated = MoneyService(project).cash().plan.undated
    return -sum(move.amount_cents for move in undated if move.what.startswith(title))


def test_the_loan_tells_its_level_payment_and_its_yearly_rate(sample_project: Project) -> None:
    # FIN-11: own worked example, arithmetic checked; the equation of 12 CFR 1026, Appendix J. 120 level
    # payments give 7.057 %; the true last payment, 76 cents higher, moves it to 7.058 %.
    with sample_project.action("Take another loan") as work:
        work.session.add(
            m.Loan(
                key="second",
                name="Second loan",
                principal_cents=1_800_000,
                rate_percent=6.49,
                fees_cents=45_000,
                months=120,
                first_payment_on=date(2027, 1, 20),
            )
        )
    loan = MoneyService(sample_project).loans()[-1]
    assert (loan.payment_cents, loan.last_payment_cents) == (20_429, 20_505)
    assert loan.total_interest_cents == 651_556
    assert loan.apr_percent.value == pytest.approx(7.058, abs=0.0005)


def test_a_loan_without_its_rate_says_so_instead_of_zero(sample_project: Project) -> None:
    with sample_project.action("Take a loan") as work:
        work.session.add(m.Loan(key="x", name="X", principal_cents=100_000, months=12))
    loan = MoneyService(sample_project).loans()[-1]
    assert loan.apr_percent.stated is Stated.UNKNOWN
    assert loan.payment_cents is None


def test_no_more_is_drawn_than_was_lent(sample_project: Project) -> None:
    service = MoneyService(sample_project)
    (loan,) = service.loans()
    with pytest.raises(PaymentUnclear, match="left to draw"):
        service.ask_draw(loan.id, loan.left_to_draw_cents + 1, "all", TODAY)
    draw_id = service.ask_draw(loan.id, loan.left_to_draw_cents, "the rest", TODAY)
    service.draw_came(draw_id, TODAY)
    assert service.loans()[0].left_to_draw_cents == 0


def test_a_deposit_above_the_states_limit_is_told_with_its_source(sample_project: Project) -> None:
    # Md. Code, Business Regulation 8-617: at most a third at signing
    service = MoneyService(sample_project)
    with sample_project.session() as session:
        row = next(
            one for one in session.scalars(select(m.Contract)) if any(s.is_deposit for s in one.stages)
        )
        contract_id = row.id
    assert service.sheet(contract_id).deposit_point == ""  # the table knows no limit for North Carolina
    with sample_project.action("Move to Maryland") as work:
        site = work.session.scalars(select(m.Site)).one()
        contract = work.session.get(m.Contract, contract_id)
        assert contract is not None
        site.state = "MD"
        stage = next(one for one in contract.stages if one.is_deposit)
        stage.amount_cents = contract.price_cents // 2
    told = service.sheet(contract_id).deposit_point
    assert "is above the" in told
    assert "8-617" in told
