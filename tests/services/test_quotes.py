"""Requests, answers and signing, on the record of the sample house."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import func, select

from retrofit_desk.records import models as m
from retrofit_desk.records.models.quotes import QuoteState
from retrofit_desk.records.project import Project
from retrofit_desk.rules.holds import NotYet
from retrofit_desk.rules.quotes import ScopeAnswer
from retrofit_desk.services.contract_entry import ContractUnclear
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.papers import PaperService
from retrofit_desk.services.programme_entry import ProgrammeEntryService
from retrofit_desk.services.quote_values import (
    Acceptance,
    QuoteSheet,
    QuoteUnclear,
    RequestSheet,
    WrittenLine,
    WrittenQuote,
    WrittenRequest,
    WrittenScope,
    WrittenStage,
)
from retrofit_desk.services.quotes import QuoteService
from retrofit_desk.services.rebate_values import WrittenRebate
from retrofit_desk.values.quantity import Dimension, Units, show_about
from retrofit_desk.values.stated import Stated, StatedValue

TODAY = date(2026, 11, 20)


def request_named(project: Project, word: str) -> RequestSheet:
    service = QuoteService(project)
    return service.sheet(next(row.id for row in service.rows() if word in row.title))


def quote_of(sheet: RequestSheet, firm: str) -> QuoteSheet:
    return next(quote for quote in sheet.quotes if firm in quote.firm)


def as_written(sheet: RequestSheet) -> tuple[WrittenScope, ...]:
    """The scope as it would be typed again, unchanged."""
    return tuple(
        WrittenScope(item.text, item.guess_cents, item.guess_source, item.id) for item in sheet.scope
    )


def an_acceptance(quote: QuoteSheet, **changes: object) -> Acceptance:
    price = quote.price_cents.value or 0
    stages = (WrittenStage("At signing", 100_000, is_deposit=True), WrittenStage("Done", price - 100_000))
    made = Acceptance(quote.id, TODAY, quote.number, price, 5.0, stages)
    return replace(made, **changes)  # type: ignore[arg-type]


def test_the_lowest_price_is_not_the_lowest_like_for_like(sample_project: Project) -> None:
    # NEED-5, NEED-6: same scope, the owner's visible guess for what is left out
    sheet = request_named(sample_project, "Ground-source")
    sorrel, harrowgate = quote_of(sheet, "Sorrel"), quote_of(sheet, "Harrowgate")
    assert sorrel.like_for_like.words == "$43,350.00"
    assert harrowgate.like_for_like.words == "at least $42,850.00"
    assert harrowgate.like_for_like.without_guess == ("Sales tax",)
    # bid + electrical 1,200 + garden beyond its allowance (900 - 600)
    assert sorrel.like_for_like.added_cents == 120_000 + 30_000


def test_what_is_in_the_price_and_not_itemized_closes_the_strip(sample_project: Project) -> None:
    service = QuoteService(sample_project)
    for row in service.rows():
        for quote in service.sheet(row.id).quotes:
            told = sum(
                line.amount_cents.value or 0
                for line in quote.lines
                if line.answer in (ScopeAnswer.INCLUDED, ScopeAnswer.ALLOWANCE)
            )
            assert told + quote.not_itemized_cents == quote.price_cents.value


def test_capacity_is_held_against_the_load_of_the_version_the_firms_were_given(
    sample_project: Project,
) -> None:
    # NEED-7, NEED-8
    sheet = request_named(sample_project, "Ground-source")
    assert sheet.load is not None
    for firm in ("Sorrel", "Ninefold"):
        quote = quote_of(sheet, firm)
        assert quote.capacity_w.value is not None
        expected = 100 * quote.capacity_w.value / sheet.load.heating_w
        assert quote.capacity_percent == pytest.approx(expected, abs=0.5)
    assert quote_of(sheet, "Blue Fern").capacity_percent is None  # stated for another temperature
    with sample_project.action("Work the load out again") as work:
        old = work.session.scalars(select(m.DesignLoad)).all()[-1]
        work.session.add(
            m.DesignLoad(name="after the casements", heating_w=8000.0, at_heating_c=-7.0, made_at=old.made_at)
        )
        work.session.flush()
        newest = work.session.scalars(select(m.DesignLoad)).all()[-1]
        newest.made_at = old.made_at.replace(year=2027)
    points = quote_of(request_named(sample_project, "Ground-source"), "Sorrel").points
    assert any("after the casements" in point.text and point.needs_owner for point in points)


def test_accepting_makes_the_contract_commits_the_measure_and_declines_the_others(
    sample_project: Project, tmp_path: Path
) -> None:
    service = QuoteService(sample_project)
    sheet = request_named(sample_project, "South glass")
    chosen = quote_of(sheet, "Fallowmere")
    paper = tmp_path / "signed.pdf"
    paper.write_bytes(b"%PDF-1.4 signed")
    contract_id = service.accept(an_acceptance(chosen, paper=paper))

    after = service.sheet(sheet.row.id)
    assert {quote.firm: quote.state for quote in after.quotes} == {
        "Fallowmere Windows": QuoteState.ACCEPTED,
        "Odell Brook Joinery": QuoteState.DECLINED,
        "Three Gates Glazing": QuoteState.DECLINED,
    }
    with sample_project.session() as session:
        contract = session.get_one(m.Contract, contract_id)
        assert contract.paper_id is not None
        assert contract.price_cents == sum(stage.amount_cents for stage in contract.stages)
        assert [share.share_cents for share in contract.shares] == [contract.price_cents]
        assert session.get_one(m.Measure, sheet.row.measure_id).state is m.MeasureState.COMMITTED
    with pytest.raises(QuoteUnclear, match="signed already"):
        service.accept(an_acceptance(chosen))

    sample_project.undo()
    assert quote_of(service.sheet(sheet.row.id), "Fallowmere").state is QuoteState.RECEIVED
    with sample_project.session() as session:
        assert session.get(m.Contract, contract_id) is None


def test_signing_waits_for_the_reservation_and_a_reason_stays_visible(sample_project: Project) -> None:
    # NEED-1
    sheet = request_named(sample_project, "South glass")
    with sample_project.action("Choose a programme") as work:
        work.session.add(
            m.ProgrammeChoice(
                measure_id=sheet.row.measure_id, programme_key="triad-warm-walls", chosen_on=TODAY
            )
        )
    service = QuoteService(sample_project)
    chosen = quote_of(service.sheet(sheet.row.id), "Fallowmere")
    assert chosen.sign_holds
    assert "reservation" in chosen.sign_holds[0]

    with pytest.raises(NotYet, match="reservation"):
        service.accept(an_acceptance(chosen))
    assert quote_of(service.sheet(sheet.row.id), "Fallowmere").state is QuoteState.RECEIVED

    service.accept(an_acceptance(chosen, reason="The fund pays glass without a reservation"))
    past = [view for view in HoldService(sample_project).overridden() if view.is_done]
    assert any("The fund pays glass" in view.sentence for view in past)


ASSESSED_FIRST = """key = "town-glass"
name = "Town glass"
office = "Town hall"
[[versions]]
starts_on = 2026-01-01
checked_on = 2026-11-01
funding = "open"
date_tested = "invoiced"
kinds = ["glazing_and_shading"]
order = [{ first = "assessment", then = "signing" }, { first = "signing", then = "work" }]
amount = { kind = "flat", flat_dollars = 250 }
source = { title = "Town notice 4", retrieved = 2026-11-01, confidence = "published" }
"""


def test_signing_waits_for_the_assessment_that_a_chosen_programme_asks_for_first(
    sample_project: Project,
) -> None:
    folder = sample_project.own_tables / "programmes"
    folder.mkdir(parents=True)
    (folder / "town-glass.toml").write_text(ASSESSED_FIRST, encoding="utf-8")
    sheet = request_named(sample_project, "South glass")
    entry, service = ProgrammeEntryService(sample_project), QuoteService(sample_project)
    choice = entry.choose(sheet.row.measure_id, "town-glass", StatedValue(250_00))
    (told,) = quote_of(service.sheet(sheet.row.id), "Fallowmere").sign_holds
    assert "until the assessment for Town glass is done" in told
    assert entry.sheet(choice).asks_assessment
    entry.correct(choice, WrittenRebate(StatedValue(250_00), assessed_on=date(2026, 11, 3)))
    assert quote_of(service.sheet(sheet.row.id), "Fallowmere").sign_holds == ()
    assert entry.sheet(choice).written.assessed_on == date(2026, 11, 3)


def test_a_reservation_held_on_the_day_lets_sign(sample_project: Project) -> None:
    sheet = request_named(sample_project, "South glass")
    with sample_project.action("Reserve") as work:
        choice = m.ProgrammeChoice(measure_id=sheet.row.measure_id, programme_key="triad-warm-walls")
        choice.reservations.append(
            m.Reservation(state=m.ReservationState.HELD, held_from=date(2026, 11, 1), ends_on=TODAY)
        )
        work.session.add(choice)
    service = QuoteService(sample_project)
    chosen = quote_of(service.sheet(sheet.row.id), "Fallowmere")
    assert chosen.sign_holds == ()
    with pytest.raises(NotYet):  # a day later it has run out
        service.accept(an_acceptance(chosen, signed_on=date(2026, 11, 21)))
    assert service.accept(an_acceptance(chosen))


def test_a_firm_nobody_looked_up_is_told_before_signing(sample_project: Project) -> None:
    # NEED-4
    sheet = request_named(sample_project, "Ground-source")
    points = quote_of(sheet, "Ninefold").points
    assert any("Nobody looked yet" in point.text and point.needs_owner for point in points)


def test_stages_that_do_not_add_up_are_refused_and_nothing_is_signed(sample_project: Project) -> None:
    sheet = request_named(sample_project, "South glass")
    chosen = quote_of(sheet, "Fallowmere")
    with pytest.raises(ContractUnclear, match="add up to"):
        QuoteService(sample_project).accept(an_acceptance(chosen, stages=(WrittenStage("All", 1),)))
    with sample_project.session() as session:
        assert session.scalar(select(func.count()).where(m.Contract.quote_id == chosen.id)) == 0


def test_a_firm_that_was_asked_gets_its_answer_on_the_same_row_with_its_paper(
    sample_project: Project, tmp_path: Path
) -> None:
    service = QuoteService(sample_project)
    sheet = request_named(sample_project, "South glass")
    harrowgate = next(firm_id for firm_id, name in service.choices().firms if "Harrowgate" in name)
    service.ask_firms(sheet.row.id, (harrowgate, harrowgate))
    paper = tmp_path / "quote.pdf"
    paper.write_bytes(b"%PDF-1.4 quote of Harrowgate")
    line = sheet.scope[0]
    written = WrittenQuote(
        firm_id=harrowgate,
        quoted_on=TODAY,
        valid_until=date(2026, 12, 20),
        price_cents=StatedValue(1_300_000),
        tax_cents=StatedValue(None, Stated.EXCLUDED),
        lines=(WrittenLine(line.id, line.text, ScopeAnswer.INCLUDED, StatedValue(900_000)),),
        paper=paper,
    )
    quote_id = service.record_quote(sheet.row.id, written)
    after = service.sheet(sheet.row.id)
    assert len(after.quotes) == len(sheet.quotes) + 1
    quote = quote_of(after, "Harrowgate")
    assert (quote.id, quote.state) == (quote_id, QuoteState.RECEIVED)
    assert (quote.tax_cents.stated, quote.deposit_cents.stated) == (Stated.EXCLUDED, Stated.NOT_STATED)
    assert quote.lines[1].answer is ScopeAnswer.NOT_STATED  # silent on the other lines
    assert quote.paper_id is not None
    used = PaperService(sample_project).sheet(quote.paper_id).used_for
    assert [use.title for use in used] == ["Harrowgate Heating, South glass with awnings and deep eaves"]


def test_a_capacity_without_its_temperature_is_refused(sample_project: Project) -> None:
    sheet = request_named(sample_project, "South glass")
    written = WrittenQuote(firm_id=sheet.quotes[0].firm_id, capacity_w=StatedValue(9000.0))
    with pytest.raises(QuoteUnclear, match="temperature"):
        QuoteService(sample_project).record_quote(sheet.row.id, written)


def test_a_line_that_firms_have_answered_cannot_be_dropped_from_the_request(sample_project: Project) -> None:
    service = QuoteService(sample_project)
    sheet = request_named(sample_project, "South glass")
    kept = tuple(
        WrittenScope(item.text, item.guess_cents, item.guess_source, item.id) for item in sheet.scope
    )
    written = WrittenRequest(sheet.row.measure_id, sheet.row.title, None, None, None, kept[1:])
    with pytest.raises(QuoteUnclear, match="have answered"):
        service.record_request(written, sheet.row.id)
    more = replace(written, scope=(*kept, WrittenScope("Gutters hung again")))
    service.record_request(more, sheet.row.id)
    after = service.sheet(sheet.row.id)
    assert [item.text for item in after.scope][-1] == "Gutters hung again"
    assert quote_of(after, "Fallowmere").lines[0].amount_cents.value == 890_000


def test_every_firm_gets_the_same_words_with_the_load_in_both_units(sample_project: Project) -> None:
    service = QuoteService(sample_project)
    sheet = request_named(sample_project, "Ground-source")
    words = service.message(sheet.row.id)
    assert all(item.text in words for item in sheet.scope)
    assert sheet.load is not None
    for units in (Units.US, Units.SI):
        assert show_about(sheet.load.heating_w, Dimension.POWER, units) in words


def test_a_capacity_is_asked_for_only_where_a_load_is_given(sample_project: Project) -> None:
    quotes = QuoteService(sample_project)
    glass, pump = (request_named(sample_project, word) for word in ("South glass", "Ground-source"))
    assert (glass.load is None, pump.load is None) == (True, False)
    asked = [quotes.message(sheet.row.id) for sheet in (glass, pump)]
    assert ["capacity at the design temperature" in words for words in asked] == [False, True]
    assert all("deposit, stages of payment" in words for words in asked)


def test_a_question_is_asked_once_and_its_answer_is_kept(sample_project: Project) -> None:
    service = QuoteService(sample_project)
    sheet = request_named(sample_project, "South glass")
    quote = quote_of(sheet, "Three Gates")
    service.note_question(quote.id, quote.suggested[0])
    after = quote_of(service.sheet(sheet.row.id), "Three Gates")
    assert quote.suggested[0] not in after.suggested
    asked = after.questions[-1]
    service.answer_question(asked.id, "Yes, with a ledger board.")
    assert quote_of(service.sheet(sheet.row.id), "Three Gates").questions[-1].answered_on == TODAY


def test_the_load_of_the_house_as_described_is_kept_for_the_firms(sample_project: Project) -> None:
    # NEED-7: a load stands on record before anybody is asked
    service = QuoteService(sample_project)
    load_id = service.keep_load()
    sheet = request_named(sample_project, "South glass")
    kept = tuple(
        WrittenScope(item.text, item.guess_cents, item.guess_source, item.id) for item in sheet.scope
    )
    written = WrittenRequest(sheet.row.measure_id, sheet.row.title, None, None, load_id, kept)
    service.record_request(written, sheet.row.id)
    load = service.sheet(sheet.row.id).load
    assert load is not None
    assert load.name == "as described on Nov 20, 2026"
    assert load.heating_w > 5000.0


def test_work_signed_with_one_firm_is_not_signed_with_another_until_that_contract_is_ended(
    sample_project: Project,
) -> None:
    # NEED-14: the firm does not come, the second choice takes over
    service, money = QuoteService(sample_project), MoneyService(sample_project)
    sheet = request_named(sample_project, "casements")
    second = quote_of(sheet, "Odell Brook")
    assert second.signed_with == "Fallowmere Windows"
    assert not second.may_be_accepted
    with pytest.raises(QuoteUnclear, match="signed with Fallowmere"):
        service.accept(an_acceptance(second))
    first = quote_of(sheet, "Fallowmere").contract_id
    assert first is not None
    paid = money.sheet(first).row.paid_cents
    money.end_contract(first, "Nobody came for three weeks")
    assert "Nobody came" in money.sheet(first).notes
    service.accept(an_acceptance(second))
    line = next(one for one in money.budget().lines if one.measure_id == sheet.row.measure_id)
    assert line.money.committed_cents.value == paid + (second.price_cents.value or 0)
