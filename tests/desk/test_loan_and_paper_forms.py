"""Forms for the loan and for what stands on a filed paper, as the owner fills them in."""

from __future__ import annotations

from datetime import date

from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.loan_form import LoanDialog
from retrofit_desk.desk.dialogs.paper_facts import PaperFactsDialog
from retrofit_desk.rules.matching import Fact, FactKind
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.papers import PaperKind, PaperService
from retrofit_desk.values.stated import StatedValue


def test_a_loan_is_entered_corrected_and_taken_back(sample_desk: Desk, qtbot: QtBot) -> None:
    before = len(MoneyService(sample_desk.project).loans())
    form = LoanDialog(sample_desk, None)
    qtbot.addWidget(form)
    form.accept()
    assert len(MoneyService(sample_desk.project).loans()) == before  # no sum: it stays in the form
    form.name.setText("Second loan")
    form.principal.set_value(1_000_000)
    form.rate.set_stated(StatedValue(6.0))
    form.months.set_value(12)
    form.first_on.set_value(date(2027, 1, 1))
    form.accept()
    loan = MoneyService(sample_desk.project).loans()[-1]
    # the annuity formula: 10,000 * 0.005 / (1 - 1.005 ** -12) = 860.66
    assert (loan.name, loan.payment_cents) == ("Second loan", 86_066)
    again = LoanDialog(sample_desk, None, loan.id)
    qtbot.addWidget(again)
    assert again.name.text() == "Second loan"
    again.months.set_value(24)
    again.accept()
    assert MoneyService(sample_desk.project).loans()[-1].months == 24
    sample_desk.project.undo()
    assert MoneyService(sample_desk.project).loans()[-1].months == 12


def test_a_loan_is_not_made_smaller_than_what_was_drawn(sample_desk: Desk, qtbot: QtBot) -> None:
    (loan,) = MoneyService(sample_desk.project).loans()
    form = LoanDialog(sample_desk, None, loan.id)
    qtbot.addWidget(form)
    form.principal.set_value(100_000)
    form.accept()
    assert MoneyService(sample_desk.project).loans()[0].principal_cents == loan.principal_cents


def test_what_stands_on_a_paper_is_noted_later_and_held_against_the_record(
    sample_desk: Desk, qtbot: QtBot
) -> None:
    papers = PaperService(sample_desk.project)
    certificate = next(row for row in papers.rows() if row.kind is PaperKind.MATCH_CERTIFICATE)
    known = papers.sheet(certificate.id).facts
    form = PaperFactsDialog(sample_desk, None, papers.sheet(certificate.id))
    qtbot.addWidget(form)
    form.lines[FactKind.SERIAL].setText("TB30-26K-04418")
    form.accept()
    told = papers.sheet(certificate.id).facts
    assert Fact(FactKind.SERIAL, "TB30-26K-04418") in told
    assert {one for one in known if one.kind is not FactKind.SERIAL or one.label} <= set(told)
    assert any("TB30-26K-04418" in line for line in papers.sheet(certificate.id).disagrees)


def test_the_number_and_the_date_of_a_paper_are_noted_and_a_worded_date_stays(
    sample_desk: Desk, qtbot: QtBot
) -> None:
    papers = PaperService(sample_desk.project)
    certificate = next(row for row in papers.rows() if row.kind is PaperKind.MATCH_CERTIFICATE)
    worded = Fact(FactKind.DATE, "in the spring")
    papers.note_facts(certificate.id, [*papers.sheet(certificate.id).facts, worded])
    form = PaperFactsDialog(sample_desk, None, papers.sheet(certificate.id))
    qtbot.addWidget(form)
    form.lines[FactKind.NUMBER].setText("C-118")
    form.accept()
    assert {worded, Fact(FactKind.NUMBER, "C-118")} <= set(papers.sheet(certificate.id).facts)
    again = PaperFactsDialog(sample_desk, None, papers.sheet(certificate.id))
    qtbot.addWidget(again)
    again.on.set_value(date(2026, 3, 14))
    again.accept()
    told = papers.sheet(certificate.id).facts
    assert Fact(FactKind.DATE, "2026-03-14") in told
    assert worded not in told


def test_who_asked_for_a_paper_and_when_it_runs_out_can_be_said_after_filing(
    sample_desk: Desk, qtbot: QtBot
) -> None:
    papers = PaperService(sample_desk.project)
    certificate = next(row for row in papers.rows() if row.kind is PaperKind.MATCH_CERTIFICATE)
    known = papers.sheet(certificate.id).facts
    form = PaperFactsDialog(sample_desk, None, papers.sheet(certificate.id))
    qtbot.addWidget(form)
    form.asked_by.setText("Carraway Light and Power")
    form.ends_on.set_value(date(2026, 12, 30))
    form.accept()
    told = papers.sheet(certificate.id)
    assert (told.asked_by, told.row.ends_on) == ("Carraway Light and Power", date(2026, 12, 30))
    assert set(told.facts) == set(known)
