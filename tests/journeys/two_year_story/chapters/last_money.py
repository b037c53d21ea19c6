"""Spring 2027: the last payments go out, the rebate comes in."""

from __future__ import annotations

from datetime import date

from retrofit_desk.records.models.programmes import ClaimState
from retrofit_desk.rules.waivers import WaiverKind
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import WrittenPayment
from retrofit_desk.services.programme_entry import ProgrammeEntryService, WrittenClaim
from retrofit_desk.values.stated import StatedValue
from tests.journeys.two_year_story.story import Story, on
from tests.journeys.two_year_story.words import issued, pay, waiver


@on(2027, 1, 20)
def the_claim_is_sent(story: Story) -> None:
    story.ask(ProgrammeEntryService).record_claim(
        story.ids["choice"],
        WrittenClaim(
            ClaimState.SENT,
            "CG-CL-77",
            claim_by=date(2027, 3, 13),
            sent_on=story.today,
            asked_cents=StatedValue(400_000),
        ),
    )
    issued(story, "gas permit", "G-27-0031")
    for party in ("", "driller"):
        waiver(story, "contract", WaiverKind.UNCONDITIONAL_PROGRESS, "contract:Bores tested", party)
        waiver(story, "contract", WaiverKind.CONDITIONAL_PROGRESS, "contract:Machine running", party)
    pay(story, "contract:Machine running")


@on(2027, 3, 5)
def the_last_payments(story: Story) -> None:
    money = story.ask(MoneyService)
    for party in ("", "driller"):
        waiver(story, "contract", WaiverKind.UNCONDITIONAL_PROGRESS, "contract:Machine running", party)
        waiver(story, "contract", WaiverKind.CONDITIONAL_FINAL, "contract:Final", party)
    pay(story, "contract:Final")
    waiver(story, "contract", WaiverKind.UNCONDITIONAL_FINAL, "contract:Final", "driller")
    held = money.sheet(story.ids["contract"]).row.held_back_cents
    money.release(story.ids["contract"], WrittenPayment(held, story.today, "bank transfer"))


@on(2027, 4, 20)
def the_rebate_comes(story: Story) -> None:
    story.ask(ProgrammeEntryService).record_claim(
        story.ids["choice"],
        WrittenClaim(
            ClaimState.PAID,
            "CG-CL-77",
            claim_by=date(2027, 3, 13),
            sent_on=date(2027, 1, 20),
            answered_on=story.today,
            asked_cents=StatedValue(400_000),
            paid_on=story.today,
            paid_cents=StatedValue(400_000),
        ),
    )
