"""The papers that offices ask for, and the packets made of them."""

from __future__ import annotations

from datetime import date

from retrofit_desk.paperwork.contents import PacketKind
from retrofit_desk.records.models.papers import PaperKind
from retrofit_desk.records.models.programmes import ClaimState
from retrofit_desk.rules.matching import FactKind
from retrofit_desk.services.programme_entry import ProgrammeEntryService, WrittenClaim
from retrofit_desk.values.stated import StatedValue
from tests.journeys.two_year_story.story import Story, on
from tests.journeys.two_year_story.words import ADDRESS, OWNER, file_paper, packet

NAMED = ((FactKind.NAME, OWNER), (FactKind.ADDRESS, ADDRESS))
INSTALLER = (FactKind.FIRM, "Sorrel Ridge Ground Heat, LLC")
HEAT_PUMP = ((FactKind.SERIAL, "TB30-26K-04417"), (FactKind.MODEL, "TB-WW30"))


@on(2026, 1, 27)
def the_request_goes_out(story: Story) -> None:
    file_paper(story, PaperKind.LOAD_CALCULATION, "Load calculation, as described", measure="ground")
    packet(story, PacketKind.CONTRACTOR, "contractor", "three firms", "by letter", story.ids["request"])


@on(2026, 3, 2)
def proofs_for_the_offices(story: Story) -> None:
    file_paper(story, PaperKind.INCOME_PROOF, "Tax return of 2025", NAMED[0], is_private=True)
    file_paper(story, PaperKind.OWNERSHIP_PROOF, "Deed of the house", *NAMED)
    file_paper(story, PaperKind.UTILITY_BILL, "Bill of Carraway, February", *NAMED)
    file_paper(story, PaperKind.LICENSE, "License of Sorrel Ridge", INSTALLER, measure="ground")
    file_paper(
        story, PaperKind.INSURANCE, "Insurance certificate of Sorrel Ridge", INSTALLER, measure="ground"
    )


@on(2026, 12, 11)
def the_claim_for_the_water_heater_goes_out(story: Story) -> None:
    """Two days before its last day: At hand kept saying so."""
    _claim_water(story, ClaimState.SENT)


@on(2027, 2, 15)
def the_rebate_for_the_water_heater_comes(story: Story) -> None:
    paid = {"answered_on": story.today, "paid_on": story.today, "paid_cents": StatedValue(80_000)}
    _claim_water(story, ClaimState.PAID, **paid)


def _claim_water(story: Story, state: ClaimState, **more: object) -> None:
    sent_on, claim_by, asked = date(2026, 12, 11), date(2026, 12, 13), StatedValue(80_000)
    told = WrittenClaim(state, "CW-CL-19", claim_by, sent_on, asked_cents=asked, **more)  # type: ignore[arg-type]
    story.ask(ProgrammeEntryService).record_claim(story.ids["water choice"], told)


@on(2027, 1, 9)
def papers_of_the_heat_pump(story: Story) -> None:
    file_paper(story, PaperKind.PHOTO, "Nameplate of the heat pump", *HEAT_PUMP, measure="ground")
    file_paper(story, PaperKind.MATCH_CERTIFICATE, "Match certificate, TB-WW30", *HEAT_PUMP, measure="ground")
    file_paper(story, PaperKind.MANUAL, "Manual of the heat pump", HEAT_PUMP[1], measure="ground")
    file_paper(story, PaperKind.WARRANTY, "Warranty of the heat pump", HEAT_PUMP[0], measure="ground")
    file_paper(story, PaperKind.PERMIT, "Permit card M-26-0975", NAMED[1], measure="ground")


@on(2027, 1, 10)
def papers_for_the_visit(story: Story) -> None:
    visit = story.ids["mechanical:mechanical_final"]
    packet(story, PacketKind.INSPECTOR, "inspector", "at the door", "on paper", visit)


@on(2027, 1, 19)
def papers_for_the_claim(story: Story) -> None:
    file_paper(story, PaperKind.INCOME_PROOF, "Pay slips of January 2027", NAMED[0], is_private=True)
    file_paper(story, PaperKind.FINAL_CERTIFICATE, "Final approval M-26-0975", NAMED[1], measure="ground")
    bill = ((FactKind.ADDRESS, ADDRESS), INSTALLER, *HEAT_PUMP)
    file_paper(story, PaperKind.INVOICE, "Bill SR-7044, equipment and labor apart", *bill, measure="ground")
    file_paper(
        story,
        PaperKind.PROOF_OF_PAYMENT,
        "Bank statement, bores",
        (FactKind.AMOUNT, "1559900"),
        measure="ground",
    )
    packet(story, PacketKind.REBATE, "rebate", "Carraway Light and Power", "by upload", story.ids["choice"])
