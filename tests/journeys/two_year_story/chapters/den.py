"""The den: a failed visit, a wall covered too early and opened again."""

from __future__ import annotations

from datetime import date

from retrofit_desk.records import models as m
from retrofit_desk.rules.holds import HoldAction, NeedKind
from retrofit_desk.rules.permits import InspectionResult
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.inside import HiddenKind, WrittenHidden
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import WrittenInvoice
from retrofit_desk.services.permits import PermitDay, PermitService
from retrofit_desk.services.steps import StepService
from retrofit_desk.services.visits import CannotBook, VisitResult, VisitService, WrittenCorrection
from retrofit_desk.services.work_log import WrittenItem, WrittenPhoto, WrittenPlace
from retrofit_desk.values.stated import StatedValue
from tests.journeys.two_year_story.story import Story, on
from tests.journeys.two_year_story.words import (
    INSPECTOR,
    book,
    face,
    firm,
    issued,
    name_visits,
    new_hold,
    only_visits,
    passed,
    permit,
    room,
    write_up,
)


@on(2026, 4, 6)
def permits_for_the_den(story: Story) -> None:
    permit(story, "building", m.PermitKind.BUILDING, "Building permit, den walls", ("den",))
    permit(story, "electrical", m.PermitKind.ELECTRICAL, "Electrical permit, den", ("den",))
    permit(story, "mechanical", m.PermitKind.MECHANICAL, "Mechanical permit, heat pump", ("ground",))
    only_visits(story, "building", ("framing", "insulation", "building_final"))
    only_visits(story, "electrical", ("rough_electrical", "electrical_final"))
    only_visits(story, "mechanical", ("ground_loop_test", "header_trench", "mechanical_final"))


@on(2026, 4, 20)
def the_permits_are_issued(story: Story) -> None:
    issued(story, "building", "B-26-1801", date(2027, 4, 20))
    issued(story, "electrical", "E-26-3310")
    issued(story, "mechanical", "M-26-0975")
    story.ask(StepService).agree_day(story.ids["bores"], date(2026, 5, 4))
    batts = WrittenInvoice(
        firm(story, "linden-yard"), story.today, 88_000, measure_id=story.ids["den"], number="LY-1107"
    )
    story.ids["batts"] = story.ask(MoneyService).record_invoice(batts)


@on(2026, 5, 9)
def the_paneling_comes_off(story: Story) -> None:
    write_up(
        story,
        "den",
        "Maren and Idris",
        "Paneling down, no insulation found. Wickerlane ran new cable.",
        hours=StatedValue(14.0),
        places=(WrittenPlace(room(story, "den"), face(story, "den-north"), "New 14 AWG cable at 18 in"),),
        hidden=(
            WrittenHidden(
                HiddenKind.CABLE,
                "14 AWG to the outlets",
                face(story, "den-north"),
                ((0.4, 0.46), (3.6, 0.46)),
            ),
        ),
        still_open="Rough electrical must pass before the batts go in.",
    )
    story.ids["hold:den"] = new_hold(
        story,
        HoldAction.COVER,
        "the den north wall",
        m.HoldSubject.SURFACE,
        face(story, "den-north"),
        "den",
        m.HoldNeed(
            kind=NeedKind.INSPECTION,
            text="rough electrical has passed",
            inspection_id=story.ids["electrical:rough_electrical"],
            with_whom="City inspections office",
        ),
        m.HoldNeed(
            kind=NeedKind.INSPECTION,
            text="the insulation inspection has passed",
            inspection_id=story.ids["building:insulation"],
        ),
        m.HoldNeed(
            kind=NeedKind.PHOTO_SET, text="three photos of the open wall with a tape are filed", count=3
        ),
    )
    book(story, "electrical:rough_electrical", date(2026, 5, 20))


