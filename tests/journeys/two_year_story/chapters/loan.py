"""The loan: approved before the signature, drawn for the bores and for the machine."""

from __future__ import annotations

from datetime import date

from retrofit_desk.paperwork.contents import PacketKind
from retrofit_desk.rules.matching import FactKind
from retrofit_desk.services.loan_entry import LoanEntryService, WrittenLoan
from retrofit_desk.services.money import MoneyService
from retrofit_desk.values.stated import StatedValue
from tests.journeys.two_year_story.story import Story, on
from tests.journeys.two_year_story.words import ADDRESS, OWNER, firm, packet, read_off


@on(2026, 3, 12)
def the_credit_union_lends(story: Story) -> None:
    story.ids["loan"] = story.ask(LoanEntryService).record(
        None,
        WrittenLoan(
            "Home energy loan",
            firm(story, "sixpence"),
            3_200_000,
            StatedValue(6.24),
            StatedValue(32_000),
            120,
            first_payment_on=date(2026, 7, 1),
            approved_on=story.today,
            draw_by=date(2027, 3, 31),
            paper=story.letter("Loan paper of Sixpence Creek"),
        ),
    )
    read_off(story, "Loan paper", (FactKind.NAME, OWNER), (FactKind.ADDRESS, ADDRESS))


@on(2026, 6, 8)
def a_draw_for_the_bores(story: Story) -> None:
    draw = story.ask(MoneyService).ask_draw(story.ids["loan"], 1_520_000, "Bores", story.today)
    packet(story, PacketKind.LENDER, "lender", "Sixpence Creek Credit Union", "by letter", story.ids["loan"])
    story.ask(MoneyService).draw_came(draw, story.today)


@on(2027, 1, 18)
def a_draw_for_the_machine(story: Story) -> None:
    money = story.ask(MoneyService)
    money.draw_came(money.ask_draw(story.ids["loan"], 1_680_000, "Heat pump", story.today), story.today)
