"""Summer and autumn 2026: the delivery slips, the reservation is lost."""

from __future__ import annotations

from datetime import date

from retrofit_desk.records.models.programmes import ReservationState
from retrofit_desk.rules.matching import FactKind
from retrofit_desk.services.programme_entry import ProgrammeEntryService, WrittenFall
from retrofit_desk.services.steps import StepService
from tests.journeys.two_year_story.story import Story, on
from tests.journeys.two_year_story.words import ADDRESS, OWNER, read_off, reserve


@on(2026, 7, 20)
def the_factory_is_late(story: Story) -> None:
    steps = story.ask(StepService)
    said = "The factory ships at the end of October, not in July."
    steps.note_contact(story.ids["delivery"], said, date(2026, 9, 1))
    steps.expect(story.ids["delivery"], date(2026, 11, 16))


@on(2026, 9, 17)
def the_reservation_is_lost(story: Story) -> None:
    """Its last day was yesterday, and the machine is not running. The family asks again."""
    over = WrittenFall(ReservationState.RAN_OUT, date(2026, 9, 16))
    story.ask(ProgrammeEntryService).record_fall(story.ids["choice"], over)
    reserve(story, "choice", ReservationState.ASKED, asked_on=story.today)


@on(2026, 10, 2)
def a_second_reservation(story: Story) -> None:
    reserve(
        story,
        "choice",
        ReservationState.HELD,
        number="CG-26-301",
        asked_on=date(2026, 9, 17),
        held_from=story.today,
        ends_on=date(2027, 3, 31),
        paper=story.letter("Reservation CG-26-301"),
    )
    read_off(story, "Reservation letter, Ground", (FactKind.NAME, OWNER), (FactKind.ADDRESS, ADDRESS))