@on(2026, 5, 20)
def rough_electrical_fails(story: Story) -> None:
    corrections = (
        WrittenCorrection("Box fill exceeded at the double outlet", "NEC 314.16"),
        WrittenCorrection("Staple within 8 in of the single box", "NEC 334.30"),
    )
    told = VisitResult(
        story.today,
        InspectionResult.FAILED,
        INSPECTOR,
        corrections,
        paper=story.letter("Correction list of 20 May, den"),
    )
    story.ask(VisitService).record_result(story.ids["electrical:rough_electrical"], told)
    name_visits(story, "electrical")
    again = "electrical:rough_electrical:again"
    story.refused("booking again", lambda: book(story, again, date(2026, 5, 27)), CannotBook)


@on(2026, 5, 23)
def a_helper_covers_the_wall(story: Story) -> None:
    """On a Saturday, with the best of intentions; the record is told why."""
    holds = story.ask(HoldService)
    story.refused("covering early", lambda: holds.do_step(story.ids["hold:den"]))
    holds.do_step(
        story.ids["hold:den"], reason="My brother put the boards up before I was home", by="Idris Hollowell"
    )


@on(2026, 5, 26)
def the_wall_is_opened_again(story: Story) -> None:
    holds = story.ask(HoldService)
    holds.reopen(story.ids["hold:den"], "The inspector wants to see the cable")
    write_up(
        story,
        "den",
        "Idris",
        "Boards of the north wall down again.",
        hours=StatedValue(3.0),
        places=(WrittenPlace(room(story, "den"), face(story, "den-north")),),
    )
    sheet = story.ask(PermitService).sheet(story.ids["electrical"])
    for visit in sheet.visits:
        for one in visit.open_corrections:
            photo = story.photo(f"Put right {one.id}")
            story.ask(VisitService).close_correction(one.id, "Put right by Wickerlane", photo)
    book(story, "electrical:rough_electrical:again", date(2026, 6, 2))


@on(2026, 6, 2)
def rough_electrical_passes(story: Story) -> None:
    passed(story, "electrical:rough_electrical:again", "J. Thackeray-Lum")
    book(story, "building:framing", date(2026, 6, 5))


@on(2026, 6, 5)
def framing_passes_and_the_batts_go_in(story: Story) -> None:
    passed(story, "building:framing")
    photos = tuple(
        WrittenPhoto(
            story.photo(f"Den north wall {at}"),
            f"Den north wall, {at} of 3",
            room(story, "den"),
            face(story, "den-north"),
            m.Direction.NORTH,
            True,
            story.ids["need:three photos of the open wall with a tape are filed"],
        )
        for at in (1, 2, 3)
    )
    write_up(
        story,
        "den",
        "Maren and Idris",
        "Batts in both walls; tape in every photo.",
        hours=StatedValue(9.0),
        places=(
            WrittenPlace(room(story, "den"), face(story, "den-north"), "Wood-fiber batts, 3 1/2 in"),
            WrittenPlace(room(story, "den"), face(story, "den-south"), "Wood-fiber batts, 3 1/2 in"),
        ),
        items=(WrittenItem("Wood-fiber batts", "Fennholt", "FH-90", "", 41.0, "batts"),),
        photos=photos,
        is_complete=True,
    )
    book(story, "building:insulation", date(2026, 6, 12))


@on(2026, 6, 12)
def insulation_passes_and_the_wall_is_covered(story: Story) -> None:
    passed(story, "building:insulation")
    story.ask(HoldService).do_step(story.ids["hold:den"])


@on(2026, 12, 1)
def the_den_is_finished(story: Story) -> None:
    """A week before the building permit would have lapsed; the electrical one had, and is extended."""
    sheet = story.ask(PermitService).sheet(story.ids["electrical"])
    extended = PermitDay(sheet.number, sheet.applied_on, sheet.issued_on, None, date(2026, 12, 31))
    story.ask(PermitService).change(sheet.id, extended)
    book(story, "electrical:electrical_final", date(2026, 12, 1))
    passed(story, "electrical:electrical_final", "J. Thackeray-Lum")
    book(story, "building:building_final", date(2026, 12, 1))
    passed(story, "building:building_final")
